/**
 * OTIO objects for tests, as small as the library would accept them, and what tests ask of a timeline.
 */

import { otioFormat } from '../../../server/src/core/formats/otio/otioFormat.ts';
import { formatRational, multiply, rational } from '../../../server/src/core/time/rational.ts';
import type { Clip, Observation, Timeline } from '../../../server/src/core/timeline/model.ts';

type Fields = Readonly<Record<string, unknown>>;

export function time(value: number, rate = 24): Fields {
  return { OTIO_SCHEMA: 'RationalTime.1', value, rate };
}

export function range(start: number, duration: number, rate = 24): Fields {
  return { OTIO_SCHEMA: 'TimeRange.1', start_time: time(start, rate), duration: time(duration, rate) };
}

export function file(url: string, fields: Fields = {}): Fields {
  return { OTIO_SCHEMA: 'ExternalReference.1', target_url: url, ...fields };
}

export function clip(name: string, sourceRange: unknown, fields: Fields = {}): Fields {
  return {
    OTIO_SCHEMA: 'Clip.2',
    name,
    source_range: sourceRange,
    media_references: { DEFAULT_MEDIA: file(`${name}.mov`) },
    active_media_reference_key: 'DEFAULT_MEDIA',
    ...fields,
  };
}

export function gap(duration: number, rate = 24): Fields {
  return { OTIO_SCHEMA: 'Gap.1', source_range: range(0, duration, rate) };
}

export function transition(before: number, after: number, fields: Fields = {}): Fields {
  return {
    OTIO_SCHEMA: 'Transition.1',
    in_offset: time(before),
    out_offset: time(after),
    transition_type: 'SMPTE_Dissolve',
    ...fields,
  };
}

export function track(kind: string, children: readonly unknown[], fields: Fields = {}): Fields {
  return { OTIO_SCHEMA: 'Track.1', kind, children, ...fields };
}

export function stack(children: readonly unknown[], fields: Fields = {}): Fields {
  return { OTIO_SCHEMA: 'Stack.1', children, ...fields };
}

export function timeline(tracks: readonly unknown[], fields: Fields = {}): Fields {
  return { OTIO_SCHEMA: 'Timeline.1', name: 'cut', tracks: stack(tracks), ...fields };
}

export function warp(scalar: number, fields: Fields = {}): Fields {
  return { OTIO_SCHEMA: 'LinearTimeWarp.1', effect_name: 'LinearTimeWarp', time_scalar: scalar, ...fields };
}

export function freeze(): Fields {
  return { OTIO_SCHEMA: 'FreezeFrame.1', effect_name: 'FreezeFrame', time_scalar: 0 };
}

export function readText(text: string): Timeline {
  return otioFormat.read(text, { edlRate: null, sharedPictureRate: null });
}

export function read(value: unknown): Timeline {
  return readText(JSON.stringify(value, null, 2));
}

/** A clip's place and source in frames of `rate`: 'name record start..end from source'. */
function placeOf(clip: Clip, rate = rational(24)): string {
  const frames = (seconds: Clip['sourceStart']): string => formatRational(multiply(seconds, rate));
  return `${clip.name} ${frames(clip.record.start)}..${frames(clip.record.end)} from ${frames(clip.sourceStart)}`;
}

export function placesOf(timeline: Timeline, rate = rational(24)): readonly string[] {
  return timeline.clips.map((clip) => placeOf(clip, rate));
}

export function scalarOf(clip: Clip | undefined): string {
  if (clip === undefined) return 'no clip';
  return clip.speed.kind === 'constant' ? formatRational(clip.speed.scalar) : clip.speed.reason;
}

/** Observations as 'kind: marked characters'. */
export function observed(text: string, timeline: Timeline): readonly string[] {
  return timeline.observations.map((observation) => `${observation.kind}: ${marked(text, observation)}`);
}

export function marked(text: string, observation: Observation): string {
  return text.slice(observation.span.start, observation.span.end);
}

export function messagesOf(timeline: Timeline, kind: Observation['kind']): readonly string[] {
  return timeline.observations.flatMap((observation) =>
    observation.kind === kind && 'message' in observation ? [observation.message] : [],
  );
}
