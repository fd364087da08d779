/**
 * Source times of one event: where they start, how fast they run, and whether their length agrees with the record side.
 */

import { BARE_NUMBER, LABEL, LABEL_ROW, labelRow, labelSpan, lineSpan } from '../../syntax/edl/edlTape.ts';
import { textOf } from '../../text/span.ts';
import { rateLabel } from '../../time/rate.ts';
import { absolute, multiply, rational, sign, toNumber } from '../../time/rational.ts';
import { framesPerDay } from '../../time/timecode.ts';
import type { Speed } from '../../timeline/model.ts';
import type { Attachments } from './edlAttachments.ts';
import type { ReelKind } from './edlClip.ts';
import { TROUBLE } from './edlCounting.ts';
import { writeLabelLike } from './edlLabel.ts';
import type { OutgoingLine } from './edlMedia.ts';
import { isSameReel, type Motion, readMotion, reelText, shareMotions } from './edlMotion.ts';
import type { Reading } from './edlReading.ts';
import { type EventSpeed, speedOfMotion } from './edlSpeed.ts';
import { observe } from './observer.ts';

const UNUSABLE = TROUBLE.frameField | TROUBLE.clockField;

/**
 * The speed of the event's source; null for normal speed. `clip` is the index of the event's first clip, null when it has
 * none; then nothing is reported.
 */
export function readSpeed(
  reading: Reading,
  event: number,
  reelKind: ReelKind,
  attachments: Attachments,
  outgoing: OutgoingLine | null,
  clip: number | null,
): Speed | null {
  const { counting, record } = reading;
  const start = counting.frames[event * 4 + LABEL.sourceIn] as number;
  const out = counting.frames[event * 4 + LABEL.sourceOut] as number;
  const recordFrames = (record.ends[event] as number) - (record.starts[event] as number);
  const isPlain = attachments.motions === null && attachments.freezeFrame < 0;
  if (isPlain && out - start === recordFrames) return null;
  if (clip === null || (reelKind === 'generator' && isPlain)) return null;

  const { length, isBackwards } = sourceLength(reading, event, start, out, recordFrames);
  const motion = motionOf(reading, event, reelKind, attachments, outgoing, clip);
  const speed = motion === null ? null : speedOfMotion(motion.speed, reading.rate, length, recordFrames);
  if (motion !== null && attachments.freezeFrame >= 0 && outgoing === null && speed?.convention !== 'freeze') {
    observe(reading.observer, 'freezes that M2 contradicts', {
      kind: 'speed-note',
      span: lineSpan(reading.tape, attachments.freezeFrame),
      message: `A comment says freeze frame, M2 says ${motion.speed} frames a second; M2 is believed.`,
      clip,
      isWarning: true,
    });
  }
  if (motion !== null && speed !== null && (speed.convention !== 'normal' || isBackwards)) {
    noteSpeed(reading, event, motion, speed, isBackwards, clip, { source: length, record: recordFrames });
    return { kind: 'constant', scalar: speed.scalar, span: motion.speedSpan };
  }
  if (motion === null && isFrozen(attachments, outgoing, length !== recordFrames)) {
    return { kind: 'constant', scalar: rational(0), span: lineSpan(reading.tape, attachments.freezeFrame) };
  }
  if (isBackwards) {
    const place = labelSpan(reading.tape, event, LABEL.sourceOut);
    const reason = 'Source out lies before source in, and no M2 line says that the clip runs backwards.';
    observe(reading.observer, 'source outs before their source in', {
      kind: 'unreadable',
      span: place,
      message: `${reason} Put the labels in order, or add the M2 line, so that the clip can be compared.`,
    });
    return { kind: 'unknown', reason, span: place };
  }
  if (length !== recordFrames) observeLength(reading, event, start, length, recordFrames, clip);
  return null;
}

/**
 * True when a FREEZE FRAME comment is about this event's source. Below a transition it may mean either side, so there it counts
 * only where it explains something and no M2 line says it better.
 */
function isFrozen(attachments: Attachments, outgoing: OutgoingLine | null, lengthsDiffer: boolean): boolean {
  if (attachments.freezeFrame < 0) return false;
  return outgoing === null || (attachments.motions === null && lengthsDiffer);
}

/** Frames between source in and out; across midnight where that is the likelier reading, else backwards. */
function sourceLength(
  reading: Reading,
  event: number,
  start: number,
  out: number,
  recordFrames: number,
): { readonly length: number; readonly isBackwards: boolean } {
  if (out >= start) return { length: out - start, isBackwards: false };
  const field = reading.tape.events[labelRow(event, LABEL.sourceOut) + LABEL_ROW.framesAndFlags] as number;
  const day = framesPerDay(reading.rate, reading.counting.sourceIsDrop[event] === 1);
  const acrossMidnight = out + day - start;
  const isAcross = (field & BARE_NUMBER) === 0 && (acrossMidnight === recordFrames || acrossMidnight * 2 <= day);
  return isAcross ? { length: acrossMidnight, isBackwards: false } : { length: start - out, isBackwards: true };
}

/** The M2 line that governs the event; null when there is none that can be read. */
function motionOf(
  reading: Reading,
  event: number,
  reelKind: ReelKind,
  attachments: Attachments,
  outgoing: OutgoingLine | null,
  clip: number,
): Motion | null {
  if (attachments.motions === null) return null;
  const { tape, observer } = reading;
  const motions = readMotions(reading, attachments);
  if (outgoing !== null) return shareMotions(motions, reelText(tape, event), reelText(tape, outgoing.event)).incoming;
  const [first, second] = motions;
  if (first === undefined) return null;
  if (second !== undefined) {
    const message = 'A second M2 line for one event: the first is used.';
    observe(observer, 'second M2 lines', { kind: 'speed-note', span: second.span, message, clip });
  }
  if (reelKind === 'tape' && !isSameReel(first.reel, reelText(tape, event))) {
    const message = `This M2 line names the reel '${first.reel}', the event above it '${reelText(tape, event)}'. It is taken for that event's.`;
    observe(observer, 'M2 lines of another reel', { kind: 'speed-note', span: first.span, message, clip });
  }
  return first;
}

function readMotions(reading: Reading, attachments: Attachments): readonly Motion[] {
  const motions: Motion[] = [];
  for (const line of attachments.motions ?? []) {
    const motion = readMotion(reading.tape, line);
    if (motion !== null) motions.push(motion);
    else {
      const message = 'This M2 line has no speed that can be read; expected: reel, frames per second, timecode. It is left out.';
      const place = lineSpan(reading.tape, line);
      observe(reading.observer, 'M2 lines that cannot be read', { kind: 'unreadable', span: place, message });
    }
  }
  return motions;
}

/** The M2 line of the outgoing side of a transition: below its own line, or below the second line and meant for it. */
export function outgoingMotion(reading: Reading, event: number, attachments: Attachments, outgoing: OutgoingLine): Motion | null {
  const own = readMotions(reading, outgoing.attachments).at(0);
  if (own !== undefined) return own;
  // Lines that cannot be read were reported with the incoming side.
  const shared = (attachments.motions ?? []).map((line) => readMotion(reading.tape, line)).filter((motion) => motion !== null);
  return shareMotions(shared, reelText(reading.tape, event), reelText(reading.tape, outgoing.event)).outgoing;
}

function noteSpeed(
  reading: Reading,
  event: number,
  motion: Motion,
  speed: EventSpeed,
  isBackwards: boolean,
  clip: number,
  frames: { readonly source: number; readonly record: number },
): void {
  const sentences: string[] = [];
  const percent = `${toNumber(multiply(absolute(speed.scalar), rational(100))).toFixed(1)} %`;
  const at = `${motion.speed} frames a second at ${rateLabel(reading.rate)}`;
  if (speed.convention === 'scaled') {
    sentences.push(`M2 runs this clip at ${percent} (${at}); its source span is already scaled to that.`);
  } else if (speed.convention === 'unscaled') {
    sentences.push(
      `M2 runs this clip at ${percent} (${at}) though source and record span the same ${frames.record} frames; M2 is believed.`,
    );
  } else if (speed.convention === 'neither') {
    sentences.push(
      `M2 runs this clip at ${percent} (${at}), but ${frames.source} frames of source for ${frames.record} of record fit no such speed; M2 is believed. Check by eye.`,
    );
  }
  if (sign(speed.scalar) < 0) sentences.push('It runs backwards from its source in; check by eye.');
  else if (isBackwards) sentences.push('Its source out lies before its source in although the speed is forward; check by eye.');
  const sourceIn = textOf(reading.tape.text, labelSpan(reading.tape, event, LABEL.sourceIn));
  if (speed.convention !== 'freeze' && motion.trigger !== null && digitsOf(motion.trigger) !== digitsOf(sourceIn)) {
    sentences.push(`The M2 line starts at ${motion.trigger}, the event at ${sourceIn}; the event is believed.`);
  }
  if (sentences.length === 0) return;
  const isWarning = speed.convention === 'neither';
  observe(reading.observer, 'retimed clips', {
    kind: 'speed-note',
    span: motion.span,
    message: sentences.join(' '),
    clip,
    isWarning,
  });
}

function observeLength(
  reading: Reading,
  event: number,
  start: number,
  sourceFrames: number,
  recordFrames: number,
  clip: number,
): void {
  const { tape, counting, rate, observer } = reading;
  const troubles = counting.troubles.subarray(event * 4, event * 4 + 4);
  // Lengths that come from labels that do not exist prove nothing; the labels are reported already.
  if (troubles.some((trouble) => (trouble & UNUSABLE) !== 0)) return;
  const place = labelSpan(tape, event, LABEL.sourceOut);
  const replacement = writeLabelLike(textOf(tape.text, place), start + recordFrames, rate, counting.sourceIsDrop[event] === 1);
  observe(observer, 'events whose source and record lengths differ', {
    kind: 'length',
    span: place,
    sourceFrames: rational(sourceFrames),
    recordFrames: rational(recordFrames),
    replacement,
    clip,
  });
}

function digitsOf(label: string): string {
  return label.replace(/\D/g, '').padStart(8, '0');
}
