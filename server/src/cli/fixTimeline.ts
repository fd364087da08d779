/**
 * Makes the safe fixes of a timeline on its bytes, as often as they bring new ones, and never worse than before.
 */

import { type Audit, fixAll } from '../core/audit.ts';
import type { Fix } from '../core/rules/finding.ts';
import { applyEdits } from '../core/text/textEdit.ts';
import { editBytes, type TextFile } from './textFile.ts';
import { UserError } from './userError.ts';

/** One run is the rule; a second happens when two fixes met on the same characters. More than these would be going in circles. */
const MOST_RUNS = 10;

export interface FixedTimeline {
  readonly audit: Audit;
  readonly file: TextFile;
  readonly fixes: readonly Fix[];
}

/** Nothing is written. Throws a UserError when a fix can't be written down or would bring new errors. */
export function fixTimeline(path: string, file: TextFile, checked: Audit, auditText: (text: string) => Audit): FixedTimeline {
  let now: FixedTimeline = { audit: checked, file, fixes: [] };
  for (let run = 0; run < MOST_RUNS; run += 1) {
    const { edits, fixes } = fixAll(now.audit, null);
    const text = edits.length === 0 ? null : applyEdits(now.file.text, edits);
    if (text === null || text === now.file.text) break;
    const bytes = editBytes(now.file, edits);
    now = { audit: auditText(text), file: { ...now.file, bytes, text }, fixes: [...now.fixes, ...fixes] };
  }
  if (errorCount(now.audit) > errorCount(checked)) {
    throw new UserError(`${path}: the fixes would bring new errors, so nothing was written; this is a bug, please report it`);
  }
  return now;
}

function errorCount({ findings }: Audit): number {
  return findings.filter(({ severity }) => severity === 'error').length;
}
