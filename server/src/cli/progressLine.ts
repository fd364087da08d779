/**
 * One line on standard error that says how far a long run is: only on a terminal, only after a second, and gone at the end.
 */

import type { OutputStream } from './terminal.ts';

export interface ProgressLine {
  readonly show: (done: number, total: number, name: string) => void;
  readonly clear: () => void;
}

const QUIET_MILLISECONDS = 1000;
const BETWEEN_MILLISECONDS = 100;
const CLEAR_LINE = '\r\u001b[K';

/** `now` in milliseconds. */
export function progressLine(stream: OutputStream, now: () => number): ProgressLine {
  if (!stream.isTerminal) return { show: () => {}, clear: () => {} };
  const start = now();
  let lastShown = Number.NEGATIVE_INFINITY;
  let isShown = false;
  return {
    show: (done, total, name) => {
      const time = now();
      if (time - start < QUIET_MILLISECONDS || time - lastShown < BETWEEN_MILLISECONDS) return;
      lastShown = time;
      isShown = true;
      const line = `${done} of ${total}  ${name}`;
      stream.write(`${CLEAR_LINE}${line.slice(0, Math.max(10, (stream.columns ?? 80) - 1))}`);
    },
    clear: () => {
      if (isShown) stream.write(CLEAR_LINE);
      isShown = false;
    },
  };
}
