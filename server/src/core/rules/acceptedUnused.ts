/**
 * accepted-unused: an acceptance that no longer matches a finding. The audit itself knows which were used, so it hands them here.
 */

import type { Span } from '../text/span.ts';
import { FINDING_CODES } from './finding.ts';
import { draft, type FindingDraft, type Rule } from './rule.ts';

export const acceptedUnused: Rule = {
  code: 'accepted-unused',
  defaultSeverity: 'information',
  isUnnecessary: true,
  documentation: {
    title: 'An acceptance that matches nothing',
    what: 'A finding was accepted here with a reason, but there is no such finding any more, or its code is misspelt.',
    why: 'An acceptance left behind would silence the same error if it came back.',
    whatToDo: 'Remove the acceptance, or correct its code if it was misspelt.',
    sources: ['common practice'],
  },
  check: () => [],
};

/** One draft for an acceptance nobody used. `file` is null for one in the timeline. */
export function unusedAcceptance(code: string, file: string | null, span: Span): FindingDraft {
  return draft({
    message: isFindingCode(code)
      ? `Nothing is found here that '${code}' would accept. Remove the acceptance, or it will silence the error if it comes back.`
      : `'${code}' is no finding code, so this accepts nothing. Codes are words such as sound-leads; 'afterclap explain' lists them.`,
    place: { file, span },
  });
}

export function isFindingCode(code: string): boolean {
  return (FINDING_CODES as readonly string[]).includes(code);
}
