/**
 * Tracks of a list: one per channel met, picture first, then sound, then fields that are neither.
 *
 * Channels turn up in text order, so clips hold a provisional number until all are known.
 */

import { EVENT_ROW } from '../../syntax/edl/edlTape.ts';
import { type Span, span } from '../../text/span.ts';
import type { Track } from '../../timeline/model.ts';
import { byTrackOrder, type Channel } from './edlChannels.ts';
import type { Reading } from './edlReading.ts';

export interface TrackTable {
  readonly byName: Map<string, number>;
  readonly entries: { readonly channel: Channel; readonly span: Span }[];
}

export function emptyTrackTable(): TrackTable {
  return { byName: new Map(), entries: [] };
}

/** The provisional number of the channel's track. */
export function trackOf(reading: Reading, event: number, channel: Channel): number {
  const { byName, entries } = reading.tracks;
  const known = byName.get(channel.name);
  if (known !== undefined) return known;
  const row = event * EVENT_ROW.size;
  const place = span(
    reading.tape.events[row + EVENT_ROW.channelStart] as number,
    reading.tape.events[row + EVENT_ROW.channelEnd] as number,
  );
  byName.set(channel.name, entries.length);
  entries.push({ channel, span: place });
  return entries.length - 1;
}

/** The tracks in their order; clips and transitions are given their final track numbers. */
export function finishTracks(reading: Reading): readonly Track[] {
  const { entries } = reading.tracks;
  const order = entries.map((_, provisional) => provisional);
  order.sort((left, right) => byTrackOrder(channelAt(reading, left), channelAt(reading, right)) || left - right);
  const final = new Int32Array(entries.length);
  order.forEach((provisional, index) => {
    final[provisional] = index;
  });
  for (const clip of reading.clips) clip.track = final[clip.track] as number;
  for (const transition of reading.transitions) transition.track = final[transition.track] as number;
  return order.map((provisional, index) => {
    const { kind, name } = channelAt(reading, provisional);
    return { index, kind, name, span: (entries[provisional] as { span: Span }).span, isEnabled: true };
  });
}

function channelAt(reading: Reading, provisional: number): Channel {
  return (reading.tracks.entries[provisional] as { channel: Channel }).channel;
}
