/**
 * A person presses Ctrl-C in the middle of a long measurement: the work ends at its next step, temporary files go, nothing is half
 * written. A second time ends the process at once, as ever.
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
  };
  for (const signal of SIGNALS) process.on(signal, cancel);
  return { isCancelled: () => isCancelled, release };
}
