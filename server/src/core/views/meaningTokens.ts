/**
 * What each sound clip of a timeline is, by meaning: in, leads, lags, drifts, unmeasured. The grammar colours structure;
 * these colour the names and the numbers that a verdict is about.
 *
 * Invariants: tokens rise and do not overlap; none goes over the end of a line.
 */

import type { Audit } from '../audit.ts';
import type { Verdict } from '../rules/comparison.ts';
import type { Span } from '../text/span.ts';
import { textOf } from '../text/span.ts';
import type { Clip } from '../timeline/model.ts';
import { clipsWithin } from './clipsWithin.ts';
import { comparisonsOf, worstOf } from './worstComparison.ts';

export type Meaning = Verdict | 'unmeasured';

/** In the order in which editors are told of them. */
export const MEANINGS: readonly Meaning[] = ['in', 'leads', 'lags', 'drifts', 'unmeasured'];

export interface MeaningToken {
  readonly span: Span;
  readonly meaning: Meaning;
}

export function meaningTokensIn(result: Audit, range: Span): readonly MeaningToken[] {
  const unmeasured = new Set(
    result.findings.filter(({ code }) => code === 'unmeasured').flatMap(({ clips }) => clips.slice(0, 1)),
  );
  const comparisonsByText = new Map<number, Clip[]>();
  for (const clip of clipsWithin(result.timeline, range)) {
    if (clip.role !== 'sound') continue;
    const group = comparisonsByText.get(clip.textGroup);
    if (group === undefined) comparisonsByText.set(clip.textGroup, [clip]);
    else group.push(clip);
  }
  const tokens: MeaningToken[] = [];
  for (const group of comparisonsByText.values()) {
    const [clip] = group as [Clip];
    const worst = worstOf(group.flatMap((member) => comparisonsOf(result.context, member)));
    const isUnmeasured = group.some(({ index }) => unmeasured.has(index));
    const meaning = worst?.verdict ?? (isUnmeasured ? 'unmeasured' : null);
    if (meaning === null) continue;
    for (const span of [clip.nameSpan, clip.start?.span]) {
      if (span === null || span === undefined || span.end < range.start || span.start > range.end) continue;
      if (span.end > span.start && !/[\r\n]/.test(textOf(result.input.text, span))) tokens.push({ span, meaning });
    }
  }
  return withoutOverlaps(tokens.sort((left, right) => left.span.start - right.span.start));
}

function withoutOverlaps(tokens: readonly MeaningToken[]): readonly MeaningToken[] {
  let end = -1;
  return tokens.filter(({ span }) => {
    if (span.start < end) return false;
    end = span.end;
    return true;
  });
}
