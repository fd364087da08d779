/**
 * From the cut list to numbers: the media second each clip starts on, and the lag every comparison must come out at.
 *
 * The lag is worked out here from the definition alone (how late sound is heard against its picture), with `fraction.ts`, so
 * that the program under test is checked against something else than itself.
 *
 * Assumption: a picture file is counted from its first frame, a recording from its first sample; stamps are only needed to
 * write source times.
 */

import { type CutEvent, EVENTS, type PictureClip, type SoundClip } from './cutList.ts';
import { type Fraction, fraction, fromDecimal, isLess, minus, over, plus, times, whole, wholePart, written } from './fraction.ts';
import { FRAME_RATE, type MeasuredPair, PAIRS, PICTURES, type Picture, SAMPLE_RATE, SOUNDS, type Sound } from './shoot.ts';

export const FRAMES_PER_SECOND: Fraction = fraction(FRAME_RATE[0], FRAME_RATE[1]);
const FRAME: Fraction = fraction(FRAME_RATE[1], FRAME_RATE[0]);
const SAMPLES_PER_SECOND: Fraction = fraction(SAMPLE_RATE);
const ONE_MILLISECOND: Fraction = fraction(1, 1000);

export interface PlacedPicture {
  readonly clip: PictureClip;
  readonly media: Picture;
  /** Units per second in which the timeline counts this clip. */
  readonly countedAt: Fraction;
  /** First shown frame in units of `countedAt`, from the file's first. */
  readonly entry: bigint;
  /** The same instant in seconds. */
  readonly seconds: Fraction;
}

export interface PlacedSound {
  readonly clip: SoundClip;
  readonly channel: 'A1' | 'A2';
  readonly media: Sound;
  readonly countedAt: Fraction;
  readonly entry: bigint;
  readonly seconds: Fraction;
}

/** One row of the table that the audit of every format must reproduce. */
export interface ExpectedPair {
  readonly picture: string;
  readonly sound: string;
  readonly pictureClip: string;
  readonly soundClip: string;
  readonly record: { readonly start: string; readonly end: string };
  readonly lag: { readonly head: string; readonly tail: string };
  readonly verdict: 'in' | 'leads' | 'lags' | 'drifts';
}

export interface PlacedCut {
  readonly pictures: readonly PlacedPicture[];
  readonly sounds: readonly PlacedSound[];
  readonly pairs: readonly ExpectedPair[];
}

/** The whole cut in numbers. */
export function placeCut(): PlacedCut {
  const pictures = EVENTS.map((event) => placePicture(event.picture));
  const sounds = EVENTS.flatMap((event) => event.sounds.flatMap((clip) => placeSound(event, clip)));
  return { pictures, sounds, pairs: expectedPairs(pictures, sounds) };
}

export function pictureNamed(key: string): Picture {
  return found(PICTURES, key);
}

export function soundNamed(key: string): Sound {
  return found(SOUNDS, key);
}

function placePicture(clip: PictureClip): PlacedPicture {
  const countedAt = clip.countedAt === undefined ? FRAMES_PER_SECOND : fraction(clip.countedAt);
  return {
    clip,
    media: pictureNamed(clip.media),
    countedAt,
    entry: BigInt(clip.entry),
    seconds: over(fraction(clip.entry), countedAt),
  };
}

function placeSound(event: CutEvent, clip: SoundClip): readonly PlacedSound[] {
  const media = soundNamed(clip.media);
  const countedAt = clip.countedAt === undefined ? SAMPLES_PER_SECOND : fraction(clip.countedAt);
  const seconds = startOfSound(event, clip, media, countedAt);
  const entry = whole(times(seconds, countedAt), `the first sample of '${clip.name}'`);
  return clip.channels.map((channel) => ({ clip, channel, media, countedAt, entry, seconds }));
}

/** Seconds from the recording's first sample, as the timeline counts them. */
function startOfSound(event: CutEvent, clip: SoundClip, media: Sound, countedAt: Fraction): Fraction {
  const slip = clip.slip;
  if (slip.by === 'samples') return over(fraction(slip.entry), countedAt);
  const picture = placePicture(event.picture);
  const pair = pairOf(picture.media.key, media.key);
  if (pair === null) throw new RangeError(`no pair for '${clip.name}'`);
  const clap = slip.by === 'other-clap' ? slip.clap : pair.clap;
  const pictureSeconds = plus(picture.seconds, times(fraction(clip.from - event.picture.from), FRAME));
  const wanted = heardAt(pictureSeconds, picture.media, media, clap, pair.driftPpm);
  // Sound may only start on whole frames of its own timecode; the one at or before the wanted instant leaves it least late.
  const stamp = over(fraction(media.startSample), SAMPLES_PER_SECOND);
  const believedStamp = slip.by === 'stamp-read-at-24' ? times(stamp, fraction(1001, 1000)) : stamp;
  const best = wholePart(times(plus(wanted, believedStamp), FRAMES_PER_SECOND));
  const label = best - BigInt(slip.by === 'clap' ? slip.lateFrames : 0);
  return minus(times(fraction(label), FRAME), stamp);
}

/** Where in the recording the instant of a picture second is heard. */
function heardAt(pictureSeconds: Fraction, picture: Picture, sound: Sound, clap: number, driftPpm: string): Fraction {
  const clapSecond = times(fraction(picture.clapFrame ?? 0), FRAME);
  const clapSample = fromDecimal(sound.claps[clap - 1] ?? '');
  const pace = plus(fraction(1), over(fromDecimal(driftPpm), fraction(1000000)));
  return plus(over(clapSample, SAMPLES_PER_SECOND), times(minus(pictureSeconds, clapSecond), pace));
}

function expectedPairs(pictures: readonly PlacedPicture[], sounds: readonly PlacedSound[]): readonly ExpectedPair[] {
  const rows: { readonly from: number; readonly row: ExpectedPair }[] = [];
  for (const picture of pictures) {
    for (const sound of sounds) {
      const pair = pairOf(picture.media.key, sound.media.key);
      const from = Math.max(picture.clip.from, sound.clip.from);
      const to = Math.min(picture.clip.from + picture.clip.length, sound.clip.from + sound.clip.length);
      if (pair === null || from >= to) continue;
      const head = lagAt(from, picture, sound, pair);
      const tail = lagAt(to, picture, sound, pair);
      rows.push({
        from,
        row: {
          picture: picture.media.key,
          sound: sound.media.key,
          pictureClip: picture.clip.name,
          soundClip: sound.clip.name,
          record: { start: written(times(fraction(from), FRAME)), end: written(times(fraction(to), FRAME)) },
          lag: { head: written(head), tail: written(tail) },
          verdict: verdictOf(head, tail),
        },
      });
    }
  }
  return rows.sort((left, right) => left.from - right.from).map((entry) => entry.row);
}

function lagAt(recordFrame: number, picture: PlacedPicture, sound: PlacedSound, pair: MeasuredPair): Fraction {
  const shown = plus(picture.seconds, times(fraction(recordFrame - picture.clip.from), FRAME));
  const heard = plus(sound.seconds, times(fraction(recordFrame - sound.clip.from), FRAME));
  return minus(heardAt(shown, picture.media, sound.media, pair.clap, pair.driftPpm), heard);
}

/** Sound may lead by 1 ms and lag by one frame, both included: the tolerance of the samples' settings. */
function verdictOf(head: Fraction, tail: Fraction): ExpectedPair['verdict'] {
  const side = (lag: Fraction): -1 | 0 | 1 =>
    isLess(lag, minus(fraction(0), ONE_MILLISECOND)) ? -1 : isLess(FRAME, lag) ? 1 : 0;
  const sides = [side(head), side(tail)] as const;
  if (sides[0] !== sides[1]) return 'drifts';
  return sides[0] === 0 ? 'in' : sides[0] < 0 ? 'leads' : 'lags';
}

function pairOf(picture: string, sound: string): MeasuredPair | null {
  return PAIRS.find((pair) => pair.picture === picture && pair.sound === sound) ?? null;
}

function found<Entry extends { readonly key: string }>(entries: readonly Entry[], key: string): Entry {
  const entry = entries.find((candidate) => candidate.key === key);
  if (entry === undefined) throw new RangeError(`the shoot has no '${key}'`);
  return entry;
}
