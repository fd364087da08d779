/**
 * A review of two versions as one JSON object, for programs. Public and versioned, as the output of `check`: members keep their
 * names and meaning; new ones may be added.
 *
 * Rationals are `num/den` or an integer, in seconds. `by` is positive for later, in record time for `moved`, in media time for
 * `slipped`, as heard for `sync`. Lines and columns count from 1, columns in UTF-16 units. `text`, `headline`, `rest` and `report` are
 * the sentences that people get; programs should not take them apart.
 */

import type { ChangePart, ClipChange } from '../review/clipChange.ts';
import { mediaName } from '../review/mediaKey.ts';
import type { MovedBlock } from '../review/movedBlocks.ts';
import type { ReviewClip } from '../review/reviewClip.ts';
import type { CutReview, TimelineChange } from '../review/reviewCut.ts';
import type { SyncChange } from '../review/syncChanges.ts';
import type { Finding } from '../rules/finding.ts';
import { buildLineIndex, type LineIndex, positionAt } from '../text/lineIndex.ts';
import type { Span } from '../text/span.ts';
import { formatRational, type Rational } from '../time/rational.ts';
import type { Speed, Timeline } from '../timeline/model.ts';
import type { ReviewNames } from './renderCompareText.ts';
import { reviewPage } from './reviewPage.ts';

const COMPARE_JSON_VERSION = 1;

interface Side {
  readonly timeline: Timeline;
  readonly index: LineIndex;
}

export function renderCompareJson(review: CutReview, names: ReviewNames): string {
  const old: Side = { timeline: review.old.timeline, index: buildLineIndex(review.old.input.text) };
  const now: Side = { timeline: review.now.timeline, index: buildLineIndex(review.now.input.text) };
  // Its lines stand in the order of what they are about.
  const page = reviewPage(review);
  const document = {
    version: COMPARE_JSON_VERSION,
    old: fileMember(names.old, old.timeline),
    new: fileMember(names.now, now.timeline),
    alignments: review.now.input.reports.map(({ file }) => file),
    report: names.reportReason,
    headline: page.headline,
    timeline: review.timeline.map((change, index) => ({ ...timelineMember(change), text: page.timeline[index] })),
    sync: review.sync.changes.map((change, index) => ({ ...syncMember(change, now), text: page.sync[index]?.text })),
    findings: {
      appeared: review.findings.appeared.map(({ finding, before }) => ({
        ...findingMember(finding, now),
        before: before === null ? null : findingMember(before, old),
      })),
      gone: review.findings.gone.map((finding) => findingMember(finding, old)),
      accepted: review.findings.silenced.map(({ finding, reason }) => ({ ...findingMember(finding, now), reason })),
      stayed: review.findings.stayedCount,
    },
    blocks: review.blocks.map((block, index) => ({ ...blockMember(block, now), text: page.blocks[index]?.text })),
    clips: review.clips.map((change, index) => ({ ...changeMember(change, old, now), text: page.clips[index]?.text })),
    unchangedClips: review.unchangedClipCount,
    rest: page.isEmpty ? null : page.rest,
  };
  return `${JSON.stringify(document, null, 2)}\n`;
}

function fileMember(path: string, { format, rate }: Timeline): object {
  return { path, format, rate: formatRational(rate) };
}

function timelineMember(change: TimelineChange): object {
  switch (change.kind) {
    case 'rate':
    case 'start':
      return { what: change.kind, old: formatRational(change.old), new: formatRational(change.now) };
    case 'counting':
      return { what: change.kind, old: !change.isDropFrame, new: change.isDropFrame };
  }
}

function syncMember({ picture, sound, pair, by, lag, verdict, isTogether }: SyncChange, now: Side): object {
  return {
    picture: pair?.picture ?? null,
    sound: pair?.sound ?? null,
    pictureClip: clipMember(picture.now, now),
    soundClip: clipMember(sound.now, now),
    by: formatRational(by),
    lag: lag === null ? null : { before: formatRational(lag.before), after: formatRational(lag.after) },
    verdict: { before: verdict.before, after: verdict.after },
    together: isTogether,
  };
}

function findingMember({ code, severity, message, place, lag }: Finding, side: Side): object {
  return {
    code,
    severity,
    message,
    // A finding in a report names the file; its lines are told by `check`.
    file: place.file,
    range: place.file === null ? rangeMember(place.span, side) : null,
    lag: lag === null ? null : { head: formatRational(lag.head), tail: formatRational(lag.tail) },
  };
}

function blockMember({ by, clips }: MovedBlock, now: Side): object {
  return { by: formatRational(by), count: clips.length, clips: clips.map((clip) => clipMember(clip, now)) };
}

function changeMember(change: ClipChange, old: Side, now: Side): object {
  switch (change.kind) {
    case 'added':
      return { what: [{ kind: 'added' }], old: [], new: [clipMember(change.now, now)] };
    case 'removed':
      return { what: [{ kind: 'removed' }], old: [clipMember(change.old, old)], new: [] };
    case 'changed':
      return {
        what: change.parts.map(partMember),
        old: [change.old, ...change.joined].map((clip) => clipMember(clip, old)),
        new: [change.now, ...change.pieces].map((clip) => clipMember(clip, now)),
      };
  }
}

function partMember(part: ChangePart): object {
  switch (part.kind) {
    case 'moved':
    case 'slipped':
      return { kind: part.kind, by: formatRational(part.by) };
    case 'recut':
      return { kind: part.kind, head: formatRational(part.head), tail: formatRational(part.tail) };
    case 'split':
      return { kind: part.kind, into: part.into, without: formatRational(part.without) };
    case 'joined':
      return { kind: part.kind, from: part.from, filled: formatRational(part.filled) };
    case 'replaced':
      return { kind: part.kind, old: part.old, new: part.now };
    case 'retimed':
      return { kind: part.kind, old: speedMember(part.old), new: speedMember(part.now) };
    case 'rate':
      return { kind: part.kind, old: formatRational(part.old), new: formatRational(part.now) };
    case 'transition':
      return { kind: part.kind, end: part.end, old: formatRational(part.old), new: formatRational(part.now) };
    case 'enabled':
    case 'disabled':
    case 'track':
      return { kind: part.kind };
  }
}

/** Null for a speed that is not known. */
function speedMember(speed: Speed): string | null {
  return speed.kind === 'constant' ? formatRational(speed.scalar) : null;
}

function clipMember({ clip }: ReviewClip, side: Side): object {
  const text = (value: Rational): string => formatRational(value);
  return {
    name: clip.name,
    track: side.timeline.tracks[clip.track]?.name ?? '',
    media: mediaName(clip),
    record: { start: text(clip.record.start), end: text(clip.record.end) },
    source: text(clip.sourceStart),
    enabled: clip.isEnabled,
    range: rangeMember(clip.start?.span ?? clip.nameSpan ?? clip.span, side),
  };
}

function rangeMember({ start, end }: Span, { index }: Side): object {
  return { start: placeMember(index, start), end: placeMember(index, end) };
}

function placeMember(index: LineIndex, offset: number): object {
  const { line, column } = positionAt(index, offset);
  return { line: line + 1, column: column + 1 };
}
