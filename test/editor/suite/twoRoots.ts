/**
 * Two folders on a disk in one window; see rootChecks.ts.
 */

import { readFile, writeFile } from 'node:fs/promises';
import { runChecks } from './check.ts';
import { rootChecks } from './rootChecks.ts';

/** Called by the editor; a rejection is a failed run. */
export function run(): Promise<void> {
  return runChecks(
    rootChecks({
      read: ({ fsPath }) => readFile(fsPath, 'utf8'),
      write: ({ fsPath }, text) => writeFile(fsPath, text),
    }),
  );
}
