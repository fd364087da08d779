/**
 * A timeline as OTIO JSON.
 *
 * Every schema is written with all members that its readers require, in the order of the library's own writer: OTIO_SCHEMA,
 * metadata, name, then the members of the class (OTIO documentation, serialized schema). Times are exact: a decimal count
 * at a decimal rate where both say exactly what they mean, else whole parts of a second.
 *
 * What OTIO has no member for goes where this project reads it: reels and acceptances under `metadata.afterclap`.
 */

import { readOtio } from '../formats/otio/readOtio.ts';
import { countToSeconds, type Rate, rateLabel } from '../time/rate.ts';
import { equals, formatExactDecimal, parseDecimal, type Rational, subtract, toNumber, ZERO } from '../time/rational.ts';
import type { Acceptance, Clip, Media, Speed, TimeRange, Transition } from '../timeline/model.ts';
import { type AcceptedCodes, acceptedCodes } from './acceptedCodes.ts';
import { type DecimalTime, decimalTime } from './exactTimes.ts';
import { generatorOf } from './generators.ts';
import { type JsonValue, jsonText } from './jsonText.ts';
import { type Lane, type LaneItem, layOutLanes } from './laneLayout.ts';
import { createLossLog, type LossLog } from './loss.ts';
import type { MediaFacts } from './mediaFacts.ts';
import { mediaNameOf } from './mediaName.ts';
import { type ConversionSource, finished, type Written } from './source.ts';
import { clipLoss, tellLayer, tellLostTransition, tellUnits, writableClips } from './tell.ts';

interface Writing {
  readonly source: ConversionSource;
  readonly log: LossLog;
  readonly accepted: AcceptedCodes;
}

const KINDS = { picture: 'Video', sound: 'Audio', other: 'Other' } as const;

export function writeOtio(source: ConversionSource): Written<string> {
  const { timeline } = source;
  const writing: Writing = { source, log: createLossLog(), accepted: acceptedCodes(timeline) };
  tellDropFrame(writing);
  const layout = layOutLanes(timeline, timeline.tracks, writableClips(source, writing.log));
  for (const transition of layout.lost) tellLostTransition(writing.log, transition);
  const tracks = layout.lanes.map((lane) => track(writing, lane));
  const text = withRate(writing, tracks);
  return finished(text, writing.log);
}

/** OTIO states no frame rate but in the global start time; without one it is guessed from the clips. */
function withRate({ source: { timeline }, log, accepted }: Writing, tracks: readonly JsonValue[]): string {
  const write = (start: Rational | null): string => {
    const seconds = start === null ? null : countToSeconds(start, timeline.rate);
    return jsonText({
      OTIO_SCHEMA: 'Timeline.1',
      metadata: acceptMetadata(accepted.everywhere),
      name: timeline.name,
      global_start_time: seconds === null ? null : rationalTime(decimalTime(seconds, [timeline.rate])),
      tracks: {
        OTIO_SCHEMA: 'Stack.1',
        metadata: {},
        name: 'tracks',
        source_range: null,
        effects: [],
        markers: [],
        enabled: true,
        children: tracks,
      },
    });
  };
  if (timeline.startFrame !== null) return write(timeline.startFrame);
  const text = write(null);
  if (equals(readOtio(text).rate, timeline.rate)) return text;
  const message = `Nothing states the record timecode of the first frame. OTIO holds the rate of a timeline (${rateLabel(timeline.rate)}) in that alone, so it is written as 00:00:00:00.`;
  log.tell({ kind: 'time-stamp', message, clip: null, track: null, span: timeline.rateSpan });
  return write(ZERO);
}

function track(writing: Writing, lane: Lane): JsonValue {
  const { log } = writing;
  const { kind, name, isEnabled, index, span } = lane.track;
  if (kind === 'other') {
    const message = `The track ${name} is neither picture nor sound. OTIO defines Video and Audio only; it is written with the kind "Other".`;
    log.tell({ kind: 'track', message, clip: null, track: index, span });
  }
  tellLayer(log, lane);
  return {
    OTIO_SCHEMA: 'Track.1',
    metadata: {},
    name: lane.layer === 0 ? name : `${name} layer ${lane.layer + 1}`,
    source_range: null,
    effects: [],
    markers: [],
    enabled: isEnabled,
    children: lane.items.map((item) => child(writing, item)),
    kind: KINDS[kind],
  };
}

function child(writing: Writing, item: LaneItem): JsonValue {
  const { rate } = writing.source.timeline;
  switch (item.kind) {
    case 'gap':
      return {
        OTIO_SCHEMA: 'Gap.1',
        metadata: {},
        name: '',
        source_range: timeRange(decimalTime(ZERO, [rate]), decimalTime(item.length, [rate])),
        effects: [],
        markers: [],
        enabled: true,
      };
    case 'transition':
      return transitionObject(writing, item.transition);
    case 'clip':
      return clipObject(writing, item.clip);
  }
}

function clipObject(writing: Writing, clip: Clip): JsonValue {
  const { log, accepted, source } = writing;
  const { rate } = source.timeline;
  const length = subtract(clip.record.end, clip.record.start);
  const start = decimalTime(clip.sourceStart, [
    clip.start?.rate ?? null,
    clip.length?.rate ?? null,
    clip.media.rate,
    rate,
    source.facts[clip.index]?.rate ?? null,
  ]);
  const duration = decimalTime(length, [clip.length?.rate ?? null, clip.start?.rate ?? null, rate]);
  tellUnits(log, clip, start.rate, duration.rate);
  return {
    OTIO_SCHEMA: 'Clip.2',
    metadata: acceptMetadata(accepted.ofClip(clip.index)),
    name: clip.name,
    source_range: timeRange(start, duration),
    effects: effects(log, clip),
    markers: [],
    enabled: clip.isEnabled,
    media_references: { DEFAULT_MEDIA: mediaReference(writing, clip, source.facts[clip.index]) },
    active_media_reference_key: 'DEFAULT_MEDIA',
  };
}

function mediaReference({ log, source }: Writing, clip: Clip, facts: MediaFacts | undefined): JsonValue {
  const { media } = clip;
  const head = {
    metadata: media.reel === null ? {} : { afterclap: { reel: media.reel } },
    name: mediaNameOf(clip, source.timeline) ?? '',
    available_range: availableRange(log, clip, facts, source.timeline.rate),
    available_image_bounds: null,
  };
  switch (media.kind) {
    case 'missing':
      return { OTIO_SCHEMA: 'MissingReference.1', ...head };
    case 'generator':
      return { OTIO_SCHEMA: 'GeneratorReference.1', ...head, ...generator(clip) };
    case 'sequence':
      log.tell(
        clipLoss(
          'media',
          clip,
          'Its media is a sequence of images, whose numbering is not carried over. It is written as a file with the name of the first image.',
          media.urlSpan,
        ),
      );
      return external(head, media);
    case 'file':
      return external(head, media);
  }
}

function external(head: { readonly [name: string]: JsonValue }, media: Media): JsonValue {
  return { OTIO_SCHEMA: 'ExternalReference.1', ...head, target_url: media.url ?? '' };
}

function generator(clip: Clip): { readonly [name: string]: JsonValue } {
  const { kind, name } = generatorOf(clip);
  const generatorKind = kind === 'black' ? 'black' : kind === 'bars' ? 'SMPTEBars' : name === '' ? 'unknown' : name;
  return { generator_kind: generatorKind, parameters: {} };
}

function availableRange(log: LossLog, clip: Clip, facts: MediaFacts | undefined, rate: Rate): JsonValue {
  const { media } = clip;
  const preferred = [media.rate, clip.start?.rate ?? null, rate];
  if (media.available !== null) return plainRange(media.available, preferred);
  if (media.rate !== null) {
    log.tellAlike(
      `media-rate ${media.url ?? media.name ?? ''}`,
      { kind: 'rate', clip: clip.index, track: clip.track, span: media.rateSpan },
      (count) =>
        `The rate of its media (${rateLabel(media.rate as Rate)}) has no place beside a file whose length is not known${also(count)}.`,
    );
  }
  if (!media.sourceIsMediaTime) return null;
  const known = facts?.available ?? null;
  if (known !== null) return plainRange(known, preferred);
  log.tellAlike(
    `media-time ${media.url ?? media.name ?? ''}`,
    { kind: 'time-stamp', clip: clip.index, track: clip.track, span: clip.start?.span ?? clip.span },
    (count) =>
      `Its source times count from the first frame or sample of the file. OTIO says that only together with the length of the file, which neither the timeline nor a report states${also(count)}. A check against a report may take them for timecode.`,
  );
  return null;
}

function also(count: number): string {
  return count === 1 ? '' : ` (so with ${count - 1} more ${count === 2 ? 'clip' : 'clips'} of it)`;
}

function effects(log: LossLog, clip: Clip): readonly JsonValue[] {
  const { speed } = clip;
  if (speed.kind === 'unknown') {
    log.tell(
      clipLoss(
        'speed',
        clip,
        `Its speed is not known (${speed.reason}). It is written as a TimeEffect, which does not say how time runs.`,
        speed.span,
      ),
    );
    return [{ OTIO_SCHEMA: 'TimeEffect.1', metadata: {}, name: '', effect_name: 'TimeEffect' }];
  }
  const { scalar } = speed;
  if (equals(scalar, { numerator: 1, denominator: 1 })) return [];
  if (equals(scalar, ZERO)) {
    return [{ OTIO_SCHEMA: 'FreezeFrame.1', metadata: {}, name: '', effect_name: 'FreezeFrame', time_scalar: { number: '0' } }];
  }
  return [
    {
      OTIO_SCHEMA: 'LinearTimeWarp.1',
      metadata: {},
      name: '',
      effect_name: 'LinearTimeWarp',
      time_scalar: { number: scalarText(log, clip, speed) },
    },
  ];
}

function scalarText(log: LossLog, clip: Clip, speed: Speed & { readonly kind: 'constant' }): string {
  const exact = formatExactDecimal(speed.scalar);
  if (exact !== null && exact.length <= 40) return exact;
  const nearest = String(toNumber(speed.scalar));
  const { numerator, denominator } = speed.scalar;
  if (parseDecimal(nearest) !== null) {
    log.excuse(clip.index);
    log.tell(
      clipLoss(
        'speed',
        clip,
        `Its speed is ${numerator}/${denominator}, which no decimal number is. It is written as ${nearest}, which differs by less than a millionth of a millionth.`,
        speed.span,
      ),
    );
  }
  return nearest;
}

function transitionObject({ source, log }: Writing, transition: Transition): JsonValue {
  const { rate } = source.timeline;
  const type = source.transitionTypes.get(transition.span.start);
  const isWipe = type === undefined ? /^wipe\b/i.test(transition.name) : type.kind === 'wipe';
  if (type?.kind === 'other') {
    const message = `This transition is of the kind "${type.name}". It is written as Custom_Transition, which says no more than that.`;
    log.tell({ kind: 'transition', message, clip: null, track: transition.track, span: transition.span });
  }
  return {
    OTIO_SCHEMA: 'Transition.1',
    metadata: {},
    name: transition.name,
    in_offset: rationalTime(decimalTime(transition.before, [rate])),
    out_offset: rationalTime(decimalTime(transition.after, [rate])),
    transition_type: type?.kind === 'other' ? 'Custom_Transition' : isWipe ? 'SMPTE_Wipe' : 'SMPTE_Dissolve',
  };
}

function acceptMetadata(acceptances: readonly Acceptance[]): JsonValue {
  if (acceptances.length === 0) return {};
  return { afterclap: { accept: acceptances.map(({ code, reason }) => ({ code, reason })) } };
}

/** OTIO counts frames and has no word for how labels count them. */
function tellDropFrame({ source: { timeline }, log }: Writing): void {
  const clip = timeline.clips.find(({ start }) => start?.isDropFrame === true) ?? null;
  if (!timeline.isDropFrame && clip === null) return;
  const what = timeline.isDropFrame ? 'Record timecode is' : 'Some source timecodes are';
  const message = `${what} counted drop-frame. OTIO holds frame numbers and not how labels count them: the instants are exact, the labels that another program shows may differ.`;
  const span = timeline.isDropFrame ? timeline.rateSpan : (clip?.start?.span ?? null);
  log.tell({ kind: 'drop-frame', message, clip: null, track: null, span });
}

function plainRange(range: TimeRange, preferred: readonly (Rate | null)[]): JsonValue {
  return timeRange(decimalTime(range.start, preferred), decimalTime(subtract(range.end, range.start), preferred));
}

function timeRange(start: DecimalTime, duration: DecimalTime): JsonValue {
  return { OTIO_SCHEMA: 'TimeRange.1', duration: rationalTime(duration), start_time: rationalTime(start) };
}

function rationalTime({ value, rateText }: DecimalTime): JsonValue {
  return { OTIO_SCHEMA: 'RationalTime.1', rate: { number: rateText }, value: { number: value } };
}
