/**
 * What must work where nothing but a browser is there, run in the editor's extension host, which is a worker.
 *
 * The workspace is a virtual folder: a copy of samples/, and beside it what makeWebWorkspace.ts adds. Each group undoes what it did.
 */

import * as vscode from 'vscode';
import { type Check, runEach } from '../../suite/runChecks.ts';
import { fileChecks } from './files.ts';
import { languageChecks } from './language.ts';
import { lifeChecks } from './life.ts';

const checks: readonly Check[] = [...languageChecks, ...fileChecks, ...lifeChecks];

/** Called by the editor; a rejection is a failed run. */
export function run(): Promise<void> {
  return runEach(checks, async () => {
    await vscode.commands.executeCommand('workbench.action.files.revert');
  });
}
