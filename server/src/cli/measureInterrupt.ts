/**
 * A person presses Ctrl-C in the middle of a long measurement: the work ends at its next step, temporary files go, nothing is half
 * written. A second time ends the process at once, as ever.
 *
 * A program that started this one with a channel between the two stops it by closing the channel. That works where there are no
 * signals, and it works by itself when that program dies.
 */

export interface Interrupt {
  readonly isCancelled: () => boolean;
  /** Gives the signals back. */
  readonly release: () => void;
}

const SIGNALS = ['SIGINT', 'SIGTERM'] as const;

export function catchInterrupt(): Interrupt {
  let isCancelled = false;
  const cancel = (): void => {
    isCancelled = true;
    release();
  };
  const release = (): void => {
    for (const signal of SIGNALS) process.removeListener(signal, cancel);
    process.removeListener('disconnect', cancel);
  };
  for (const signal of SIGNALS) process.on(signal, cancel);
  process.on('disconnect', cancel);
  return { isCancelled: () => isCancelled, release };
}
