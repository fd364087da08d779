/**
 * One line on a whole timeline: '41 in, 2 lead, 1 drifts'.
 *
 * It counts comparisons, not clips, as the lag chart and the command line do. What was not compared is said as well, since
 * 'all in' of half a timeline would be a lie.
 */

import { isUnread } from '../alignment/lookup.ts';
import type { Audit } from '../audit.ts';
import type { Verdict } from '../rules/comparison.ts';

const WORDS: readonly (readonly [verdict: Verdict, one: string, many: string])[] = [
  ['in', 'in', 'in'],
  ['leads', 'leads', 'lead'],
  ['lags', 'lags', 'lag'],
  ['drifts', 'drifts', 'drift'],
];

export function verdictSummary({ comparisons, findings, context }: Audit): string {
  if (context.reports.length === 0) return 'nothing compared: no alignment report';
  if (context.reports.every(isUnread)) return 'nothing compared: the alignment report could not be read';
  const counts = new Map<Verdict, number>();
  for (const { verdict } of comparisons) counts.set(verdict, (counts.get(verdict) ?? 0) + 1);
  const parts = WORDS.flatMap(([verdict, one, many]) => {
    const count = counts.get(verdict) ?? 0;
    return count === 0 ? [] : [`${count} ${count === 1 ? one : many}`];
  });
  const unmeasured = findings.filter(({ code, clips }) => code === 'unmeasured' && clips.length > 0).length;
  if (unmeasured > 0) parts.push(`${unmeasured} unmeasured`);
  return parts.length === 0 ? 'nothing compared: no picture and sound of one pair meet' : parts.join(', ');
}
