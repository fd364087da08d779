/**
 * `CompositionTimecode`: the record timecode of the timeline's first frame.
 *
 * Three elements say one thing and can contradict each other and the edit rate. `EditRate` decides how long a frame is
 * and `TimecodeDropFrame` how frames are counted; whatever disagrees is reported, and where the contradiction leaves no
 * certain frame number, none is given.
 */

import type { ProblemLog } from '../../syntax/xml/problemLog.ts';
import { decodeXmlText, valueSpan } from '../../syntax/xml/xmlText.ts';
import type { Span } from '../../text/span.ts';
import { droppedLabelsPerMinute, isSampleRate, nominalFramesPerSecond, type Rate, rateLabel } from '../../time/rate.ts';
import { equals, type Rational, rational } from '../../time/rational.ts';
import { type LabelProblem, labelToFrame, parseTimecode, type TimecodeLabel } from '../../time/timecode.ts';
import type { Observation } from '../../timeline/model.ts';
import type { TimelineDraft } from './timelineDraft.ts';
import { shown, type WrittenValues } from './writtenValues.ts';

export interface CompositionTimecode {
  readonly startFrame: Rational | null;
  readonly isDropFrame: boolean;
}

export function readTimecode(
  text: string,
  draft: Pick<TimelineDraft, 'dropFrame' | 'timecodeRate' | 'startAddress'>,
  rate: Rate,
  values: WrittenValues,
  log: ProblemLog<Observation>,
  parseLabel: (written: string) => TimecodeLabel | null = parseTimecode,
): CompositionTimecode {
  const flag = draft.dropFrame === null ? null : readBoolean(draft.dropFrame);
  const isAgreed = draft.timecodeRate === null || agrees(draft.timecodeRate);
  const place = draft.startAddress === null ? null : valueSpan(text, draft.startAddress);
  const written = draft.startAddress === null ? null : values.textAt(draft.startAddress);
  const label = written === null ? null : parseLabel(written);
  const isDropFrame = (flag ?? label?.isMarkedDrop ?? false) && droppedLabelsPerMinute(rate) > 0;
  if (flag === true && droppedLabelsPerMinute(rate) === 0 && draft.dropFrame !== null) {
    const message = `TimecodeDropFrame is true, but drop-frame counting exists at 29.97 and 59.94 frames per second only, and EditRate is ${rateLabel(rate)}. Frames are counted without dropping.`;
    log.report({
      kind: 'label',
      span: draft.dropFrame,
      text: values.textAt(draft.dropFrame),
      problem: 'no-drop-frame-at-rate',
      message,
      replacement: null,
      clip: null,
    });
  }
  if (place === null || written === null) return { startFrame: null, isDropFrame };
  if (label === null) {
    const message = `TimecodeStartAddress is '${shown(written)}', which is no timecode. Expected: hh:mm:ss:ff.`;
    log.unreadable(place.start, place.end, message);
    return { startFrame: null, isDropFrame };
  }
  if (flag === false && label.isMarkedDrop) {
    const message = `TimecodeStartAddress ${written} has the separator of drop-frame timecode, but TimecodeDropFrame is false. It is counted without dropping.`;
    log.report({ kind: 'label', span: place, text: written, problem: 'mixed', message, replacement: null, clip: null });
  }
  if (!isAgreed || isSampleRate(rate)) return { startFrame: null, isDropFrame };
  const read = labelToFrame(label, rate, isDropFrame);
  if (!read.ok && !reportLabel(read.problem, written, place)) return { startFrame: null, isDropFrame };
  return { startFrame: rational(read.frame), isDropFrame };

  /** True when the label still names a place in time. */
  function reportLabel(problem: LabelProblem, writtenLabel: string, span: Span): boolean {
    if (problem.kind === 'skipped') {
      const frames = String(problem.next.frames).padStart(2, '0');
      const replacement = writtenLabel.replace(/[0-9]+$/, frames);
      const message = `TimecodeStartAddress ${writtenLabel} does not exist: drop-frame counting skips it. The first label after it is ${replacement}.`;
      log.report({ kind: 'label', span, text: writtenLabel, problem: 'skipped', message, replacement, clip: null });
      return true;
    }
    const what =
      problem.kind === 'frame-field'
        ? `its frames go up to ${problem.largest} at ${rateLabel(rate)} frames per second`
        : problem.kind === 'clock-field'
          ? `its ${problem.field} go up to ${problem.field === 'hours' ? 23 : 59}`
          : 'drop-frame counting does not exist at this rate';
    log.unreadable(span.start, span.end, `TimecodeStartAddress ${writtenLabel} does not exist: ${what}.`);
    return false;
  }

  function agrees(rateOfLabels: Span): boolean {
    const read = values.count(rateOfLabels, 'TimecodeRate', null);
    if (read === null) return false;
    const nominal = nominalFramesPerSecond(rate);
    if (Number.isSafeInteger(nominal) && equals(read.count, rational(nominal))) return true;
    const message = `TimecodeRate is ${values.textAt(rateOfLabels)}, but EditRate is ${rateLabel(rate)}, whose timecode counts ${nominal} frames per second. The start timecode is not used.`;
    log.report({ kind: 'rate', span: read.span, message, clip: null });
    return false;
  }

  function readBoolean(span: Span): boolean | null {
    const value = decodeXmlText(text.slice(span.start, span.end)).trim();
    if (value === 'true' || value === '1') return true;
    if (value === 'false' || value === '0') return false;
    log.unreadable(span.start, span.end, `TimecodeDropFrame is '${shown(value)}'. Expected: true or false.`);
    return null;
  }
}
