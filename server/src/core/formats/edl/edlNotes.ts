/**
 * What is said about whole lines and events: unknown fields, keys, events of no length, machine control, a list without events.
 */

import { EDIT, EVENT_ROW, LABEL, LINE, labelSpan, lineKind, lineSpan } from '../../syntax/edl/edlTape.ts';
import { span, textOf } from '../../text/span.ts';
import type { ChannelField } from './edlChannels.ts';
import type { Reading } from './edlReading.ts';
import { observe } from './observer.ts';

/** What is special about the event line itself. */
export function observeEvent(reading: Reading, event: number, field: ChannelField, clip: number | null): void {
  const { tape, observer, record } = reading;
  const row = event * EVENT_ROW.size;
  const type = tape.events[row + EVENT_ROW.type] as number;
  const typeSpan = span(tape.events[row + EVENT_ROW.typeStart] as number, tape.events[row + EVENT_ROW.typeEnd] as number);
  const channelSpan = span(
    tape.events[row + EVENT_ROW.channelStart] as number,
    tape.events[row + EVENT_ROW.channelEnd] as number,
  );
  const eventSpan = span(tape.events[row + EVENT_ROW.start] as number, tape.events[row + EVENT_ROW.end] as number);
  if (!field.isKnown) {
    observe(observer, 'unknown channel fields', {
      kind: 'unreadable',
      span: channelSpan,
      message: `'${textOf(tape.text, channelSpan)}' is no channel field this reader knows (V, A, A2, AA, B, A/V, AA/V, A3, NONE ...); the event is kept on a track of that name and not compared.`,
    });
  } else if (field.channels.length === 0) {
    observe(observer, 'events without a channel', {
      kind: 'note',
      span: channelSpan,
      message: 'This event names no channel: NONE without an AUD line below it. It is left out.',
      clip: null,
    });
  }
  if (type === EDIT.unknown) {
    const written = textOf(tape.text, typeSpan);
    observe(observer, 'unknown edit types', {
      kind: 'unreadable',
      span: written === '' ? eventSpan : typeSpan,
      message: `${written === '' ? 'This event has no edit type' : `'${written}' is no edit type`}; C, D, W and K with their numbers are known. It is read as a cut.`,
    });
  } else if (type >= EDIT.keyForeground) {
    observe(observer, 'keys', {
      kind: 'note',
      span: typeSpan,
      message:
        type === EDIT.keyBackground
          ? 'A key: this is its background, read as a cut on a track of its own.'
          : 'A key: this is its foreground, read as a cut; how it is keyed and faded is not checked.',
      clip,
    });
  }
  if (record.isReversed[event] !== 0) {
    const recordOut = labelSpan(tape, event, LABEL.recordOut);
    observe(observer, 'record outs before their record in', {
      kind: 'unreadable',
      span: recordOut,
      message: `Record out ${textOf(tape.text, recordOut)} lies before record in ${textOf(tape.text, labelSpan(tape, event, LABEL.recordIn))}, and no midnight explains it. The event is left out.`,
    });
  } else if (record.starts[event] === record.ends[event]) {
    observe(observer, 'events of no length', {
      kind: 'note',
      span: eventSpan,
      message: 'Record in and out are the same, so this event lasts no frames. It is left out.',
      clip: null,
    });
  }
}

/** Lines outside events, and the list as a whole. */
export function observeLines(reading: Reading): void {
  const { tape, observer } = reading;
  let hasEvent = false;
  for (let line = 0; line < tape.lineCount; line += 1) {
    const kind = lineKind(tape, line);
    if (kind === LINE.event || kind === LINE.brokenEvent) hasEvent = true;
    else if (kind === LINE.control) {
      const message = 'A line for machine control; it says nothing about sync and is not read.';
      observe(observer, 'lines for machine control', { kind: 'note', span: lineSpan(tape, line), message, clip: null });
    } else if ((kind === LINE.motion || kind === LINE.addedSound) && !hasEvent) {
      const message = 'This line belongs to the event above it, and there is none. It is not read.';
      observe(observer, 'lines without their event', { kind: 'unreadable', span: lineSpan(tape, line), message });
    }
  }
  if (tape.eventCount > 0) return;
  const isList = tape.lineCount > 0 && [LINE.title, LINE.frameCodeMode].includes(lineKind(tape, 0) as 1 | 2);
  const first = tape.lineCount > 0 ? lineSpan(tape, 0) : span(0, 0);
  const message =
    'This list has no events: none of its lines begins with a number and holds a reel, channels, an edit type and four times.';
  observe(
    observer,
    'lists without events',
    isList ? { kind: 'note', span: first, message, clip: null, isWarning: true } : { kind: 'unreadable', span: first, message },
  );
}
