/**
 * Messages that nobody waits for. When the connection is gone there is nobody to tell, and that is no failure of ours: an
 * unhandled rejection would end the process with the wrong exit code.
 */
export function tell(message: Promise<unknown>): void {
  message.catch(() => undefined);
}
