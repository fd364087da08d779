/**
 * A review of two versions as sections of lines, before anybody decides whether they are printed or written as Markdown.
 */

import { shownClip } from '../review/clipChanges.ts';
import type { ReviewClip } from '../review/reviewClip.ts';
import { type CutReview, isEmptyReview } from '../review/reviewCut.ts';
import type { SyncChange } from '../review/syncChanges.ts';
import type { Finding } from '../rules/finding.ts';
import type { Span } from '../text/span.ts';
import type { ShownSeverity } from './checkedFile.ts';
import { lagCell, reviewWords } from './reviewWords.ts';

type Side = 'old' | 'new';

export interface ReviewLine {
  /** Which of the two files the line speaks of, and where in it. `file` is set for findings in a report. */
  readonly place: { readonly side: Side; readonly file: string | null; readonly span: Span };
  readonly severity: ShownSeverity | null;
  /** Stands before the text: a finding code; null for none. */
  readonly label: string | null;
  readonly text: string;
}

interface SyncRow {
  readonly sound: string;
  readonly picture: string;
  readonly before: string;
  readonly after: string;
  readonly verdict: string;
}

export interface ReviewPage {
  /** One sentence: what happened to sync. */
  readonly headline: string;
  readonly isEmpty: boolean;
  readonly timeline: readonly string[];
  readonly sync: readonly (ReviewLine & { readonly row: SyncRow })[];
  readonly appeared: readonly ReviewLine[];
  readonly gone: readonly ReviewLine[];
  readonly silenced: readonly ReviewLine[];
  readonly blocks: readonly ReviewLine[];
  readonly clips: readonly ReviewLine[];
  /** What did not change, in numbers. */
  readonly rest: string;
}

export function reviewPage(review: CutReview): ReviewPage {
  const words = reviewWords(review);
  const { sync, findings, blocks, clips } = review;
  return {
    headline: headline(review),
    isEmpty: isEmptyReview(review),
    timeline: review.timeline.map(words.timeline),
    sync: sync.changes.map((change) => ({
      ...lineFor('new', change.sound.now, words.sync(change)),
      row: syncRow(change, words.soundPlace(change)),
    })),
    appeared: findings.appeared.map(({ finding, before }) =>
      findingLine('new', finding, before === null ? finding.message : `${finding.message} It was there before and is worse now.`),
    ),
    gone: findings.gone.map((finding) => findingLine('old', finding, finding.message)),
    silenced: findings.silenced.map(({ finding, reason }) =>
      findingLine('new', finding, `${finding.message} It is accepted: ${reason}`),
    ),
    blocks: blocks.map((block) => lineFor('new', block.clips[0] as ReviewClip, words.block(block))),
    clips: clips.map((change) => lineFor(change.kind === 'removed' ? 'old' : 'new', shownClip(change), words.clip(change))),
    rest: restInWords(review),
  };
}

function headline(review: CutReview): string {
  const { sync, findings } = review;
  if (isEmptyReview(review)) return 'Nothing changed that a timeline says.';
  const slips = sync.changes.length;
  const sentences = [
    slips === 0
      ? 'No sound changed against its picture.'
      : `${counted(slips, 'sound', 'sounds')} changed against ${slips === 1 ? 'its picture' : 'their pictures'}.`,
  ];
  if (findings.appeared.length > 0) sentences.push(`${counted(findings.appeared.length, 'finding', 'findings')} appeared.`);
  if (findings.gone.length > 0) sentences.push(`${counted(findings.gone.length, 'finding', 'findings')} went away.`);
  if (findings.silenced.length > 0) {
    sentences.push(`${counted(findings.silenced.length, 'finding is', 'findings are')} there and accepted now.`);
  }
  return sentences.join(' ');
}

function restInWords({ sync, findings, unchangedClipCount }: CutReview): string {
  const parts = [`${counted(unchangedClipCount, 'clip', 'clips')} as before`];
  if (sync.unchangedCount > 0) {
    parts.push(`${counted(sync.unchangedCount, 'pair', 'pairs')} touched with the same lag as before`);
  }
  if (findings.stayedCount > 0) parts.push(`${counted(findings.stayedCount, 'finding', 'findings')} as before`);
  return `${parts.join(', ')}.`;
}

function syncRow({ picture, pair, lag, verdict, isTogether }: SyncChange, place: string): SyncRow {
  return {
    sound: pair === null ? place : `${pair.sound}: ${place}`,
    picture: pair?.picture ?? picture.now.clip.name,
    before: lagCell(lag?.before ?? null),
    after: `${lagCell(lag?.after ?? null)}${isTogether ? '' : ', apart now'}`,
    verdict: `${verdict.before ?? 'not compared'}, now ${verdict.after ?? 'not compared'}`,
  };
}

function lineFor(side: Side, { clip }: ReviewClip, text: string): ReviewLine {
  return { place: { side, file: null, span: clip.start?.span ?? clip.nameSpan ?? clip.span }, severity: null, label: null, text };
}

function findingLine(side: Side, { code, severity, place }: Finding, text: string): ReviewLine {
  return { place: { side, ...place }, severity, label: code, text };
}

function counted(count: number, one: string, many: string): string {
  return `${count} ${count === 1 ? one : many}`;
}
