/**
 * What a check of a timeline means as a test, and the words for it.
 *
 * A test that passed is a promise, so it is made only of a cut that was compared: where nothing was, the test is skipped and the
 * sentence says why. What fails is what fails on the command line by itself, which is `--fail-on error`; the rest is told and
 * fails nothing.
 */

import { visibleText } from '../../../server/src/core/report/visibleText.ts';
import type { TimelineStatus } from '../../../server/src/lsp/messages.ts';

export type Severity = 'error' | 'warning' | 'information';

export interface TestFinding {
  readonly severity: Severity;
  readonly code: string;
  readonly message: string;
  /** As people count, from 1. */
  readonly line: number;
  readonly column: number;
}

export type Outcome = 'passed' | 'failed' | 'skipped' | 'errored';

type Counts = Pick<TimelineStatus, 'clipCount' | 'comparisonCount' | 'unreadableCount'>;

/** The command line's own choice where nobody makes another. */
export const FAILING: Severity = 'error';

export function outcomeOf(
  { clipCount, comparisonCount, unreadableCount }: Counts,
  findings: readonly Pick<TestFinding, 'severity'>[],
): Outcome {
  if (clipCount === 0 && unreadableCount > 0) return 'errored';
  if (findings.some(({ severity }) => severity === FAILING)) return 'failed';
  return comparisonCount === 0 ? 'skipped' : 'passed';
}

export interface CheckedTimeline {
  /** As a person would type it. */
  readonly path: string;
  readonly outcome: Outcome;
  readonly summary: string;
  readonly reportReason: string;
  readonly acceptedCount: number;
  readonly findings: readonly TestFinding[];
}

/** What a person reads of one timeline: what became of it, against what it was held, and what was found. */
export function checkLines(checked: CheckedTimeline): readonly string[] {
  const { path, outcome, reportReason, acceptedCount, findings } = checked;
  const accepted = acceptedCount === 0 ? '' : `, ${acceptedCount} accepted`;
  const verdict = outcome === 'skipped' ? '' : `${OUTCOME_WORDS[outcome]}: `;
  return [
    `${path}: ${verdict}${headline(checked)}${accepted}`,
    `  ${reportReason}`,
    ...findings.map(
      ({ severity, code, message, line, column }) => `  ${path}:${line}:${column}: ${severity} ${code}: ${message}`,
    ),
  ].map(visibleText);
}

/** The one line that stands beside the name of the test. */
export function headline({ outcome, summary }: Pick<CheckedTimeline, 'outcome' | 'summary'>): string {
  if (outcome === 'errored') return "this text can't be read as a timeline";
  // '2 unmeasured' alone would leave open whether the rest was compared.
  return outcome === 'skipped' && !summary.startsWith(NOTHING) ? `${NOTHING}: ${summary}` : summary;
}

/** The same of a file that can't be read; `reason` is the rest of a sentence that begins with its name. */
export function unreadLine(path: string, reason: string): string {
  return visibleText(`${path}: ${OUTCOME_WORDS.errored}: the file ${reason}`);
}

/** '3 timelines: 1 passed, 1 failed, 1 not compared'. */
export function runLine(outcomes: readonly Outcome[]): string {
  const parts = (Object.keys(OUTCOME_WORDS) as Outcome[]).flatMap((outcome) => {
    const count = outcomes.filter((each) => each === outcome).length;
    return count === 0 ? [] : [`${count} ${OUTCOME_WORDS[outcome]}`];
  });
  return `${outcomes.length} ${outcomes.length === 1 ? 'timeline' : 'timelines'}: ${parts.join(', ')}`;
}

const NOTHING = 'nothing compared';

const OUTCOME_WORDS: Readonly<Record<Outcome, string>> = {
  passed: 'passed',
  failed: 'failed',
  skipped: 'not compared',
  errored: 'not read',
};
