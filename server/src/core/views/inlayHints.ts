/**
 * The lag of each compared sound clip, written after the number that decides it.
 *
 * In an edit decision list the hint stands at the end of the event's line, since a word between the columns would push them
 * apart. One event on several channels gets one hint, for the worst of them.
 *
 * Cost: only clips in the asked range are looked at.
 */

import type { Audit } from '../audit.ts';
import type { Comparison } from '../rules/comparison.ts';
import type { Span } from '../text/span.ts';
import type { Clip } from '../timeline/model.ts';
import { clipsWithin } from './clipsWithin.ts';
import { lagLabel } from './lagLabel.ts';
import { comparisonsOf, worstOf } from './worstComparison.ts';

/** `problems`: only clips that are not in. */
export type HintChoice = 'off' | 'problems' | 'all';

export interface InlayHint {
  readonly offset: number;
  readonly label: string;
  /** Index of the clip it is about; null for the note that says hints were left out. */
  readonly clip: number | null;
}

/** A screen holds far fewer; a whole long timeline asked for at once is cut here, and the last hint says so. */
const LARGEST_HINT_COUNT = 2000;

export function inlayHintsIn(result: Audit, range: Span, choice: HintChoice): readonly InlayHint[] {
  if (choice === 'off') return [];
  const comparisonsByText = new Map<number, { readonly clip: Clip; readonly comparisons: Comparison[] }>();
  for (const clip of clipsWithin(result.timeline, range)) {
    if (clip.role !== 'sound') continue;
    const comparisons = comparisonsOf(result.context, clip);
    if (comparisons.length === 0) continue;
    const known = comparisonsByText.get(clip.textGroup);
    if (known === undefined) comparisonsByText.set(clip.textGroup, { clip, comparisons: [...comparisons] });
    else known.comparisons.push(...comparisons);
  }
  const hints: InlayHint[] = [];
  let leftOut = 0;
  for (const { clip, comparisons } of comparisonsByText.values()) {
    const worst = worstOf(comparisons) as Comparison;
    if (choice === 'problems' && worst.verdict === 'in') continue;
    const offset = placeOf(result, clip);
    if (offset < range.start || offset > range.end) continue;
    if (hints.length === LARGEST_HINT_COUNT) leftOut += 1;
    else hints.push({ offset, label: labelOf(result, worst, comparisons), clip: worst.soundClip });
  }
  if (leftOut > 0) {
    const last = hints.at(-1) as InlayHint;
    hints.push({ offset: last.offset, label: `and ${leftOut} more clips without a hint: ask for a shorter range`, clip: null });
  }
  return hints;
}

function labelOf({ timeline }: Audit, worst: Comparison, comparisons: readonly Comparison[]): string {
  const out = comparisons.filter(({ verdict }) => verdict !== 'in').length;
  const more = out > 1 ? ` (${out} of ${comparisons.length} out)` : '';
  return `${lagLabel(worst, timeline.rate)}${more}`;
}

function placeOf({ input, timeline }: Audit, clip: Clip): number {
  const after = clip.start?.span.end ?? clip.nameSpan?.end ?? clip.span.end;
  if (timeline.format !== 'edl') return after;
  for (let offset = after; offset < input.text.length; offset += 1) {
    const code = input.text.charCodeAt(offset);
    if (code === 10 || code === 13) return offset;
  }
  return input.text.length;
}
