/**
 * What a person who cuts films wants to see under the pointer: is this clip's sound where the clap says, by how much not,
 * why, and which numbers say so.
 *
 * One sentence answers; the tables prove it. The page of a clip is made from one audit and an offset; nothing is read or
 * remembered. Signs are never shown: sound leads or lags.
 */

import { isUnread } from '../alignment/lookup.ts';
import { mapPictureToSound } from '../alignment/pairLine.ts';
import { toleranceInSeconds } from '../alignment/tolerance.ts';
import type { Audit } from '../audit.ts';
import { causeOf } from '../rules/cause.ts';
import { mediaTimeAt } from '../rules/compareClips.ts';
import type { Comparison } from '../rules/comparison.ts';
import type { AuditContext, ResolvedClip } from '../rules/context.ts';
import { isRetimedApart } from '../rules/offsetFinding.ts';
import type { Span } from '../text/span.ts';
import { touches } from '../text/span.ts';
import { amountOfTime, listInWords, shortLag } from '../text/words.ts';
import { isSampleRate, type Rate, rateLabel, secondsToCount } from '../time/rate.ts';
import { absolute, add, compare, equals, floor, isZero, type Rational, rational, sign, subtract } from '../time/rational.ts';
import type { Clip } from '../timeline/model.ts';
import { clipsAt } from './clipAt.ts';
import type { Block, Page } from './page.ts';
import { pairSentence, startedText } from './pairText.ts';
import { clockText, countText, hasTimecode, lengthText, rateText, timecodeText } from './timeText.ts';
import { comparisonsOf, worstOf } from './worstComparison.ts';

export interface Hover {
  /** What the page is about: the number or name under the pointer, else nothing in particular. */
  readonly span: Span | null;
  readonly page: Page;
}

/** More lines than this in the lag table help nobody; the rest is counted. */
const LARGEST_LAG_ROWS = 6;

/** Null where no clip stands at `offset`. `reportReason` says which report is used and why. */
export function hoverAt(result: Audit, offset: number, reportReason: string): Hover | null {
  const [clip, ...others] = clipsAt(result.timeline, offset);
  if (clip === undefined) return null;
  const { context } = result;
  // One event on several channels: the clip that something was compared with says most.
  const chosen = [clip, ...others].find((candidate) => comparisonsOf(context, candidate).length > 0) ?? clip;
  return { span: spanUnder(chosen, offset), page: pageOf(context, chosen, others.length, reportReason) };
}

/** The page of one clip, wherever the caret is; null when there is no such clip. */
export function hoverOfClip({ timeline, context }: Audit, clip: number, reportReason: string): Page | null {
  const found = timeline.clips[clip];
  if (found === undefined) return null;
  const alike = timeline.clips.filter(({ textGroup }) => textGroup === found.textGroup).length;
  return pageOf(context, found, alike - 1, reportReason);
}

function pageOf(context: AuditContext, clip: Clip, otherCount: number, reportReason: string): Page {
  const comparisons = comparisonsOf(context, clip);
  const worst = worstOf(comparisons);
  const cause = worst === null || worst.verdict === 'in' ? null : causeOf(context, worst);
  const blocks: Block[] = [
    {
      kind: 'headline',
      text: headline(context, clip, comparisons, worst),
      detail: cause === null ? null : `Likely cause: ${cause}.`,
    },
  ];
  if (worst !== null) {
    // One steady lag is said in the headline already.
    if (comparisons.length > 1 || !isSteady(worst)) blocks.push(lagTable(context, comparisons));
    blocks.push(offsetTable(context, worst));
  }
  blocks.push(clipTable(context, clip));
  if (otherCount > 0) {
    blocks.push({ kind: 'note', text: `This event stands on ${otherCount + 1} channels; a change to it changes all of them.` });
  }
  blocks.push({ kind: 'note', text: worst === null ? reportReason : `${reportReason} ${pairSentence(worst.pair)}` });
  if (worst !== null) blocks.push({ kind: 'note', text: toleranceSentence(context, worst) });
  return blocks;
}

function isSteady({ lag }: Pick<Comparison, 'lag'>): boolean {
  return equals(lag.head, lag.tail);
}

function headline(context: AuditContext, clip: Clip, comparisons: readonly Comparison[], worst: Comparison | null): string {
  if (worst === null) return headlineWithout(context, clip);
  const { pair, lag, verdict } = worst;
  const [sound, picture] = [pair.sound.key, pair.picture.key];
  const outCount = comparisons.filter((comparison) => comparison.verdict !== 'in').length;
  const more = outCount > 1 ? ` ${outCount} of its ${comparisons.length} comparisons are out.` : '';
  if (verdict === 'drifts') {
    return `${sound} drifts against ${picture}: it ${shortLag(lag.head)} at the head and ${shortLag(lag.tail)} at the tail.${more}`;
  }
  const largest = compare(absolute(lag.head), absolute(lag.tail)) >= 0 ? lag.head : lag.tail;
  if (isZero(largest)) return `In sync: ${sound} meets ${picture} exactly where the report says.`;
  const frames = lengthText(absolute(largest), context.timeline.rate);
  const others = `${amountOfTime(largest)}, ${lengthText(absolute(largest), pair.sound.sampleRate)}`;
  const verb = sign(largest) < 0 ? 'leads' : 'lags';
  if (verdict === 'in') return `In sync: ${sound} ${verb} ${picture} by ${frames} (${others}), which is allowed.`;
  const retimed = isRetimedApart(context, worst) ? ' Picture and sound run at different speeds.' : '';
  return `${sound} ${verb} ${picture} by ${frames} (${others}).${retimed}${more}`;
}

/** Why there is nothing to compare, in the order in which the reasons hide one another. */
function headlineWithout(context: AuditContext, clip: Clip): string {
  const resolved = context.clips[clip.index];
  const name = clip.name === '' ? 'This clip' : clip.name;
  if (clip.role === 'other') return `${name} is neither picture nor sound; it is not compared.`;
  if (!clip.isEnabled) return `${name} is switched off; it is not compared.`;
  if (clip.doubt !== null) return `${name} is not compared: ${clip.doubt}.`;
  if (clip.speed.kind === 'unknown') return `${name} is not compared: ${clip.speed.reason}.`;
  if (clip.media.kind === 'generator') return `${name} is made by the editing software; there is no recording to compare.`;
  if (context.reports.length === 0) return `${name} can't be checked: there is no alignment report.`;
  if (context.reports.every(isUnread)) return `${name} can't be checked: nothing can be read of the alignment report.`;
  const entry = resolved?.picture ?? resolved?.sound ?? null;
  if (entry === null) return `${name} is in no alignment report, so nothing is known of its sync.`;
  const partners = partnersOf(context, resolved as ResolvedClip);
  if (partners.length === 0) return `The report knows ${entry.key} but pairs it with nothing.`;
  const what = clip.role === 'picture' ? 'No sound' : 'No picture';
  return `${what} of its pair (${listInWords(partners.slice(0, 3))}) stands at the same record time as ${entry.key}.`;
}

function partnersOf(context: AuditContext, { picture, sound }: ResolvedClip): readonly string[] {
  return context.alignment.pairs.flatMap((pair) => {
    if (picture !== null && pair.picture === picture) return [pair.sound.key];
    return sound !== null && pair.sound === sound ? [pair.picture.key] : [];
  });
}

/** How late, in the three units people think in; one line where both ends say the same. */
function lagTable(context: AuditContext, comparisons: readonly Comparison[]): Block {
  const rows: string[][] = [];
  const isSingle = comparisons.length === 1;
  for (const { pair, lag } of comparisons) {
    const against = isSingle ? '' : `${pair.sound.key} on ${pair.picture.key}`;
    const ends: readonly (readonly [string, Rational])[] = isSteady({ lag })
      ? [[isSingle ? 'throughout' : '', lag.head]]
      : [
          ['head', lag.head],
          ['tail', lag.tail],
        ];
    for (const [end, seconds] of ends) {
      const label = [against, end].filter((word) => word !== '').join(', ');
      rows.push([label, ...lagCells(seconds, context.timeline.rate, pair.sound.sampleRate)]);
    }
  }
  const shown = rows.slice(0, LARGEST_LAG_ROWS);
  if (rows.length > shown.length) shown.push([`and ${rows.length - shown.length} more`, '', '', '']);
  return {
    kind: 'table',
    columns: ['Sound', 'by time', `frames at ${rateLabel(context.timeline.rate)}`, 'samples'],
    rows: shown,
  };
}

function lagCells(seconds: Rational, rate: Rate, sampleRate: Rate): readonly string[] {
  if (isZero(seconds)) return ['exact', '0', '0'];
  const verb = sign(seconds) < 0 ? 'leads' : 'lags';
  return [`${verb} ${amountOfTime(seconds)}`, lengthText(absolute(seconds), rate), lengthText(absolute(seconds), sampleRate)];
}

/** What the report expects against what the cut plays, at the head of the overlap. */
function offsetTable(context: AuditContext, comparison: Comparison): Block {
  const { pair, record } = comparison;
  const picture = mediaTimeAt(context.clips[comparison.pictureClip] as ResolvedClip, record.start);
  const found = mediaTimeAt(context.clips[comparison.soundClip] as ResolvedClip, record.start);
  const expected = mapPictureToSound(pair, picture);
  const { rate } = pair.picture;
  const { sampleRate } = pair.sound;
  return {
    kind: 'table',
    columns: [`At ${pair.picture.key} ${countText(picture, rate)}`, 'expected', 'found'],
    rows: [
      [`${pair.sound.key} is at`, countText(expected, sampleRate), countText(found, sampleRate)],
      ['that is', clockText(expected), clockText(found)],
      ['recorder started', startedText(subtract(expected, picture)), startedText(subtract(found, picture))],
    ],
  };
}

function clipTable(context: AuditContext, clip: Clip): Block {
  const { timeline } = context;
  const resolved = context.clips[clip.index] as ResolvedClip;
  const rate = clip.start?.rate ?? timeline.rate;
  const length = subtract(clip.record.end, clip.record.start);
  const rows: string[][] = [];
  if (clip.speed.kind === 'constant') {
    const sourceEnd = add(clip.sourceStart, subtract(mediaTimeAt(resolved, clip.record.end), resolved.mediaStart));
    const used = absolute(subtract(sourceEnd, clip.sourceStart));
    const mediaEnd = subtract(sourceEnd, resolved.origin.seconds);
    rows.push(
      [
        'source',
        sourceText(context, clip, clip.sourceStart),
        sourceText(context, clip, sourceEnd),
        lengthText(used, rate),
        rateText(rate),
      ],
      ['in its file', clockText(resolved.mediaStart), clockText(mediaEnd), clockText(used), fileRateText(resolved)],
    );
  } else {
    rows.push(['source', sourceText(context, clip, clip.sourceStart), '?', '?', rateText(rate)]);
  }
  rows.push(
    [
      'record',
      recordText(context, clip.record.start),
      recordText(context, clip.record.end),
      lengthText(length, timeline.rate),
      rateText(timeline.rate),
    ],
    ['on the timeline', clockText(clip.record.start), clockText(clip.record.end), clockText(length), ''],
  );
  return { kind: 'table', columns: [clip.name === '' ? 'Clip' : clip.name, 'in', 'out', 'length', 'rate'], rows };
}

function sourceText(context: AuditContext, clip: Clip, source: Rational): string {
  const rate = clip.start?.rate ?? context.timeline.rate;
  // A sound's stamp counts samples; people look for it under the timecode that the timeline's frames would give it.
  if (isSampleRate(rate)) return frameOf(context, source);
  const isDropFrame = context.clips[clip.index]?.picture?.isDropFrame ?? context.timeline.isDropFrame;
  return hasTimecode(rate) ? timecodeText(secondsToCount(source, rate), rate, isDropFrame) : countText(source, rate);
}

/** The report's own rate of the file, where it knows it: the second of the two rates that may disagree. */
function fileRateText({ picture, sound, clip }: ResolvedClip): string {
  const rate = picture?.rate ?? sound?.sampleRate ?? clip.media.rate;
  return rate === null ? '' : rateText(rate);
}

function frameOf({ timeline }: AuditContext, source: Rational): string {
  const { rate, isDropFrame } = timeline;
  if (!hasTimecode(rate)) return clockText(source);
  return timecodeText(rational(floor(secondsToCount(source, rate))), rate, isDropFrame);
}

function recordText({ timeline }: AuditContext, record: Rational): string {
  const { rate, startFrame, isDropFrame } = timeline;
  const count = secondsToCount(record, rate);
  if (!hasTimecode(rate)) return countText(record, rate);
  return timecodeText(startFrame === null ? count : add(startFrame, count), rate, isDropFrame);
}

function toleranceSentence(context: AuditContext, { pair }: Comparison): string {
  const { lead, lag } = toleranceInSeconds(context.settings.tolerance, context.timeline.rate, pair.sound.sampleRate);
  const { name } = context.settings.tolerance;
  return `Allowed${name === null ? '' : ` by ${name}`}: sound leads by up to ${amountOfTime(lead)}, lags by up to ${amountOfTime(lag)}.`;
}

function spanUnder(clip: Clip, offset: number): Span | null {
  const { start, length, nameSpan, media } = clip;
  const spans = [start?.span, length?.span, nameSpan, media.urlSpan, media.nameSpan, media.reelSpan];
  return spans.find((span) => span !== undefined && span !== null && touches(span, offset)) ?? null;
}
