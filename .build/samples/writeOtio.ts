/**
 * The cut as OTIO JSON, in the member order and indent of four that common writers of the format use.
 *
 * Numbers are put in as text, because JSON.stringify would write 24.0 as 24 and real files do not.
 */

import { type Fraction, fraction, over, times, whole } from './fraction.ts';
import { frameOfLabel } from './labels.ts';
import { FRAMES_PER_SECOND, type PlacedCut, type PlacedPicture, type PlacedSound } from './place.ts';

type Json = string | boolean | null | RawNumber | readonly Json[] | { readonly [member: string]: Json };

/** Characters that stand in the file as they are. */
class RawNumber {
  readonly text: string;
  constructor(text: string) {
    this.text = text;
  }
}

export function writeOtio(cut: PlacedCut, title: string): string {
  const timeline: Json = {
    OTIO_SCHEMA: 'Timeline.1',
    metadata: {},
    name: title,
    global_start_time: time(frameOfLabel('01:00:00:00'), FRAMES_PER_SECOND),
    tracks: {
      OTIO_SCHEMA: 'Stack.1',
      metadata: {},
      name: 'tracks',
      source_range: null,
      effects: [],
      markers: [],
      enabled: true,
      children: [
        track('V1', 'Video', cut.pictures, pictureClip),
        track(
          'A1',
          'Audio',
          cut.sounds.filter(({ channel }) => channel === 'A1'),
          soundClip,
        ),
        track(
          'A2',
          'Audio',
          cut.sounds.filter(({ channel }) => channel === 'A2'),
          soundClip,
        ),
      ],
    },
  };
  return `${text(timeline, 0)}\n`;
}

function track<Placed extends { readonly clip: { readonly from: number; readonly length: number } }>(
  name: string,
  kind: string,
  placed: readonly Placed[],
  write: (clip: Placed) => Json,
): Json {
  const children: Json[] = [];
  let at = 0;
  for (const clip of placed) {
    if (clip.clip.from > at) children.push(gap(clip.clip.from - at));
    children.push(write(clip));
    at = clip.clip.from + clip.clip.length;
  }
  return {
    OTIO_SCHEMA: 'Track.1',
    metadata: {},
    name,
    source_range: null,
    effects: [],
    markers: [],
    enabled: true,
    children,
    kind,
  };
}

function gap(frames: number): Json {
  return {
    OTIO_SCHEMA: 'Gap.1',
    metadata: {},
    name: '',
    source_range: range(0n, BigInt(frames), FRAMES_PER_SECOND),
    effects: [],
    markers: [],
    enabled: true,
  };
}

function pictureClip({ clip, media, countedAt, entry }: PlacedPicture): Json {
  const start = frameOfLabel(media.start);
  const length = unitsOf(clip.length, countedAt, clip.name);
  return clipOf(clip.name, {}, range(start + entry, length, countedAt), media, range(start, BigInt(media.frames), countedAt));
}

function soundClip({ clip, media, countedAt, entry }: PlacedSound): Json {
  const start = BigInt(media.startSample);
  const length = unitsOf(clip.length, countedAt, clip.name);
  const metadata: Json =
    clip.accept === undefined ? {} : { afterclap: { accept: [{ code: clip.accept.code, reason: clip.accept.reason }] } };
  return clipOf(
    clip.name,
    metadata,
    range(start + entry, length, countedAt),
    media,
    range(start, BigInt(media.samples), countedAt),
  );
}

function clipOf(
  name: string,
  metadata: Json,
  source: Json,
  media: { readonly file: string; readonly reel: string },
  available: Json,
): Json {
  return {
    OTIO_SCHEMA: 'Clip.2',
    metadata,
    name,
    source_range: source,
    effects: [],
    markers: [],
    enabled: true,
    media_references: {
      DEFAULT_MEDIA: {
        OTIO_SCHEMA: 'ExternalReference.1',
        metadata: {},
        name: media.file,
        available_range: available,
        available_image_bounds: null,
        target_url: `media/${media.file}`,
      },
    },
    active_media_reference_key: 'DEFAULT_MEDIA',
  };
}

/** A length of record frames in units of `rate`; every length of the samples is whole in them. */
export function unitsOf(frames: number, rate: Fraction, what: string): bigint {
  return whole(times(over(fraction(frames), FRAMES_PER_SECOND), rate), `the length of '${what}'`);
}

function range(start: bigint, duration: bigint, rate: Fraction): Json {
  return { OTIO_SCHEMA: 'TimeRange.1', duration: time(duration, rate), start_time: time(start, rate) };
}

function time(value: bigint, rate: Fraction): Json {
  return { OTIO_SCHEMA: 'RationalTime.1', rate: new RawNumber(rateText(rate)), value: new RawNumber(`${value}.0`) };
}

/** A rate as writers of OTIO put it: a decimal, with a point always. */
export function rateText(rate: Fraction): string {
  const decimal = Number(rate.over) / Number(rate.under);
  return Number.isInteger(decimal) ? `${decimal}.0` : String(decimal);
}

function text(value: Json, depth: number): string {
  if (value instanceof RawNumber) return value.text;
  if (value === null || typeof value !== 'object') return JSON.stringify(value);
  const isList = Array.isArray(value);
  const parts = isList
    ? value.map((item: Json) => text(item, depth + 1))
    : Object.entries(value).map(([name, member]) => `${JSON.stringify(name)}: ${text(member as Json, depth + 1)}`);
  const [open, close] = isList ? ['[', ']'] : ['{', '}'];
  if (parts.length === 0) return `${open}${close}`;
  const indent = '    '.repeat(depth + 1);
  return `${open}\n${parts.map((part) => indent + part).join(',\n')}\n${'    '.repeat(depth)}${close}`;
}
