/**
 * report-invalid: the report or settings file breaks its schema or contradicts itself.
 *
 * These findings stand on the report's or settings' own characters; `reportFindings` of the audit collects them, so that a
 * wrong report is told once and not again with each timeline that uses it.
 */

import type { FileProblem } from '../alignment/model.ts';
import { draft, type FindingDraft, type Rule } from './rule.ts';

export const reportInvalid: Rule = {
  code: 'report-invalid',
  defaultSeverity: 'error',
  documentation: {
    title: 'The report or the settings are wrong',
    what: 'A report (*.alignment.json) or settings file (afterclap.json) breaks its schema or contradicts itself: a pair that names nobody, a clap outside its file, two pairs that disagree, a rate of zero, an unknown setting.',
    why: 'Every check is only as good as the report. What could not be understood was left out, so less was checked than it seems.',
    whatToDo: 'Mend it at the place shown. The editor offers the members and their meaning while you type.',
    sources: ["the project's own JSON Schemas for report and settings"],
  },
  check: () => [],
};

/** One draft for each problem of a file. */
export function problemDrafts(problems: readonly FileProblem[]): readonly FindingDraft[] {
  return problems.map((problem) =>
    draft({ message: problem.message, place: { file: problem.file, span: problem.span }, severity: problem.severity }),
  );
}
