/**
 * What must work inside a real editor, run in its extension host: in the browser-driven host of editor.test.ts and, unchanged,
 * in a desktop editor by desktop.test.ts.
 *
 * The workspace is a copy of samples/. The server's answers are held to account elsewhere; here it is about what the editor
 * makes of them.
 */

import { runChecks } from './check.ts';
import { diskChecks, fileChecks } from './files.ts';
import { findingChecks, startChecks } from './findings.ts';
import { navigationChecks } from './navigation.ts';
import { nestingChecks } from './nesting.ts';

/** Called by the editor; a rejection is a failed run. */
export function run(): Promise<void> {
  return runChecks([...startChecks, ...diskChecks, ...findingChecks, ...navigationChecks, ...nestingChecks, ...fileChecks]);
}
