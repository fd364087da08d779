/**
 * Reads an edit decision list into the neutral timeline.
 *
 * Each event line becomes one clip per channel; the clips of a line share its characters and so their `textGroup`. The
 * zero-length first line of a dissolve or wipe becomes no clip: its picture is the clip before it, which goes on under
 * the transition. Record times count from the earliest record in of the list.
 *
 * Decisions where lists leave room
 * - `start` is the source-in label. `length` is null: an EDL writes no length, only two ends, so nothing stands there that a fix
 *   could change alone.
 * - `Track.span` is the channel field that names the track first; a track has no place of its own in a list.
 * - Over-records (a later event over an earlier one) keep both clips; the rule for overlaps reports them.
 * - A key is read as a cut of its foreground; its background goes to a track of its own, so that both are compared and neither
 *   seems to overlap the other.
 */

import {
  EDIT,
  type EdlTape,
  EVENT_ROW,
  LABEL,
  LABEL_ROW,
  LINE,
  lineKind,
  lineSpan,
  valueSpan,
} from '../../syntax/edl/edlTape.ts';
import { scanEdl } from '../../syntax/edl/scanEdl.ts';
import { OTHER } from '../../syntax/json/textUnits.ts';
import { textOf } from '../../text/span.ts';
import { countToSeconds, type Rate } from '../../time/rate.ts';
import { type Rational, rational } from '../../time/rational.ts';
import type { OutlineNode, Speed, Timeline } from '../../timeline/model.ts';
import type { ReadOptions } from '../timelineFormat.ts';
import { type Attachments, emptyAttachments, gatherAttachments, namesMedia } from './edlAttachments.ts';
import { type Channel, type ChannelField, readAddedSound, readChannelField, withAddedSound } from './edlChannels.ts';
import { EdlClip, type EventFacts, type ReelKind } from './edlClip.ts';
import { countLabels } from './edlCounting.ts';
import { observeCounting, observeLabels } from './edlLabelTrouble.ts';
import { mediaOfEvent, type OutgoingLine, reelKindOf } from './edlMedia.ts';
import { observeEvent, observeLines } from './edlNotes.ts';
import { outlineOfList } from './edlOutline.ts';
import { decideRate, gatherEvidence } from './edlRate.ts';
import type { Reading } from './edlReading.ts';
import { placeRecordTimes } from './edlRecord.ts';
import { readSpeed } from './edlSource.ts';
import { checkSplits } from './edlSplits.ts';
import { emptyTrackTable, finishTracks, trackOf } from './edlTracks.ts';
import { addTransition, finishTransitions } from './edlTransitions.ts';
import { emptyObserver, finishObservations, observe } from './observer.ts';

const NORMAL: Speed = { kind: 'constant', scalar: rational(1), span: null };

/** Never throws, on any string. */
export function readEdl(text: string, options: ReadOptions): Timeline {
  const tape = scanEdl(text);
  const evidence = gatherEvidence(tape);
  const { rate, reason } = decideRate(tape, evidence, options);
  const counting = countLabels(tape, rate, evidence);
  const observer = emptyObserver();
  for (const problem of tape.problems) observe(observer, 'lines that cannot be read', { kind: 'unreadable', ...problem });
  const record = placeRecordTimes(tape, counting, rate);
  const reading: Reading = {
    tape,
    rate,
    evidence,
    counting,
    record,
    observer,
    clips: [],
    tracks: emptyTrackTable(),
    transitions: [],
    openTransitions: [],
    acceptances: [],
    secondsOf: secondsCounter(rate),
    fields: new Map(),
    otherChannels: new Map(),
  };
  observeCounting(reading);
  observeLines(reading);
  readHeaderAcceptances(reading);
  readEvents(reading);
  checkSplits(reading);
  finishTransitions(reading);
  const tracks = finishTracks(reading);
  const { clips, transitions, acceptances } = reading;
  const name = titleOf(reading);
  let outline: readonly OutlineNode[] | null = null;
  return {
    format: 'edl',
    name,
    rate,
    rateReason: reason,
    rateSpan: null,
    isDropFrame: counting.isDropFrame,
    startFrame: tape.eventCount === 0 ? null : rational(record.base),
    duration: reading.secondsOf(record.length),
    tracks,
    clips,
    transitions,
    observations: finishObservations(observer),
    acceptances,
    // Only an outline view asks for it, and as much memory again would be kept for every list that is merely checked.
    get outline() {
      outline ??= outlineOfList(name, text, clips);
      return outline;
    },
  };
}

function readEvents(reading: Reading): void {
  const { tape } = reading;
  let outgoing: OutgoingLine | null = null;
  let attachments = emptyAttachments();
  for (let event = 0; event < tape.eventCount; event += 1) {
    const row = event * EVENT_ROW.size;
    gatherAttachments(tape, tape.events[row + EVENT_ROW.line] as number, attachments);
    const reelKind = reelKindOf(tape, event);
    if (isOutgoingLine(reading, event)) {
      observeLabels(reading, event, null);
      outgoing = { event, reelKind, attachments };
      attachments = emptyAttachments();
      continue;
    }
    readEvent(reading, event, reelKind, attachments, outgoing);
    outgoing = null;
  }
}

function readEvent(
  reading: Reading,
  event: number,
  reelKind: ReelKind,
  attachments: Attachments,
  outgoing: OutgoingLine | null,
): void {
  const { tape, record, clips } = reading;
  const row = event * EVENT_ROW.size;
  const type = tape.events[row + EVENT_ROW.type] as number;
  const field = channelsOf(reading, event, attachments);
  const recordIn = record.starts[event] as number;
  const recordOut = record.ends[event] as number;
  const firstClip = clips.length;
  const hasClips = recordOut > recordIn && field.channels.length > 0;
  const clipIndex = hasClips ? firstClip : null;
  const speed = readSpeed(reading, event, reelKind, attachments, outgoing, clipIndex);
  const doubt = observeLabels(reading, event, clipIndex);
  if (hasClips) {
    const sourceFrame = reading.counting.frames[event * 4 + LABEL.sourceIn] as number;
    const facts: EventFacts = {
      event,
      rate: reading.rate,
      start: tape.events[row + EVENT_ROW.start] as number,
      end: attachments.end,
      record: { start: startSeconds(reading, recordIn), end: reading.secondsOf(recordOut) },
      sourceStart: reading.secondsOf(sourceFrame),
      labelStart: tape.events[row + EVENT_ROW.labels + LABEL_ROW.start] as number,
      labelEnd: tape.events[row + EVENT_ROW.labels + LABEL_ROW.end] as number,
      sourceFrame,
      isSourceDrop: reading.counting.sourceIsDrop[event] === 1,
      speed: speed ?? NORMAL,
      doubt,
      media: mediaOfEvent(tape, event, reelKind, mediaAttachments(reading, event, attachments), outgoing),
    };
    for (const channel of field.channels) {
      clips.push(new EdlClip(clips.length, channel.kind, trackOf(reading, event, keyChannel(channel, type)), facts));
    }
  }
  observeEvent(reading, event, field, clipIndex);
  if (type === EDIT.dissolve || type === EDIT.wipe) addTransition(reading, event, field, attachments, outgoing, clipIndex);
  acceptBelow(reading, outgoing?.attachments.acceptances ?? null, firstClip);
  acceptBelow(reading, attachments.acceptances, firstClip);
}

/**
 * The first line of a dissolve or wipe: no record length, and the next event is the transition at the same record in.
 * Event numbers decide nothing: lists number the first line one too low.
 */
function isOutgoingLine(reading: Reading, event: number): boolean {
  const { tape, record } = reading;
  if (event + 1 >= tape.eventCount || record.starts[event] !== record.ends[event]) return false;
  if (record.isReversed[event] !== 0) return false;
  const type = tape.events[event * EVENT_ROW.size + EVENT_ROW.type] as number;
  const next = tape.events[(event + 1) * EVENT_ROW.size + EVENT_ROW.type] as number;
  if (type !== EDIT.cut && type !== EDIT.unknown) return false;
  return (next === EDIT.dissolve || next === EDIT.wipe) && record.starts[event] === record.starts[event + 1];
}

/** The attachments that name the media: the event's own, else those of the next line of the same event on the same reel. */
function mediaAttachments(reading: Reading, event: number, own: Attachments): Attachments {
  if (namesMedia(own)) return own;
  const { tape } = reading;
  const farthest = Math.min(tape.eventCount, event + 8);
  for (let next = event + 1; next < farthest; next += 1) {
    const row = next * EVENT_ROW.size;
    if (!isSameEvent(reading, event, next) || tape.events[row + EVENT_ROW.type] !== EDIT.cut) return own;
    const attachments = emptyAttachments();
    gatherAttachments(tape, tape.events[row + EVENT_ROW.line] as number, attachments);
    if (namesMedia(attachments)) return attachments;
  }
  return own;
}

function isSameEvent(reading: Reading, event: number, other: number): boolean {
  const { tape } = reading;
  const word = (index: number, from: number, to: number): string =>
    tape.text.slice(tape.events[index * EVENT_ROW.size + from], tape.events[index * EVENT_ROW.size + to]);
  return (
    tape.events[event * EVENT_ROW.size + EVENT_ROW.type] === EDIT.cut &&
    word(event, EVENT_ROW.start, EVENT_ROW.numberEnd) === word(other, EVENT_ROW.start, EVENT_ROW.numberEnd) &&
    word(event, EVENT_ROW.reelStart, EVENT_ROW.reelEnd) === word(other, EVENT_ROW.reelStart, EVENT_ROW.reelEnd)
  );
}

function channelsOf(reading: Reading, event: number, attachments: Attachments): ChannelField {
  const { tape, fields, otherChannels } = reading;
  const row = event * EVENT_ROW.size;
  const start = tape.events[row + EVENT_ROW.channelStart] as number;
  const end = tape.events[row + EVENT_ROW.channelEnd] as number;
  const key = channelKey(tape, start, end);
  let field = fields.get(key);
  if (field === undefined) {
    field = readChannelField(tape.text.slice(start, end), otherChannels);
    fields.set(key, field);
  }
  if (attachments.addedSound === null) return field;
  const numbers = attachments.addedSound.flatMap((line) => readAddedSound(textOf(tape.text, valueSpan(tape, line))));
  return withAddedSound(field, numbers);
}

/** A field of up to three ASCII characters as one number, which costs less to look up than a string to cut out. */
function channelKey(tape: EdlTape, start: number, end: number): string | number {
  if (end - start > 3) return tape.text.slice(start, end);
  let key = 0;
  for (let at = start; at < end; at += 1) {
    const unit = tape.units[at] as number;
    if (unit >= OTHER) return tape.text.slice(start, end);
    key = key * OTHER + unit;
  }
  return key;
}

/** The background of a key runs beside its foreground, so it needs a track of its own. */
function keyChannel(channel: Channel, type: number): Channel {
  return type === EDIT.keyBackground && channel.kind === 'picture'
    ? { ...channel, name: `${channel.name} key background` }
    : channel;
}

/** `* AFTERCLAP ACCEPT code: reason`. */
function accept(reading: Reading, line: number, clips: readonly number[] | 'all'): void {
  const place = valueSpan(reading.tape, line);
  const match = /^([^\s:]*)\s*:?\s*(.*)$/s.exec(textOf(reading.tape.text, place));
  reading.acceptances.push({ code: match?.[1] ?? '', reason: match?.[2] ?? '', span: lineSpan(reading.tape, line), clips });
}

/** Acceptances below an event speak of its clips, which are those from `firstClip` on. */
function acceptBelow(reading: Reading, lines: readonly number[] | null, firstClip: number): void {
  for (const line of lines ?? []) accept(reading, line, clipRange(firstClip, reading.clips.length));
}

/** Acceptances above the first event speak of the whole list. */
function readHeaderAcceptances(reading: Reading): void {
  const { tape } = reading;
  for (let line = 0; line < tape.lineCount; line += 1) {
    const kind = lineKind(tape, line);
    if (kind === LINE.event || kind === LINE.brokenEvent) return;
    if (kind === LINE.acceptance) accept(reading, line, 'all');
  }
}

function clipRange(from: number, to: number): readonly number[] {
  return Array.from({ length: to - from }, (_, index) => from + index);
}

function titleOf(reading: Reading): string {
  const { tape } = reading;
  for (let line = 0; line < tape.lineCount; line += 1) {
    if (lineKind(tape, line) === LINE.title) return textOf(tape.text, valueSpan(tape, line));
    if (lineKind(tape, line) === LINE.event) break;
  }
  return '';
}

/** Most events start where the one before ends, so that instant is worked out and kept once. */
function startSeconds(reading: Reading, frames: number): Rational {
  const last = reading.clips.at(-1);
  if (last !== undefined && reading.record.ends[last.textGroup] === frames) return last.record.end;
  return reading.secondsOf(frames);
}

/** Frames to seconds at one rate, without a division object for each. */
function secondsCounter(rate: Rate): (frames: number) => Rational {
  const { numerator, denominator } = rate;
  // Bare frame numbers have nine digits at most, and a hundred labelled hours fewer at these rates, so products stay exact.
  if (
    typeof numerator === 'number' &&
    typeof denominator === 'number' &&
    denominator <= 10_000 &&
    numerator / denominator <= 1000
  ) {
    return (frames) => ({ numerator: frames * denominator, denominator: numerator });
  }
  return (frames) => countToSeconds(rational(frames), rate);
}
