/**
 * Says on standard error how far a measurement is and how long it will take still.
 *
 * For people one line: only on a terminal, only after a second, and gone at the end. For programs that started this one, an object a
 * line, which begins with `{` as no message of ours does; the last one says what came of it.
 */

import { visibleText } from '../core/report/visibleText.ts';
import type { Measurement } from '../project/measure/measurement.ts';
import type { Progress } from '../project/measure/progress.ts';
import type { ProgressFormat } from './measureOptions.ts';
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
export function measureProgress(stream: OutputStream, now: () => number, format: ProgressFormat = 'line'): MeasureProgress {
  if (format === 'json') return progressObjects(stream, now);
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

/** At once and then now and again: whoever shows it decides when it is worth showing. */
function progressObjects(stream: OutputStream, now: () => number): MeasureProgress {
  const start = now();
  let lastShown = Number.NEGATIVE_INFINITY;
  let lastStep = '';
  return {
    show: ({ share, step }) => {
      const time = now();
      if (step === lastStep && time - lastShown < BETWEEN_MILLISECONDS) return;
      lastShown = time;
      lastStep = step;
      const left = timeLeft((time - start) / 1000, share).trim();
      const event = { share: Math.round(share * 1000) / 1000, step: visibleText(step), timeLeft: left === '' ? null : left };
      stream.write(`${JSON.stringify(event)}\n`);
    },
    clear: () => {},
  };
}

/** The last object of `--progress json`. `report` is the path that was written; null when none was. */
export function measuredEvent({ pairs, leftOver }: Measurement, report: string | null): string {
  const left = leftOver.map(({ severity, name, reason }) => ({ severity, name, reason }));
  return `${JSON.stringify({ share: 1, step: 'done', timeLeft: null, done: { pairs: pairs.length, leftOver: left, report } })}\n`;
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
