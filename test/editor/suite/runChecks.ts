/**
 * Runs the checks of a suite inside an editor, one after the other, on any host: nothing here needs Node.
 *
 * The log says which passed; a rejection is a failed run.
 */

import type * as vscode from 'vscode';

export type Check = readonly [name: string, run: () => Promise<void>];

/** `afterFailure` mends what a failed check left behind, which is not held against the next one. */
export async function runEach(checks: readonly Check[], afterFailure: () => Promise<void> = async () => {}): Promise<void> {
  const failures: string[] = [];
  for (const [name, check] of checks) {
    try {
      await check();
      console.log(`ok: ${name}`);
    } catch (error) {
      const reason = error instanceof Error ? (error.stack ?? error.message) : String(error);
      failures.push(`${name}: ${reason}`);
      console.log(`not ok: ${name}: ${reason}`);
      await afterFailure();
    }
  }
  if (failures.length > 0) throw new Error(failures.join('\n'));
}

/** Of a finding: the word, whether it carries a link or not. */
export function codeOf({ code }: vscode.Diagnostic): string {
  return String(typeof code === 'object' ? code.value : code);
}

/** The editor tells nobody when it is done, so everything is waited for. */
export async function waitUntil(
  isSo: () => boolean | Promise<boolean>,
  complaint: () => string,
  patienceMs: number,
): Promise<void> {
  const deadline = Date.now() + patienceMs;
  while (!(await isSo())) {
    if (Date.now() > deadline) throw new Error(complaint());
    await new Promise((resolve) => setTimeout(resolve, 50));
  }
}
