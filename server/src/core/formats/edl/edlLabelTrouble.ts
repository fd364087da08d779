/**
 * Says what is wrong with labels and counting modes, on the characters of the label or FCM line.
 */

import { type EdlTape, LABEL, LABEL_ROW, labelRow, labelSpan } from '../../syntax/edl/edlTape.ts';
import { textOf } from '../../text/span.ts';
import { nominalFramesPerSecond, rateLabel } from '../../time/rate.ts';
import { TROUBLE } from './edlCounting.ts';
import { nextExistingLabel, withSeparator } from './edlLabel.ts';
import { rateOfField } from './edlRate.ts';
import type { Reading } from './edlReading.ts';
import { observe } from './observer.ts';

const COLUMNS = ['source in', 'source out', 'record in', 'record out'];

/** Reports troubled labels of one event. Answers the reason why the event's place is doubtful, or null. */
export function observeLabels(reading: Reading, event: number, clip: number | null): string | null {
  const { counting } = reading;
  const at = event * 4;
  const { troubles } = counting;
  // One comparison for the four labels of an event in which nothing is wrong.
  if (
    ((troubles[at] as number) | (troubles[at + 1] as number) | (troubles[at + 2] as number) | (troubles[at + 3] as number)) ===
    0
  ) {
    return null;
  }
  let doubt: string | null = null;
  for (let label = 0; label < 4; label += 1) {
    const trouble = troubles[at + label] as number;
    if (trouble !== 0) doubt = observeLabel(reading, event, label, trouble, clip) ?? doubt;
  }
  return doubt;
}

function observeLabel(reading: Reading, event: number, label: number, trouble: number, clip: number | null): string | null {
  const { tape, rate, observer, evidence } = reading;
  const place = labelSpan(tape, event, label);
  const text = textOf(tape.text, place);
  const atRate = `${rateLabel(rate)} frames per second`;
  if ((trouble & TROUBLE.frameField) !== 0) {
    const largest = nominalFramesPerSecond(rate) - 1;
    const fitting = rateOfField(evidence.highestFrameField);
    const advice =
      evidence.highestFrameField > 59
        ? 'No timecode rate reaches it.'
        : `The list's highest frame field is ${evidence.highestFrameField}, which would fit ${rateLabel(fitting.rate)}; set edlRate in afterclap.json to the rate of the list.`;
    observe(observer, 'labels that do not fit the rate', {
      kind: 'unreadable',
      span: place,
      message: `${text} does not exist at ${atRate}, where the frame field runs from 0 to ${largest}. ${advice}`,
    });
    return `its ${COLUMNS[label]} ${text} does not exist at ${atRate}`;
  }
  if ((trouble & TROUBLE.clockField) !== 0) {
    observe(observer, 'labels past the clock', {
      kind: 'unreadable',
      span: place,
      message: `${text} is no time of day: hours run to 23, minutes and seconds to 59.`,
    });
    return `its ${COLUMNS[label]} ${text} is no time of day`;
  }
  if ((trouble & TROUBLE.skipped) !== 0) {
    const replacement = nextExistingLabel(text, rate);
    observe(observer, 'labels that drop-frame counting skips', {
      kind: 'label',
      span: place,
      text,
      problem: 'skipped',
      message: `Drop-frame counting skips ${text}; it is read as ${replacement}. A list that holds such a label was counted non-drop at some point: check its neighbours.`,
      replacement,
      clip,
    });
  }
  if ((trouble & TROUBLE.mixed) !== 0) observeMixed(reading, event, label, clip);
  return null;
}

function observeMixed(reading: Reading, event: number, label: number, clip: number | null): void {
  const { tape, counting, observer } = reading;
  const place = labelSpan(tape, event, label);
  const text = textOf(tape.text, place);
  const isSource = label < 2;
  const isDrop = (isSource ? counting.sourceIsDrop[event] : counting.recordIsDrop[event]) === 1;
  const mode = isDrop ? 'drop-frame' : 'non-drop-frame';
  const fellows = isSource ? 'the source in of this event' : 'the record times of this list';
  // Record times have one mode, so the separator is certain; a source out may be the right one of the two.
  const replacement = isSource ? null : withSeparator(text, isDrop ? markedSeparator(tape) : ':');
  observe(observer, 'labels in another mode than their fellows', {
    kind: 'label',
    span: place,
    text,
    problem: 'mixed',
    message: `${text} is written ${isDrop ? 'non-drop-frame' : 'drop-frame'}, but ${fellows} ${isSource ? 'is' : 'are'} ${mode}; it is read as ${mode}.`,
    replacement,
    clip,
  });
}

/** The separator before the frames that the list's own drop-frame record labels use. */
function markedSeparator(tape: EdlTape): string {
  for (let event = 0; event < tape.eventCount; event += 1) {
    for (const label of [LABEL.recordIn, LABEL.recordOut]) {
      const end = tape.events[labelRow(event, label) + LABEL_ROW.end] as number;
      const start = tape.events[labelRow(event, label) + LABEL_ROW.start] as number;
      const match = /([;,])\d+$/.exec(tape.text.slice(start, end));
      if (match !== null) return match[1] as string;
    }
  }
  return ';';
}

/** What was noticed about the counting of the list as a whole. */
export function observeCounting(reading: Reading): void {
  const { tape, rate, counting, observer } = reading;
  for (const note of counting.notes) {
    const place = note.span;
    const text = textOf(tape.text, place);
    switch (note.kind) {
      case 'no-drop-frame-at-rate':
        observe(observer, 'statements of drop-frame counting', {
          kind: 'label',
          span: place,
          text,
          problem: 'no-drop-frame-at-rate',
          message: `${note.isOnModeLine ? 'FCM asks for drop-frame counting' : `${text} is written drop-frame`}, which exists at 29.97 and 59.94 only; this list is read at ${rateLabel(rate)}, all of it non-drop-frame. Correct this or the rate.`,
          replacement: note.isOnModeLine ? 'NON-DROP FRAME' : null,
          clip: null,
        });
        break;
      case 'separators-against-mode-line':
        observe(observer, 'statements of drop-frame counting', {
          kind: 'label',
          span: place,
          text,
          problem: 'mixed',
          message: `FCM says '${text}', but every record timecode is written with a drop-frame separator; the separators are believed.`,
          replacement: null,
          clip: null,
        });
        break;
      case 'plain-sources':
        observe(observer, 'notes on counting', {
          kind: 'note',
          span: place,
          message:
            'Record timecode is written drop-frame and no source timecode is; source times are read as non-drop-frame, as written.',
          clip: null,
        });
        break;
      case 'record-mode-changes':
        observe(observer, 'notes on counting', {
          kind: 'note',
          span: place,
          message: `From here on record timecode is read as ${note.isDropFrame ? 'drop-frame' : 'non-drop-frame'} too: only so does it go on without a break.`,
          clip: null,
        });
        break;
      case 'unknown-mode':
        observe(observer, 'FCM lines that cannot be read', {
          kind: 'unreadable',
          span: place,
          message: 'FCM is neither DROP FRAME nor NON-DROP FRAME; the line is left out.',
        });
        break;
    }
  }
}
