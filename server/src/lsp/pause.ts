/**
 * Waiting that a client can cut short.
 */

import type { CancellationToken } from 'vscode-languageserver';
import { refuseIfCancelled } from './lifeCycle.ts';
import type { Timers } from './ports.ts';

/** Resolves after `milliseconds`; rejects as a cancelled request as soon as the client gives up. */
export async function pauseFor(timers: Timers, milliseconds: number, token: CancellationToken): Promise<void> {
  if (milliseconds > 0) {
    await new Promise<void>((resolve) => {
      const takeBack = timers.after(milliseconds, () => {
        listener.dispose();
        resolve();
      });
      const listener = token.onCancellationRequested(() => {
        takeBack();
        listener.dispose();
        resolve();
      });
    });
  }
  refuseIfCancelled(token);
}
