/**
 * What must work where nothing but a browser is there, run in the editor's extension host, which is a worker.
 *
 * The workspace is a virtual folder: a copy of samples/, and beside it what makeWebWorkspace.ts adds. Each group undoes what it did.
 */

import { runChecks } from '../../suite/check.ts';
import { fileChecks } from './files.ts';
import { languageChecks } from './language.ts';
import { lifeChecks } from './life.ts';

/** Called by the editor; a rejection is a failed run. */
export function run(): Promise<void> {
  return runChecks([...languageChecks, ...fileChecks, ...lifeChecks]);
}
