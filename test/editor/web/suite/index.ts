/**
 * What must work where nothing but a browser is there, run in the editor's extension host, which is a worker.
 *
 * The workspace is a virtual folder: a copy of samples/, and beside it what makeWebWorkspace.ts adds. Each group undoes what it did.
 */

import * as vscode from 'vscode';
import type { Check } from './check.ts';
import { fileChecks } from './files.ts';
import { languageChecks } from './language.ts';
import { lifeChecks } from './life.ts';

const checks: readonly Check[] = [...languageChecks, ...fileChecks, ...lifeChecks];

/** Called by the editor; a rejection is a failed run. */
export async function run(): Promise<void> {
  const failures: string[] = [];
  for (const [name, check] of checks) {
    try {
      await check();
      console.log(`ok: ${name}`);
    } catch (error) {
      const reason = error instanceof Error ? (error.stack ?? error.message) : String(error);
      failures.push(`${name}: ${reason}`);
      console.log(`not ok: ${name}: ${reason}`);
      // What a failed check left behind is not held against the next one.
      await vscode.commands.executeCommand('workbench.action.files.revert');
    }
  }
  if (failures.length > 0) throw new Error(failures.join('\n'));
}
