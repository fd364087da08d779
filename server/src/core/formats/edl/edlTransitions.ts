/**
 * Dissolves and wipes: the transition of each channel, and the clip that goes on under it.
 *
 * A transition of n frames lies after the cut: the incoming clip starts at the cut, the outgoing one goes on for n frames.
 * Its outgoing side is whatever ends on that track at the cut; the zero-length line above should say the same and is compared with it.
 */

import { EDIT, EVENT_ROW, LABEL, labelSpan, valueSpan } from '../../syntax/edl/edlTape.ts';
import { type Span, span, textOf } from '../../text/span.ts';
import { nominalFramesPerSecond } from '../../time/rate.ts';
import { absolute, compare, maximum, parseDecimal, rational, subtract, ZERO } from '../../time/rational.ts';
import type { Attachments } from './edlAttachments.ts';
import type { ChannelField } from './edlChannels.ts';
import type { EdlClip } from './edlClip.ts';
import { type OutgoingLine, reelKindOf } from './edlMedia.ts';
import { isSameReel, type Motion, reelText } from './edlMotion.ts';
import type { OpenTransition, Reading } from './edlReading.ts';
import { outgoingMotion } from './edlSource.ts';
import { trackOf } from './edlTracks.ts';
import { observe } from './observer.ts';

export function addTransition(
  reading: Reading,
  event: number,
  field: ChannelField,
  attachments: Attachments,
  outgoing: OutgoingLine | null,
  incomingClip: number | null,
): void {
  const { tape, record, observer } = reading;
  const row = event * EVENT_ROW.size;
  const duration = tape.events[row + EVENT_ROW.duration] as number;
  const typeSpan = span(tape.events[row + EVENT_ROW.typeStart] as number, tape.events[row + EVENT_ROW.typeEnd] as number);
  if (duration < 0) {
    observe(observer, 'transitions without a length', {
      kind: 'unreadable',
      span: typeSpan,
      message: 'A dissolve or wipe needs its length in frames after the type, such as D 024. It is read as a cut.',
    });
  }
  const firstEvent = outgoing === null ? event : outgoing.event;
  const place = span(tape.events[firstEvent * EVENT_ROW.size + EVENT_ROW.start] as number, attachments.end);
  const at = reading.secondsOf(record.starts[event] as number);
  const after = reading.secondsOf(Math.max(0, duration));
  const name = transitionName(reading, event, typeSpan, attachments);
  const motion = outgoing === null ? null : outgoingMotion(reading, event, attachments, outgoing);
  for (const channel of field.channels) {
    const track = trackOf(reading, event, channel);
    reading.transitions.push({ track, span: place, name, at, before: ZERO, after });
    reading.openTransitions.push({
      transition: reading.transitions.length - 1,
      event,
      outgoingEvent: outgoing?.event ?? null,
      incomingClip,
      outgoingMotion: motion,
    });
  }
}

/** Finds the outgoing clip of each transition and lets it go on under it. Needs all clips: lists need not be in record order. */
export function finishTransitions(reading: Reading): void {
  if (reading.openTransitions.length === 0) return;
  const ending = clipsByEnd(reading);
  const checked = new Set<number>();
  for (const open of reading.openTransitions) {
    const transition = reading.transitions[open.transition];
    if (transition === undefined) continue;
    const end = reading.record.starts[open.event] as number;
    const clip = reading.clips[ending.get(endKey(transition.track, end)) ?? -1];
    if (clip !== undefined) clip.tailOverlap = maximum(clip.tailOverlap, transition.after);
    // One sentence for all channels of a line.
    if (checked.has(open.event)) continue;
    checked.add(open.event);
    checkOutgoingSide(reading, open, clip, transition.span);
    if (clip !== undefined && open.outgoingMotion !== null) checkOutgoingSpeed(reading, open.outgoingMotion, clip);
  }
}

function checkOutgoingSide(reading: Reading, open: OpenTransition, clip: EdlClip | undefined, place: Span): void {
  const { event, outgoingEvent, incomingClip } = open;
  const { tape, counting, observer } = reading;
  const reelKind = outgoingEvent === null ? null : reelKindOf(tape, outgoingEvent);
  const note = (where: Span, message: string): void =>
    observe(observer, 'transitions that do not go on from the clip before', {
      kind: 'note',
      span: where,
      message,
      clip: incomingClip,
    });
  if (clip === undefined) {
    // Fading in from black has nothing before it, and needs nothing.
    if (reelKind === 'generator' || (reading.record.starts[event] as number) === 0) return;
    note(
      outgoingEvent === null ? place : eventSpan(reading, outgoingEvent),
      'No clip ends where this transition begins, so nothing is known to go on under it; its outgoing picture is not compared.',
    );
    return;
  }
  if (outgoingEvent === null || reelKind === 'generator') return;
  const reel = reelText(tape, outgoingEvent);
  const before = clip.textGroup;
  const isOtherReel = clip.media.kind !== 'generator' && reelKind === 'tape' && !isSameReel(reel, reelText(tape, before));
  const continues = counting.frames[outgoingEvent * 4 + LABEL.sourceIn] === counting.frames[before * 4 + LABEL.sourceOut];
  if (!isOtherReel && (continues || clip.speed.kind !== 'constant' || clip.speed.span !== null)) return;
  const said = textOf(tape.text, labelSpan(tape, outgoingEvent, LABEL.sourceIn));
  const ends = textOf(tape.text, labelSpan(tape, before, LABEL.sourceOut));
  note(
    eventSpan(reading, outgoingEvent),
    `The outgoing line shows ${reel} at ${said}, but the clip before it, ${clip.name}, ends at ${ends}. That clip is taken to go on under the transition.`,
  );
}

/** The outgoing clip runs on as its own event says; an M2 in the transition that says otherwise has nowhere to go. */
function checkOutgoingSpeed(reading: Reading, motion: Motion, clip: EdlClip): void {
  const isNormal = clip.speed.kind === 'constant' && clip.speed.span === null;
  const said = parseDecimal(motion.speed);
  const nominal = rational(nominalFramesPerSecond(reading.rate));
  if (!isNormal || said === null || compare(absolute(subtract(said, nominal)), rational(1, 10)) <= 0) return;
  observe(reading.observer, 'M2 lines for an outgoing clip', {
    kind: 'speed-note',
    span: motion.span,
    message: `This M2 line retimes the outgoing side of the transition, ${clip.name}, whose own event runs at normal speed; that event is believed.`,
    clip: clip.index,
    isWarning: true,
  });
}

function eventSpan(reading: Reading, event: number): Span {
  const row = event * EVENT_ROW.size;
  return span(reading.tape.events[row + EVENT_ROW.start] as number, reading.tape.events[row + EVENT_ROW.end] as number);
}

/** Clips by track and record end; of several the last in the text, which over-records the others. */
function clipsByEnd(reading: Reading): ReadonlyMap<number, number> {
  const ending = new Map<number, number>();
  for (const clip of reading.clips) ending.set(endKey(clip.track, reading.record.ends[clip.textGroup] as number), clip.index);
  return ending;
}

/** One number for a track and a frame: tracks are few, frames below 2^40. */
function endKey(track: number, frame: number): number {
  return track * 2 ** 40 + frame;
}

function transitionName(reading: Reading, event: number, typeSpan: Span, attachments: Attachments): string {
  const { tape } = reading;
  if (attachments.effectName >= 0) {
    const name = textOf(tape.text, valueSpan(tape, attachments.effectName));
    if (name !== '') return name;
  }
  const type = tape.events[event * EVENT_ROW.size + EVENT_ROW.type];
  if (type === EDIT.dissolve) return 'Dissolve';
  const code = textOf(tape.text, typeSpan).slice(1);
  return code === '' ? 'Wipe' : `Wipe ${code}`;
}
