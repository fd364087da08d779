/**
 * SPLIT lines: how much later the sound or the picture of the next two event lines begins.
 *
 * The lines carry their own times, so a SPLIT changes nothing; where it contradicts them a person should know.
 */

import { EVENT_ROW, FRAME_FIELD, LABEL_ROW, LINE, LINE_ROW, lineKind, lineSpan, valueSpan } from '../../syntax/edl/edlTape.ts';
import { readLabel, TIMECODE_LABEL } from '../../syntax/edl/readLabel.ts';
import { textUnits } from '../../syntax/json/textUnits.ts';
import { textOf } from '../../text/span.ts';
import { countLabel, labelCounting } from '../../time/timecode.ts';
import { readChannelField } from './edlChannels.ts';
import type { Reading } from './edlReading.ts';
import { observe } from './observer.ts';

const DELAY = /^(AUDIO|VIDEO)\s+DELAY\s*=\s*(\S{1,16})(?!\S)/i;

export function checkSplits(reading: Reading): void {
  const { tape } = reading;
  let nextEvent = 0;
  for (let line = 0; line < tape.lineCount; line += 1) {
    const kind = lineKind(tape, line);
    if (kind === LINE.event) nextEvent = (tape.lines[line * LINE_ROW.size + LINE_ROW.detail] as number) + 1;
    else if (kind === LINE.split) checkSplit(reading, line, nextEvent);
  }
}

function checkSplit(reading: Reading, line: number, event: number): void {
  const { tape, record, observer, rate } = reading;
  const match = DELAY.exec(textOf(tape.text, valueSpan(tape, line)));
  const delay = match === null ? null : delayFrames(match[2] as string, labelCounting(rate, false));
  if (match === null || delay === null) {
    observe(observer, 'SPLIT lines that cannot be read', {
      kind: 'unreadable',
      span: lineSpan(tape, line),
      message: 'Expected SPLIT: AUDIO DELAY= or VIDEO DELAY= with a timecode. The event lines below are read as they stand.',
    });
    return;
  }
  const lines = [event, event + 1].filter((index) => index < tape.eventCount);
  const picture = lines.find((index) => hasPicture(reading, index));
  const sound = lines.find((index) => index !== picture && !hasPicture(reading, index));
  if (picture === undefined || sound === undefined) {
    note(
      reading,
      line,
      'SPLIT stands before a picture and a sound line of one event; these two do not follow here. It changes nothing.',
    );
    return;
  }
  const soundLater = (record.starts[sound] as number) - (record.starts[picture] as number);
  const said = (match[1] as string).toUpperCase() === 'AUDIO' ? delay : -delay;
  if (soundLater === said) return;
  const words = (frames: number): string =>
    frames === 0 ? 'together with picture' : `${Math.abs(frames)} frames ${frames > 0 ? 'after' : 'before'} picture`;
  note(
    reading,
    line,
    `SPLIT says sound is cut in ${words(said)}, the lines below say ${words(soundLater)}; the lines are believed.`,
  );
}

function note(reading: Reading, line: number, message: string): void {
  observe(reading.observer, 'notes on SPLIT lines', { kind: 'note', span: lineSpan(reading.tape, line), message, clip: null });
}

function hasPicture(reading: Reading, event: number): boolean {
  const row = event * EVENT_ROW.size;
  const { tape } = reading;
  const text = tape.text.slice(tape.events[row + EVENT_ROW.channelStart], tape.events[row + EVENT_ROW.channelEnd]);
  return readChannelField(text, reading.otherChannels).channels.some((channel) => channel.kind === 'picture');
}

function delayFrames(text: string, counting: ReturnType<typeof labelCounting>): number | null {
  const row = new Int32Array(LABEL_ROW.size);
  const form = readLabel(textUnits(text), 0, text.length, row, 0);
  if (form === 0) return null;
  const seconds = row[LABEL_ROW.seconds] as number;
  return form === TIMECODE_LABEL
    ? countLabel(counting, seconds, (row[LABEL_ROW.framesAndFlags] as number) & FRAME_FIELD)
    : seconds;
}
