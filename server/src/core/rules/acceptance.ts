/**
 * Acceptances: findings a person has looked at and lets stand, with a reason.
 *
 * They come from the timeline itself (on a clip, a track or the whole) and from the settings (by code and clip name). One
 * that matches nothing is reported, since it would silence the same error if it came back.
 */

import { isUnread } from '../alignment/lookup.ts';
import type { Settings } from '../alignment/settings.ts';
import type { Span } from '../text/span.ts';
import type { Acceptance, Timeline } from '../timeline/model.ts';
import { isFindingCode, unusedAcceptance } from './acceptedUnused.ts';
import type { AuditContext } from './context.ts';
import type { Finding } from './finding.ts';
import type { FindingDraft } from './rule.ts';

export interface AcceptedFinding {
  readonly finding: Finding;
  readonly reason: string;
}

interface OpenAcceptance {
  readonly code: string;
  readonly reason: string;
  /** Null for one in the timeline. */
  readonly file: string | null;
  readonly span: Span;
  readonly covers: (finding: Finding) => boolean;
}

/**
 * Without a report that can be read, nothing says which acceptances are needed: only a misspelt one is told, lest a person removes the
 * others.
 */
export function settleAcceptances(
  { timeline, settings, reports }: Pick<AuditContext, 'timeline' | 'settings' | 'reports'>,
  found: readonly Finding[],
): {
  readonly findings: readonly Finding[];
  readonly accepted: readonly AcceptedFinding[];
  readonly unused: readonly FindingDraft[];
} {
  const acceptances = openAcceptances(timeline, settings);
  if (acceptances.length === 0) return { findings: found, accepted: [], unused: [] };
  const used = new Set<OpenAcceptance>();
  const findings: Finding[] = [];
  const accepted: AcceptedFinding[] = [];
  for (const finding of found) {
    const matching = acceptances.filter((acceptance) => acceptance.code === finding.code && acceptance.covers(finding));
    for (const acceptance of matching) used.add(acceptance);
    const [first] = matching;
    if (first === undefined) findings.push(finding);
    else accepted.push({ finding, reason: first.reason });
  }
  const isBlind = reports.every(isUnread);
  const unused = acceptances
    .filter((acceptance) => !used.has(acceptance) && !(isBlind && isFindingCode(acceptance.code)))
    .map((acceptance) => unusedAcceptance(acceptance.code, acceptance.file, acceptance.span));
  return { findings, accepted, unused };
}

function openAcceptances(timeline: Timeline, settings: Settings): readonly OpenAcceptance[] {
  return [
    ...timeline.acceptances.map((acceptance) => ({
      code: acceptance.code,
      reason: acceptance.reason,
      file: null,
      span: acceptance.span,
      covers: coverage(acceptance),
    })),
    ...settings.acceptances.map((acceptance) => ({
      code: acceptance.code,
      reason: acceptance.reason,
      file: settings.file,
      span: acceptance.span,
      covers: (finding: Finding) =>
        acceptance.clip === null || finding.clips.some((clip) => timeline.clips[clip]?.name === acceptance.clip),
    })),
  ];
}

function coverage(acceptance: Acceptance): (finding: Finding) => boolean {
  if (acceptance.clips === 'all') return () => true;
  const clips = new Set(acceptance.clips);
  return (finding) => finding.clips.some((clip) => clips.has(clip));
}
