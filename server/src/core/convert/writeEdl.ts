/**
 * One edit list: a picture and up to four sound channels of a timeline, as a CMX3600-style text.
 *
 * Layout and keywords are those in use (common practice; SMPTE ST 258 defines the interchange of edit decision lists, its body
 * was not at hand): number, reel of eight, channel, type, length of a transition, four labels; comments below the event. The
 * third and fourth sound channels are written as NONE with an AUD line, which classic readers expect.
 */

import { countToSeconds, droppedLabelsPerMinute, type Rate, secondsToCount } from '../time/rate.ts';
import {
  absolute,
  add,
  equals,
  floor,
  formatRational,
  isInteger,
  multiply,
  type Rational,
  rational,
  round,
  subtract,
  ZERO,
} from '../time/rational.ts';
import { formatTimecode, framesPerDay } from '../time/timecode.ts';
import type { Acceptance, Clip, Track } from '../timeline/model.ts';
import { acceptedCodes } from './acceptedCodes.ts';
import { edlComments, edlLine } from './edlComments.ts';
import { type EdlFrames, edlFrames, type FrameGrid } from './edlFrames.ts';
import type { EdlGroup } from './edlGroups.ts';
import { edlSpeedLine } from './edlMotion.ts';
import { type EdlPassage, type EdlPiece, edlPieces } from './edlPieces.ts';
import { type EdlReel, edlReels } from './edlReels.ts';
import { edlSourceTime } from './edlSourceTimes.ts';
import { listStart } from './listStart.ts';
import { createLossLog, type LossLog } from './loss.ts';
import type { MediaFacts } from './mediaFacts.ts';
import { type ConversionSource, finished, type Written } from './source.ts';
import { amount, clipLoss, tellUnits, writableClips } from './tell.ts';

interface Channel {
  readonly track: Track;
  readonly field: string;
  /** Number on an AUD line below the event; null where the field says it all. */
  readonly added: number | null;
  readonly order: number;
}

interface ListEvent {
  readonly piece: EdlPiece;
  readonly channel: Channel;
  readonly frames: EdlFrames;
  /** Source out, and what an M2 line says. */
  readonly sourceOut: number;
  readonly speed: string | null;
}

interface Writing {
  readonly source: ConversionSource;
  readonly log: LossLog;
  readonly grid: FrameGrid;
  readonly reelOf: (clip: Clip | null) => EdlReel;
}

const CHANNELS: readonly Pick<Channel, 'field' | 'added'>[] = [
  { field: 'A', added: null },
  { field: 'A2', added: null },
  { field: 'NONE', added: 3 },
  { field: 'NONE', added: 4 },
];
/** Event numbers have three digits in classic lists (from memory). */
const MOST_EVENTS = 999;
/** Frames of a transition that this project's own reader takes. */
const LONGEST_TRANSITION = 9999;

/** `group` names the tracks; what other tracks hold is not this list's concern. */
export function writeEdl(source: ConversionSource, group: EdlGroup): Written<string> {
  const log = createLossLog();
  const { timeline } = source;
  const writing: Writing = {
    source,
    log,
    grid: { rate: timeline.rate, startFrame: startOf(source, log) },
    reelOf: edlReels(log),
  };
  const channels = channelsOf(group, log);
  const clips = enabledClips(source, channels, log);
  const events = inListOrder(channels.flatMap((channel) => eventsOf(writing, channel, clips)));
  tellEnds(writing, events);
  const accepted = acceptedCodes(timeline);
  const lines = [
    `TITLE: ${edlLine(timeline.name)}`.trimEnd(),
    `FCM: ${countsDropFrame(source) ? 'DROP FRAME' : 'NON-DROP FRAME'}`,
    ...accepted.everywhere.map(acceptLine),
    ...events.flatMap((event, index) => eventLines(writing, event, index + 1, accepted.ofClip(event.piece.clip?.index ?? -1))),
  ];
  if (edlLine(timeline.name) !== timeline.name) {
    log.tell({
      kind: 'name',
      message: 'The name of the timeline is written on one line, without blanks at its ends.',
      clip: null,
      track: null,
      span: null,
    });
  }
  if (events.length > MOST_EVENTS) {
    const message = `The list has ${events.length} events. Classic readers count to ${MOST_EVENTS}; the numbers go on after that.`;
    log.tell({ kind: 'track', message, clip: null, track: null, span: null });
  }
  return finished(`${lines.join('\n')}\n`, log);
}

function startOf({ timeline }: ConversionSource, log: LossLog): Rational {
  const { startFrame, rateSpan: span } = timeline;
  if (startFrame === null) {
    const message = 'Nothing states the record timecode of the first frame. The list begins at 01:00:00:00, as is common.';
    log.tell({ kind: 'time-stamp', message, clip: null, track: null, span });
  } else if (!isInteger(startFrame)) {
    const message = 'The record timecode of the first instant lies between two frames. The list begins on the nearest one.';
    log.tell({ kind: 'sub-frame', message, clip: null, track: null, span });
  }
  return listStart(timeline);
}

function channelsOf(group: EdlGroup, log: LossLog): readonly Channel[] {
  const channels: Channel[] = group.picture === null ? [] : [{ track: group.picture, field: 'V', added: null, order: 0 }];
  const numbers = channelNumbers(group.sounds);
  for (const [index, track] of group.sounds.entries()) {
    const order = numbers[index] as number;
    channels.push({ track, ...(CHANNELS[order - 1] as (typeof CHANNELS)[number]), order });
  }
  for (const { track, order } of channels) {
    const name = order === 0 ? 'V' : `A${order}`;
    if (track.name === name || (order === 0 && track.name === 'V1')) continue;
    const where = group.label === null ? '' : ` of the list ${group.label}`;
    const message = `The track '${track.name}' is channel ${name}${where}: a list numbers its channels and does not name them.`;
    log.tell({ kind: 'track', message, clip: null, track: track.index, span: track.span });
  }
  return channels;
}

/** Tracks that are called by channels keep those; others are numbered as they come. */
function channelNumbers(sounds: readonly Track[]): readonly number[] {
  const named = sounds.map(({ name }) => Number(/^A([1-4])$/i.exec(name)?.[1] ?? 0));
  const isUsable = named.every((number) => number > 0) && new Set(named).size === named.length;
  return isUsable ? named : sounds.map((_, index) => index + 1);
}

function enabledClips(source: ConversionSource, channels: readonly Channel[], log: LossLog): readonly Clip[] {
  const tracks = new Set(channels.map(({ track }) => track.index));
  return writableClips(source, log).filter((clip) => {
    if (!tracks.has(clip.track) || clip.isEnabled) return tracks.has(clip.track);
    log.excuse(clip.index);
    log.tell(clipLoss('disabled', clip, 'It is disabled, which a list cannot say. It is left out.'));
    return false;
  });
}

function eventsOf(writing: Writing, channel: Channel, clips: readonly Clip[]): readonly ListEvent[] {
  const { source, log, grid } = writing;
  const own = clips.filter((clip) => clip.track === channel.track.index);
  const transitions = source.timeline.transitions.filter(({ track }) => track === channel.track.index);
  const events: ListEvent[] = [];
  for (const piece of edlPieces(own, transitions, log)) {
    const { clip } = piece;
    const sourceTime = clip === null ? ZERO : edlSourceTime(clip, source.facts[clip.index] as MediaFacts, log);
    const frames = edlFrames(piece, sourceTime, grid, log);
    if (frames === null) continue;
    if (clip !== null && frames.isExact) tellUnits(log, clip, grid.rate, grid.rate);
    events.push({ piece, channel, frames, ...speedOf(log, clip, grid.rate, frames) });
  }
  return events;
}

function speedOf(log: LossLog, clip: Clip | null, rate: Rate, frames: EdlFrames): Pick<ListEvent, 'sourceOut' | 'speed'> {
  const length = frames.recordOut - frames.recordIn;
  if (clip === null) return { sourceOut: length, speed: null };
  if (clip.speed.kind === 'unknown') {
    log.excuse(clip.index);
    const message = `Its speed is not known (${clip.speed.reason}), and a list cannot say so. It is written at normal speed: do not trust a check of this clip.`;
    log.tell(clipLoss('speed', clip, message, clip.speed.span));
    return { sourceOut: frames.sourceIn + length, speed: null };
  }
  const { scalar } = clip.speed;
  const line = edlSpeedLine(scalar, rate, length);
  if (!equals(line.scalar, scalar)) {
    log.excuse(clip.index);
    const message = `Its speed is ${formatRational(scalar)}, and M2 holds tenths of a frame per second. It reads back as ${formatRational(line.scalar)}, which is ${amount(drift(scalar, line.scalar, length, rate))} apart by the end of the clip.`;
    log.tell(clipLoss('speed', clip, message, clip.speed.span));
  } else if (line.text !== null && clip.role === 'sound') {
    log.tell(
      clipLoss(
        'speed',
        clip,
        'It is retimed. An M2 line says so here, but by custom retimed sound is a new file, and other readers may ignore the line.',
        clip.speed.span,
      ),
    );
  }
  return { sourceOut: frames.sourceIn + line.sourceFrames, speed: line.text };
}

/** Record order, picture first; where events record over each other, the order of the source decides which is on top. */
function inListOrder(events: readonly ListEvent[]): readonly ListEvent[] {
  const inOrder = events.toSorted(
    (left, right) =>
      left.frames.recordIn - right.frames.recordIn || left.channel.order - right.channel.order || indexOf(left) - indexOf(right),
  );
  const ends = new Map<number, number>();
  let isOver = false;
  for (const { channel, frames } of inOrder) {
    isOver ||= frames.recordIn < (ends.get(channel.order) ?? Number.NEGATIVE_INFINITY);
    ends.set(channel.order, frames.recordOut);
  }
  return isOver ? events.toSorted((left, right) => indexOf(left) - indexOf(right)) : inOrder;
}

function indexOf({ piece }: ListEvent): number {
  return piece.clip?.index ?? piece.passage?.outgoing?.clip?.index ?? 0;
}

function eventLines(writing: Writing, event: ListEvent, number: number, acceptances: readonly Acceptance[]): readonly string[] {
  const { piece, channel, frames, speed } = event;
  const { source, log, reelOf, grid } = writing;
  const reel = reelOf(piece.clip);
  const passage = piece.passage === null ? null : passageOf(writing, piece.passage, event);
  const label = labelWriter(source, grid.rate, log);
  const isDrop = sourceIsDrop(source, piece.clip);
  const head = (column: string, type: string, duration: string): string =>
    `${String(number).padStart(3, '0')}  ${column.padEnd(8)} ${channel.field.padEnd(5)} ${type.padEnd(4)} ${duration.padEnd(3)}`;
  const record = (frame: number): string => label(frame, countsDropFrame(source), piece.clip);
  const lines: string[] = [];
  const added = channel.added === null ? [] : [`AUD   ${channel.added}`];
  if (passage !== null) {
    const { outgoingReel, outgoingFrame, outgoingIsDrop } = passage;
    const at = label(outgoingFrame, outgoingIsDrop, piece.clip);
    lines.push(
      `${head(outgoingReel.column, 'C', '')} ${at} ${at} ${record(frames.recordIn)} ${record(frames.recordIn)}`,
      ...added,
    );
  }
  const sourceIn = label(frames.sourceIn, isDrop, piece.clip);
  const sourceOut = label(event.sourceOut, isDrop, piece.clip);
  lines.push(
    `${head(reel.column, passage?.type ?? 'C', passage?.duration ?? '')} ${sourceIn} ${sourceOut} ${record(frames.recordIn)} ${record(frames.recordOut)}`,
    ...added,
  );
  if (speed !== null) lines.push(`M2   ${reel.column.padEnd(8)} ${speed.padStart(6)}      ${sourceIn}`);
  lines.push(...edlComments(piece, reel, log), ...acceptances.map(acceptLine));
  return lines;
}

/** The type column of a transition, its length, and the line of what goes out. */
function passageOf(
  writing: Writing,
  passage: EdlPassage,
  event: ListEvent,
): {
  readonly type: string;
  readonly duration: string;
  readonly outgoingReel: EdlReel;
  readonly outgoingFrame: number;
  readonly outgoingIsDrop: boolean;
} {
  const { source, log, grid, reelOf } = writing;
  const { transition, outgoing } = passage;
  const exact = secondsToCount(passage.length, grid.rate);
  const frames = Math.min(LONGEST_TRANSITION, Number(round(exact)));
  if (!equals(exact, rational(frames))) {
    log.tell({
      kind: 'transition',
      message: `The length of this transition is no whole number of frames a list holds. It is written as ${frames}.`,
      clip: null,
      track: transition.track,
      span: transition.span,
    });
  }
  const type = source.transitionTypes.get(transition.span.start);
  const wipe = /^wipe\s*(\d{1,3})?$/i.exec(transition.name);
  if (type?.kind === 'other') {
    log.tell({
      kind: 'transition',
      message: `This transition is of the kind "${type.name}". A list knows dissolves and wipes; it is written as a dissolve.`,
      clip: null,
      track: transition.track,
      span: transition.span,
    });
  }
  const isWipe = type === undefined ? wipe !== null : type.kind === 'wipe';
  const outgoingClip = outgoing?.clip ?? null;
  const outgoingEnd = outgoingClip === null ? 0 : sourceOutAt(writing, outgoing as EdlPiece, event);
  return {
    type: isWipe ? `W${(wipe?.[1] ?? '1').padStart(3, '0')}` : 'D',
    duration: String(frames).padStart(3, '0'),
    outgoingReel: reelOf(outgoingClip),
    outgoingFrame: outgoingEnd,
    outgoingIsDrop: sourceIsDrop(source, outgoingClip),
  };
}

/** Source out of the clip that goes on under the transition, as its own event has it. */
function sourceOutAt(writing: Writing, outgoing: EdlPiece, event: ListEvent): number {
  const clip = outgoing.clip as Clip;
  const { source, grid } = writing;
  // What is to be told of the outgoing clip has been, at its own event.
  const silent = createLossLog();
  const frames = edlFrames(outgoing, edlSourceTime(clip, source.facts[clip.index] as MediaFacts, silent), grid, silent);
  if (frames === null) return event.frames.sourceIn;
  return speedOf(silent, clip, grid.rate, frames).sourceOut;
}

function labelWriter(
  source: ConversionSource,
  rate: Rate,
  log: LossLog,
): (frame: number, isDrop: boolean, clip: Clip | null) => string {
  return (frame, isDrop, clip) => {
    const day = framesPerDay(rate, isDrop);
    if (frame < 0 || frame > day) {
      if (clip !== null) log.excuse(clip.index);
      const message = `A label of this event would lie ${frame < 0 ? 'before 00:00:00:00' : 'after the last timecode of the day'}. It goes round the clock.`;
      log.tell(
        clip === null
          ? { kind: 'time-stamp', message, clip: null, track: null, span: source.timeline.rateSpan }
          : clipLoss('time-stamp', clip, message, clip.start?.span ?? null),
      );
    }
    return formatTimecode(frame, rate, isDrop);
  };
}

/** Silence at the ends, and a list without any event. */
function tellEnds({ source: { timeline }, log, grid }: Writing, events: readonly ListEvent[]): void {
  const tell = (message: string): void => log.tell({ kind: 'gap', message, clip: null, track: null, span: timeline.rateSpan });
  if (events.length === 0) {
    tell('Nothing of these tracks can be written, so the list has no events.');
    return;
  }
  const first = Math.min(...events.map(({ frames }) => frames.recordIn));
  const last = Math.max(...events.map(({ frames }) => frames.recordOut));
  const start = Number(floor(grid.startFrame));
  const end = Number(round(add(grid.startFrame, secondsToCount(timeline.duration, grid.rate))));
  const time = (count: number): string => amount(countToSeconds(rational(count), grid.rate));
  if (first > start)
    tell(
      `Nothing stands in the first ${time(first - start)}. A list begins with its first event: labels stay, places counted from the beginning do not.`,
    );
  if (last < end) tell(`Nothing stands in the last ${time(end - last)}. A list ends with its last event.`);
}

function sourceIsDrop(source: ConversionSource, clip: Clip | null): boolean {
  return droppedLabelsPerMinute(source.timeline.rate) > 0 && (clip?.start?.isDropFrame ?? source.timeline.isDropFrame);
}

function countsDropFrame({ timeline }: ConversionSource): boolean {
  return timeline.isDropFrame && droppedLabelsPerMinute(timeline.rate) > 0;
}

function acceptLine({ code, reason }: Acceptance): string {
  return `* AFTERCLAP ACCEPT ${code}: ${edlLine(reason)}`;
}

/** Seconds by which two speeds come apart over a clip. */
function drift(wanted: Rational, written: Rational, frames: number, rate: Rate): Rational {
  return countToSeconds(multiply(absolute(subtract(wanted, written)), rational(frames)), rate);
}
