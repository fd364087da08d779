/**
 * Moves the view in a few frames, so that the eye can follow what a button did; at once for those who want no motion.
 */

import type { ChartView } from '../../../../server/src/core/report/lagChart/chartView.ts';

const DURATION_MS = 140;

export interface ViewMotion {
  /** What is to be drawn now, on the way to `target`. */
  readonly at: (target: ChartView, now: number) => ChartView;
  /** From here the view moves to whatever target is asked for next. */
  readonly startFrom: (view: ChartView, now: number) => void;
  readonly isMoving: (now: number) => boolean;
}

export function createViewMotion(): ViewMotion {
  let from: ChartView | null = null;
  let startedAt = 0;
  const isMoving = (now: number): boolean => from !== null && now - startedAt < DURATION_MS;
  return {
    isMoving,
    startFrom: (view, now) => {
      from = wantsMotion() ? view : null;
      startedAt = now;
    },
    at: (target, now) => {
      if (from === null || !isMoving(now)) return target;
      const part = Math.min(Math.max((now - startedAt) / DURATION_MS, 0), 1);
      const eased = 1 - (1 - part) ** 3;
      const between = (a: number, b: number): number => a + (b - a) * eased;
      return {
        recordStart: between(from.recordStart, target.recordStart),
        recordEnd: between(from.recordEnd, target.recordEnd),
        lagLow: between(from.lagLow, target.lagLow),
        lagHigh: between(from.lagHigh, target.lagHigh),
      };
    },
  };
}

/** The editor has a setting of its own beside the system's. */
function wantsMotion(): boolean {
  return !matchMedia('(prefers-reduced-motion: reduce)').matches && !document.body.classList.contains('vscode-reduce-motion');
}
