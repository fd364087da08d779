/**
 * Random neutral timelines for the tests of conversion, and the comparison of two of them.
 *
 * `isPlain` timelines hold only what every format holds: whole frames, names in ASCII, cuts, normal speed, one clip at a time. The
 * others hold what some formats hold and others do not: positions between frames, speeds of any ratio, transitions of any shape,
 * disabled clips, media without names, drop-frame.
 */

import fc from 'fast-check';
import { fileNameOf } from '../../../server/src/core/formats/xml/readMedia.ts';
import { add, formatRational, ONE, type Rational, rational, subtract, ZERO } from '../../../server/src/core/time/rational.ts';
import type { Clip, Media, Speed, Timeline, Track, Transition } from '../../../server/src/core/timeline/model.ts';

const SPAN = { start: 0, end: 0 };

export type Flavour =
  /** Whole frames and nothing special. */
  | 'plain'
  /** What an edit list holds: speeds that M2 holds, dissolves that begin at their cut, at a plain reel. */
  | 'list'
  /** What OTIO and neutral XML hold. */
  | 'exact'
  /** Anything. */
  | 'wild';

const rates: fc.Arbitrary<Rational> = fc.constantFrom(
  rational(24000, 1001),
  rational(24),
  rational(25),
  rational(30000, 1001),
  rational(30),
  rational(50),
  rational(60000, 1001),
);
const plainNames = fc.constantFrom('door, wide', 'Weir 2', 'take_12', 'a b c', 'Clip', 'X');
const wildNames = fc.oneof(
  plainNames,
  fc.string({ maxLength: 12, unit: 'binary' }),
  fc.constantFrom('', ' edge ', 'two  blanks', 'line\nbreak', 'Mühle <&> "x"'),
);
const files = fc.constantFrom('CAM_A_0001.mov', 'media/DECK_0001.wav', 'file:///shoot/DECK%2012.wav');

interface ClipRecipe {
  readonly gap: number;
  readonly length: number;
  readonly source: number;
  readonly sourcePart: Rational;
  readonly lengthPart: Rational;
  readonly name: string;
  readonly file: string | null;
  readonly mediaName: string | null;
  readonly reel: string | null;
  readonly speed: Rational;
  readonly isEnabled: boolean;
  readonly transition: { readonly before: number; readonly after: number } | null;
  readonly stamp: { readonly start: number; readonly length: number } | null;
  readonly inSamples: boolean;
}

const stamps = fc.record({ start: fc.integer({ min: 0, max: 900 }), length: fc.integer({ min: 100_000, max: 200_000 }) });

function clipRecipes(flavour: Flavour): fc.Arbitrary<ClipRecipe> {
  const isWild = flavour === 'wild';
  const isExact = flavour === 'exact' || isWild;
  const parts = isWild
    ? fc.constantFrom(ZERO, rational(1, 2), rational(1, 10), rational(3, 8), rational(1, 3), rational(1, 7))
    : fc.constant(ZERO);
  const speeds =
    flavour === 'plain'
      ? fc.constant(ONE)
      : flavour === 'list'
        ? fc.constantFrom(ONE, ONE, ONE, rational(2), rational(1, 2), ZERO, rational(-1))
        : fc.constantFrom(
            ONE,
            ONE,
            ONE,
            rational(1, 2),
            rational(3, 2),
            ZERO,
            rational(-2),
            ...(isWild ? [rational(1000, 1001), rational(4, 3)] : []),
          );
  return fc.record({
    gap: fc.constantFrom(0, 0, 0, 5, 24),
    length: fc.integer({ min: 20, max: 400 }),
    source: fc.integer({ min: 1000, max: 90_000 }),
    sourcePart: parts,
    lengthPart: parts,
    name: isWild ? wildNames : plainNames,
    file: isWild ? fc.option(files) : files,
    mediaName: isExact ? fc.option(plainNames) : fc.constant(null),
    reel: isWild
      ? fc.option(fc.constantFrom('A007', 'LONG_REEL_NAME', 'two words'))
      : flavour === 'plain'
        ? fc.constant(null)
        : fc.option(fc.constantFrom('A007', 'ROLL_12')),
    speed: speeds,
    isEnabled: isExact ? fc.boolean() : fc.constant(true),
    transition:
      flavour === 'plain'
        ? fc.constant(null)
        : fc.option(
            fc.record({
              before: flavour === 'list' ? fc.constant(0) : fc.integer({ min: 0, max: 8 }),
              after: fc.integer({ min: 1, max: 8 }),
            }),
            { freq: 3 },
          ),
    stamp: isWild ? fc.option(stamps) : isExact ? stamps : fc.constant(null),
    inSamples: isExact ? fc.boolean() : fc.constant(false),
  });
}

interface TimelineRecipe {
  readonly rate: Rational;
  readonly startFrame: number | null;
  readonly isDropFrame: boolean;
  readonly name: string;
  readonly tracks: readonly { readonly kind: Track['kind']; readonly clips: readonly ClipRecipe[] }[];
}

/** Timelines of a flavour. `startsAtOnce`: something stands at record 0, as in every edit list. */
export function timelines(
  flavour: Flavour,
  { startsAtOnce = false, mostSounds = 4, mostPictures = 1 } = {},
): fc.Arbitrary<Timeline> {
  const isWild = flavour === 'wild';
  const track = (kind: Track['kind'], minLength: number): fc.Arbitrary<TimelineRecipe['tracks'][number]> =>
    fc.record({ kind: fc.constant(kind), clips: fc.array(clipRecipes(flavour), { minLength, maxLength: 4 }) });
  return fc
    .record({
      rate: rates,
      startFrame: isWild ? fc.option(fc.integer({ min: 0, max: 200_000 })) : fc.integer({ min: 0, max: 200_000 }),
      isDropFrame: isWild ? fc.boolean() : fc.constant(false),
      name: isWild ? wildNames : fc.constantFrom('Reel 1', 'cut'),
      pictures: fc.array(track('picture', 1), { minLength: isWild ? 0 : 1, maxLength: mostPictures }),
      sounds: fc.array(track('sound', 1), { minLength: 1, maxLength: mostSounds }),
      others: isWild ? fc.array(track('other', 0), { maxLength: 1 }) : fc.constant([]),
    })
    .map(({ pictures, sounds, others, rate, isDropFrame, ...rest }) => {
      const canDrop = formatRational(rate).endsWith('/1001') && !formatRational(rate).startsWith('24000');
      return build(
        { ...rest, rate, isDropFrame: isDropFrame && canDrop, tracks: [...pictures, ...sounds, ...others] },
        startsAtOnce,
      );
    });
}

function build({ rate, startFrame, isDropFrame, name, tracks: recipes }: TimelineRecipe, startsAtOnce: boolean): Timeline {
  const tracks: Track[] = [];
  const clips: Clip[] = [];
  const transitions: Transition[] = [];
  const counts = { picture: 0, sound: 0, other: 0 };
  const seconds = (frames: Rational): Rational => divided(frames, rate);
  let duration = ZERO;
  for (const { kind, clips: own } of recipes) {
    counts[kind] += 1;
    const index = tracks.length;
    tracks.push({
      index,
      kind,
      name: `${{ picture: 'V', sound: 'A', other: 'T' }[kind]}${counts[kind]}`,
      span: SPAN,
      isEnabled: true,
    });
    let at = ZERO;
    let previous: Clip | null = null;
    for (const [position, recipe] of own.entries()) {
      const gap = startsAtOnce && position === 0 ? 0 : recipe.gap;
      const start: Rational = add(at, seconds(rational(gap)));
      const unit = unitOf(recipe, kind, rate);
      const end: Rational = add(start, divided(add(rational(recipe.length * perFrame(unit)), recipe.lengthPart), unit));
      const clip = clipOf(recipe, clips.length, index, kind, { start, end }, rate);
      if (recipe.transition !== null && previous !== null && gap === 0) {
        const { before, after } = recipe.transition;
        transitions.push({
          track: index,
          span: { start: transitions.length, end: transitions.length },
          name: 'Dissolve',
          at: start,
          before: seconds(rational(before)),
          after: seconds(rational(after)),
        });
      }
      clips.push(clip);
      previous = clip;
      at = end;
    }
    duration = less(duration, at) ? at : duration;
  }
  return {
    format: 'otio',
    name,
    rate,
    rateReason: '',
    rateSpan: null,
    isDropFrame,
    startFrame: startFrame === null ? null : rational(startFrame),
    duration,
    tracks,
    clips,
    transitions,
    observations: [],
    acceptances: [],
    outline: [],
  };
}

function clipOf(
  recipe: ClipRecipe,
  index: number,
  track: number,
  role: Track['kind'],
  record: Clip['record'],
  rate: Rational,
): Clip {
  const unit = unitOf(recipe, role, rate);
  const sourceStart = divided(add(rational(recipe.source * perFrame(unit)), recipe.sourcePart), unit);
  const length = subtract(record.end, record.start);
  const written = (value: Rational): NonNullable<Clip['start']> => ({
    span: SPAN,
    count: { ...timesRate(value, unit) },
    rate: unit,
    rateSpan: null,
  });
  const speed: Speed = { kind: 'constant', scalar: recipe.speed, span: null };
  return {
    index,
    track,
    role,
    name: recipe.name,
    nameSpan: null,
    span: SPAN,
    isEnabled: recipe.isEnabled,
    record,
    doubt: null,
    sourceStart,
    speed,
    media: mediaOf(recipe, unit),
    start: written(sourceStart),
    length: written(length),
    textGroup: index,
    headOverlap: ZERO,
    tailOverlap: ZERO,
  };
}

/** Sound may be counted in samples; a thousand and one of them stand for a frame, so that positions need not lie on frames. */
function unitOf({ inSamples }: ClipRecipe, role: Track['kind'], rate: Rational): Rational {
  return inSamples && role === 'sound' ? rational(48_000) : rate;
}

function perFrame(unit: Rational): number {
  return unit.numerator === 48_000 ? 1001 : 1;
}

function mediaOf({ file, mediaName, reel, stamp }: ClipRecipe, rate: Rational): Media {
  const per = perFrame(rate);
  return {
    kind: 'file',
    url: file,
    urlSpan: null,
    name: mediaName,
    nameSpan: null,
    reel,
    reelSpan: null,
    available:
      stamp === null
        ? null
        : { start: divided(rational(stamp.start * per), rate), end: divided(rational((stamp.start + stamp.length) * per), rate) },
    sourceIsMediaTime: false,
    rate: stamp === null ? null : rate,
    rateSpan: null,
  };
}

function divided(left: Rational, right: Rational): Rational {
  return { ...rational(BigInt(left.numerator) * BigInt(right.denominator), BigInt(left.denominator) * BigInt(right.numerator)) };
}

function timesRate(left: Rational, right: Rational): Rational {
  return rational(BigInt(left.numerator) * BigInt(right.numerator), BigInt(left.denominator) * BigInt(right.denominator));
}

function less(left: Rational, right: Rational): boolean {
  return BigInt(left.numerator) * BigInt(right.denominator) < BigInt(right.numerator) * BigInt(left.denominator);
}

/** What two timelines must have in common to be the same cut: everything but text, places in it and defaults of formats. */
export function summary(timeline: Timeline): object {
  const text = (value: Rational): string => formatRational(value);
  return {
    name: timeline.name,
    rate: text(timeline.rate),
    start: timeline.startFrame === null ? null : text(timeline.startFrame),
    isDropFrame: timeline.isDropFrame,
    duration: text(timeline.duration),
    // An edit list calls its picture channel V.
    tracks: timeline.tracks.map(({ kind, name, isEnabled }) => `${kind} ${name === 'V' ? 'V1' : name} ${isEnabled}`),
    clips: timeline.clips
      .map((clip) => clipSummary(clip, timeline))
      .sort((left, right) => (JSON.stringify(left) < JSON.stringify(right) ? -1 : 1)),
    transitions: timeline.transitions
      .map(({ track, name, at, before, after }) => `${track} ${name} ${text(at)} ${text(before)} ${text(after)}`)
      .sort(),
    acceptances: timeline.acceptances
      .map(({ code, reason, clips }) => `${code} ${reason} ${clips === 'all' ? 'all' : clips.length}`)
      .sort(),
  };
}

function clipSummary(clip: Clip, timeline: Timeline): object {
  const text = (value: Rational): string => formatRational(value);
  const { media, speed } = clip;
  // A name that repeats the clip's or the file's says nothing of its own; readers of some formats fill it in.
  const ownName = media.name === clip.name || media.name === fileNameOf(media.url) ? null : media.name;
  return {
    track: timeline.tracks[clip.track]?.index,
    name: clip.name,
    isEnabled: clip.isEnabled,
    record: `${text(clip.record.start)} ${text(clip.record.end)}`,
    source: text(clip.sourceStart),
    rate: clip.start === null ? null : text(clip.start.rate),
    speed: speed.kind === 'constant' ? text(speed.scalar) : 'unknown',
    media: [media.kind, media.url, ownName, media.reel],
    available: media.available === null ? null : `${text(media.available.start)} ${text(media.available.end)}`,
    overlaps: `${text(clip.headOverlap)} ${text(clip.tailOverlap)}`,
  };
}
