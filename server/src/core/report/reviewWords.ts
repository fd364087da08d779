/**
 * What changed between two versions of a cut, in sentences. Text and Markdown say the same words.
 */

import type { ChangePart, ClipChange } from '../review/clipChange.ts';
import type { MovedBlock } from '../review/movedBlocks.ts';
import type { ReviewClip } from '../review/reviewClip.ts';
import type { CutReview, TimelineChange } from '../review/reviewCut.ts';
import type { SyncChange } from '../review/syncChanges.ts';
import { amountInFrames, amountOfTime, lagInWords, listInWords, shortLag } from '../text/words.ts';
import { type Rate, rateLabel } from '../time/rate.ts';
import { equals, isZero, multiply, ONE, type Rational, rational, sign, toNumber } from '../time/rational.ts';
import { formatTimecode } from '../time/timecode.ts';
import type { Speed, Timeline } from '../timeline/model.ts';
import { clipPlaces } from './clipPlaces.ts';

type PlaceOf = (clipIndex: number | undefined) => string | null;

export interface ReviewWords {
  readonly timeline: (change: TimelineChange) => string;
  readonly sync: (change: SyncChange) => string;
  /** Where the sound of a change of sync stands now. */
  readonly soundPlace: (change: SyncChange) => string;
  readonly block: (block: MovedBlock) => string;
  readonly clip: (change: ClipChange) => string;
}

export function reviewWords({ old, now }: CutReview): ReviewWords {
  const oldPlace = clipPlaces(old.timeline);
  const newPlace = clipPlaces(now.timeline);
  const { rate } = now.timeline;
  return {
    timeline: (change) => timelineSentence(change, old.timeline, now.timeline),
    sync: (change) => syncSentence(change, rate),
    soundPlace: ({ sound }) => placeIn(newPlace, sound.now),
    block: (block) => blockSentence(block, newPlace, now.timeline),
    clip: (change) => clipSentence(change, oldPlace, newPlace, rate),
  };
}

/** 'leads by 41.7 ms', and nothing but that. */
export function lagCell(lag: Rational | null): string {
  return lag === null ? 'not known' : shortLag(lag);
}

function timelineSentence(change: TimelineChange, old: Timeline, now: Timeline): string {
  switch (change.kind) {
    case 'rate':
      return `The timeline runs at ${rateLabel(change.now)} frames per second; it ran at ${rateLabel(change.old)}.`;
    case 'start':
      return `The timeline starts at ${startLabel(now, change.now)}; it started at ${startLabel(old, change.old)}. Record times are compared from the start.`;
    case 'counting':
      return `Record timecode counts ${change.isDropFrame ? 'drop-frame' : 'without drop-frame'} now.`;
  }
}

function startLabel({ rate, isDropFrame }: Timeline, frame: Rational): string {
  return formatTimecode(Math.floor(toNumber(frame)), rate, isDropFrame);
}

function syncSentence({ sound, picture, pair, by, lag, isTogether }: SyncChange, rate: Rate): string {
  const names = pair ?? { picture: quoted(picture.now), sound: quoted(sound.now) };
  const slipped = `${amountWithFrames(by, rate)} ${sign(by) < 0 ? 'earlier' : 'later'}`;
  const apart = isTogether ? '' : ' They no longer stand over each other.';
  if (lag === null) {
    return `Sound ${names.sound} is heard ${slipped} against picture ${names.picture} than before. The report has no pair of the two, so their lag is not known.${apart}`;
  }
  const sampleRate = sound.now.resolved.sound?.sampleRate ?? rate;
  return `Sound ${names.sound} ${lagInWords(lag.after, rate, sampleRate)} against picture ${names.picture}; before, it ${wasInWords(lag.before)}. It is heard ${slipped}.${apart}`;
}

function wasInWords(lag: Rational): string {
  if (isZero(lag)) return 'was exact';
  return `${sign(lag) < 0 ? 'led' : 'lagged'} by ${amountOfTime(lag)}`;
}

function blockSentence({ by, clips }: MovedBlock, place: PlaceOf, { rate, tracks }: Timeline): string {
  const names = [...new Set(clips.map(({ clip }) => tracks[clip.track]?.name ?? ''))].filter((name) => name !== '');
  const first = clips[0] as ReviewClip;
  const last = clips.at(-1) as ReviewClip;
  const on = names.length === 0 ? '' : ` on ${listInWords(names)}`;
  return `${clips.length} clips${on} moved together, ${shiftInWords(by, rate)}: from ${placeIn(place, first)}, through ${placeIn(place, last)}.`;
}

function clipSentence(change: ClipChange, oldPlace: PlaceOf, newPlace: PlaceOf, rate: Rate): string {
  switch (change.kind) {
    case 'added':
      return `${placeIn(newPlace, change.now)}: added.`;
    case 'removed':
      return `${placeIn(oldPlace, change.old)}: removed.`;
    case 'changed':
      return `${placeIn(newPlace, change.now)}: ${listInWords(change.parts.map((part) => partInWords(part, change, rate)))}.`;
  }
}

function partInWords(part: ChangePart, change: ClipChange & { readonly kind: 'changed' }, rate: Rate): string {
  switch (part.kind) {
    case 'moved':
      return `moved ${shiftInWords(part.by, rate)}`;
    case 'slipped':
      return `slipped, plays ${amountWithFrames(part.by, rate)} ${sign(part.by) > 0 ? 'later' : 'earlier'} in its media`;
    case 'recut':
      return recutInWords(part.head, part.tail, rate);
    case 'split':
      return `cut into ${part.into} parts${isZero(part.without) ? '' : `, with ${amountWithFrames(part.without, rate)} taken out between`}`;
    case 'joined':
      return `put together from ${part.from} clips${isZero(part.filled) ? '' : `, with ${amountWithFrames(part.filled, rate)} filled in between`}`;
    case 'replaced':
      return `replaced: ${part.old === '' ? 'unnamed media' : part.old} became ${part.now === '' ? 'unnamed media' : part.now}`;
    case 'retimed':
      return `retimed from ${speedText(part.old)} to ${speedText(part.now)}`;
    case 'rate':
      return `counted at ${rateLabel(part.now)} where it was ${rateLabel(part.old)}`;
    case 'enabled':
      return 'enabled';
    case 'disabled':
      return 'disabled';
    case 'track':
      return `put on another track (it stood as ${quoted(change.old)})`;
    case 'transition':
      return `the transition at its ${part.end} went from ${lengthInWords(part.old, rate)} to ${lengthInWords(part.now, rate)}`;
  }
}

function recutInWords(head: Rational, tail: Rational, rate: Rate): string {
  const end = (name: string, by: Rational): readonly string[] =>
    isZero(by) ? [] : [`${name} ${sign(by) > 0 ? 'let out' : 'taken in'} by ${amountWithFrames(by, rate)}`];
  return `recut: ${[...end('head', head), ...end('tail', tail)].join(', ')}`;
}

/** '100 %', 'reversed 50 %', 'a speed that is not known'. */
function speedText(speed: Speed): string {
  if (speed.kind === 'unknown') return `a speed that is not known (${speed.reason})`;
  if (equals(speed.scalar, ONE)) return '100 %';
  const percent = Number(Math.abs(toNumber(multiply(speed.scalar, rational(100)))).toFixed(4));
  return `${sign(speed.scalar) < 0 ? 'reversed ' : ''}${percent} %`;
}

function shiftInWords(by: Rational, rate: Rate): string {
  return `${amountWithFrames(by, rate)} ${sign(by) > 0 ? 'later' : 'earlier'}`;
}

function lengthInWords(seconds: Rational, rate: Rate): string {
  return isZero(seconds) ? 'none' : amountWithFrames(seconds, rate);
}

/** '41.7 ms (1 frame at 23.976)'. */
function amountWithFrames(seconds: Rational, rate: Rate): string {
  return `${amountOfTime(seconds)} (${amountInFrames(seconds, rate)})`;
}

function quoted({ clip }: ReviewClip): string {
  return clip.name === '' ? 'an unnamed clip' : `'${clip.name}'`;
}

function placeIn(place: PlaceOf, { clip }: ReviewClip): string {
  return place(clip.index) ?? quoted({ clip } as ReviewClip);
}
