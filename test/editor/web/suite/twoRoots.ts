/**
 * Two virtual folders in one window; see rootChecks.ts.
 */

import * as vscode from 'vscode';
import { runChecks } from '../../suite/check.ts';
import { rootChecks } from '../../suite/rootChecks.ts';

/** Called by the editor; a rejection is a failed run. */
export function run(): Promise<void> {
  const { fs } = vscode.workspace;
  return runChecks(
    rootChecks({
      read: async (place) => new TextDecoder().decode(await fs.readFile(place)),
      write: async (place, text) => fs.writeFile(place, new TextEncoder().encode(text)),
    }),
  );
}
