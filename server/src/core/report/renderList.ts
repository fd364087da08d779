/**
 * A timeline as lines of text: one for each clip, in record order, so that a line diff of two versions shows what was done to the
 * cut and nothing of how the file is laid out.
 *
 * Nothing here depends on white space, on the order of members or on line numbers. Times are exact: a label, and the part of a
 * frame as a fraction. Columns are parted by tabs for programs, by blanks for a person.
 */

import type { Audit } from '../audit.ts';
import { formatFor } from '../formats/formatFor.ts';
import { mediaName } from '../review/mediaKey.ts';
import type { Comparison, Verdict } from '../rules/comparison.ts';
import { isSampleRate, type Rate, rateLabel, secondsToCount } from '../time/rate.ts';
import {
  absolute,
  add,
  compare,
  equals,
  floor,
  formatRational,
  isZero,
  multiply,
  type Rational,
  rational,
  round,
  sign,
  subtract,
  ZERO,
} from '../time/rational.ts';
import { formatTimecode } from '../time/timecode.ts';
import type { Clip, Speed, Timeline } from '../timeline/model.ts';
import { hasTimecode } from '../views/timeText.ts';
import { alignedLines } from './alignedLines.ts';
import { visibleText } from './visibleText.ts';

const LIST_COLUMNS = [
  'record in',
  'record out',
  'track',
  'media',
  'source in',
  'source out',
  'rate',
  'speed',
  'pair',
  'lag',
  'verdict',
] as const;

const NOTHING = '-';

/** Verdicts from good to bad: a clip with several shows the worst. */
const VERDICT_ORDER: readonly Verdict[] = ['in', 'lags', 'drifts', 'leads'];

/** `notes`: what a person should know besides, a line each. `isAligned`: for a terminal. */
export function renderList(audit: Audit, notes: readonly string[], isAligned: boolean): string {
  const { timeline } = audit;
  const comparisons = comparisonsByClip(audit.comparisons);
  const rows = inRecordOrder(timeline).map((clip) => rowOf(timeline, clip, comparisons.get(clip.index) ?? []));
  const trouble = timeline.observations.flatMap((observation) =>
    observation.kind === 'unreadable' || observation.kind === 'limit' ? [observation.message] : [],
  );
  const lines = [
    noteLine(describe(timeline)),
    ...tableLines([LIST_COLUMNS.map((column, index) => (index === 0 ? `# ${column}` : column)), ...rows], isAligned),
    ...[...trouble, ...notes].map((note) => noteLine(`note: ${note}`)),
  ];
  return `${lines.join('\n')}\n`;
}

/** A line that is no clip. */
export function noteLine(text: string): string {
  return `# ${visibleText(text)}`;
}

function describe({ format, rate, startFrame, isDropFrame, clips }: Timeline): string {
  const start = startFrame === null ? 'start not stated' : `starts at ${exactTimecode(startFrame, rate, isDropFrame)}`;
  const counting = isDropFrame ? ', drop-frame' : '';
  return `${formatFor(format).title}, ${rateLabel(rate)} frames per second${counting}, ${start}, ${clips.length} ${clips.length === 1 ? 'clip' : 'clips'}`;
}

function inRecordOrder({ clips }: Timeline): readonly Clip[] {
  return clips.toSorted(
    (left, right) => compare(left.record.start, right.record.start) || left.track - right.track || left.index - right.index,
  );
}

function rowOf(timeline: Timeline, clip: Clip, comparisons: readonly Comparison[]): readonly string[] {
  const { rate, startFrame, isDropFrame } = timeline;
  const recordLabel = (seconds: Rational): string =>
    exactTimecode(add(startFrame ?? ZERO, secondsToCount(seconds, rate)), rate, isDropFrame);
  const clipRate = clip.start?.rate ?? rate;
  const isDropSource = clip.start?.isDropFrame ?? false;
  const sourceEnd = sourceEndOf(clip);
  return [
    recordLabel(clip.record.start),
    recordLabel(clip.record.end),
    timeline.tracks[clip.track]?.name ?? NOTHING,
    mediaName(clip) || NOTHING,
    sourceLabel(clip.sourceStart, clipRate, isDropSource),
    sourceEnd === null ? '?' : sourceLabel(sourceEnd, clipRate, isDropSource),
    rateLabel(clipRate),
    speedLabel(clip.speed),
    distinct(comparisons.map(({ pair }) => `${pair.picture.key}/${pair.sound.key}`)),
    distinct(comparisons.map(({ lag }) => lagLabel(lag))),
    verdictLabel(clip, comparisons),
  ];
}

function sourceEndOf({ speed, sourceStart, record }: Clip): Rational | null {
  if (speed.kind !== 'constant') return null;
  return add(sourceStart, multiply(speed.scalar, subtract(record.end, record.start)));
}

/** A timecode label, or a count of samples. */
function sourceLabel(seconds: Rational, rate: Rate, isDropFrame: boolean): string {
  const count = secondsToCount(seconds, rate);
  return isSampleRate(rate) || !hasTimecode(rate) ? formatRational(count) : exactTimecode(count, rate, isDropFrame);
}

/** '01:00:00:12', '01:00:00:12+1/4'; before zero '-00:00:00:12'. */
function exactTimecode(frames: Rational, rate: Rate, isDropFrame: boolean): string {
  if (sign(frames) < 0) return `-${exactTimecode(absolute(frames), rate, isDropFrame)}`;
  if (!hasTimecode(rate)) return formatRational(frames);
  const whole = floor(frames);
  const part = subtract(frames, rational(whole));
  const label = formatTimecode(Number(whole), rate, isDropFrame);
  return isZero(part) ? label : `${label}+${formatRational(part)}`;
}

function speedLabel(speed: Speed): string {
  return speed.kind === 'constant' ? formatRational(speed.scalar) : '?';
}

function lagLabel({ head, tail }: Comparison['lag']): string {
  if (equals(head, tail)) return lagText(head);
  return `${lagText(head)} to ${lagText(tail)}`;
}

/** 'leads 41.708 ms', rounded to the thousandth; 'exact'. */
function lagText(seconds: Rational): string {
  if (isZero(seconds)) return 'exact';
  const microseconds = round(multiply(absolute(seconds), rational(1_000_000)));
  const text = `${microseconds / 1000n}.${String(microseconds % 1000n).padStart(3, '0')} ms`;
  return `${sign(seconds) < 0 ? 'leads' : 'lags'} ${text}`;
}

function verdictLabel(clip: Clip, comparisons: readonly Comparison[]): string {
  if (!clip.isEnabled) return 'disabled';
  if (clip.doubt !== null) return 'doubtful';
  const worst = Math.max(-1, ...comparisons.map(({ verdict }) => VERDICT_ORDER.indexOf(verdict)));
  return VERDICT_ORDER[worst] ?? NOTHING;
}

function distinct(texts: readonly string[]): string {
  return texts.length === 0 ? NOTHING : [...new Set(texts)].join('; ');
}

function comparisonsByClip(comparisons: readonly Comparison[]): ReadonlyMap<number, readonly Comparison[]> {
  const byClip = new Map<number, Comparison[]>();
  for (const comparison of comparisons) {
    for (const clip of [comparison.pictureClip, comparison.soundClip]) {
      const known = byClip.get(clip);
      if (known === undefined) byClip.set(clip, [comparison]);
      else known.push(comparison);
    }
  }
  return byClip;
}

function tableLines(rows: readonly (readonly string[])[], isAligned: boolean): readonly string[] {
  const shown = rows.map((row) => row.map((cell) => visibleText(cell)));
  return isAligned ? alignedLines(shown) : shown.map((row) => row.join('\t'));
}
