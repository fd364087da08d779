/**
 * One line on standard error that says how far a measurement is and how long it will take still: only on a terminal, only after a
 * second, and gone at the end.
 */

import { visibleText } from '../core/report/visibleText.ts';
import type { Progress } from '../project/measure/progress.ts';
import type { OutputStream } from './terminal.ts';

export interface MeasureProgress {
  readonly show: (progress: Progress) => void;
  readonly clear: () => void;
}

const QUIET_MILLISECONDS = 1000;
const BETWEEN_MILLISECONDS = 200;
/** Below this share a guess at the rest is worth nothing. */
const LEAST_SHARE = 0.03;
const CLEAR_LINE = '\r\u001b[K';

/** `now` in milliseconds. */
export function measureProgress(stream: OutputStream, now: () => number): MeasureProgress {
  if (!stream.isTerminal) return { show: () => {}, clear: () => {} };
  const start = now();
  let lastShown = Number.NEGATIVE_INFINITY;
  let isShown = false;
  return {
    show: ({ share, step }) => {
      const time = now();
      if (time - start < QUIET_MILLISECONDS || time - lastShown < BETWEEN_MILLISECONDS) return;
      lastShown = time;
      isShown = true;
      const line = `${String(Math.floor(share * 100)).padStart(2)} %  ${timeLeft((time - start) / 1000, share)}${visibleText(step)}`;
      stream.write(`${CLEAR_LINE}${line.slice(0, Math.max(10, (stream.columns ?? 80) - 1))}`);
    },
    clear: () => {
      if (isShown) stream.write(CLEAR_LINE);
      isShown = false;
    },
  };
}

/** 'about 20 s left  ', 'about 3 min left  '; nothing while that can't be told. */
export function timeLeft(elapsedSeconds: number, share: number): string {
  if (share < LEAST_SHARE) return '';
  const seconds = (elapsedSeconds * (1 - share)) / share;
  if (seconds < 1) return '';
  if (seconds < 90) return `about ${seconds < 10 ? Math.ceil(seconds) : Math.ceil(seconds / 5) * 5} s left  `;
  const minutes = Math.ceil(seconds / 60);
  return minutes < 90 ? `about ${minutes} min left  ` : `about ${Math.ceil(minutes / 60)} h left  `;
}
