/**
 * One time of a list: `hh:mm:ss:ff` with any of `:;.,` between the fields, or a bare frame number.
 *
 * Separators decide the counting mode only where they are `;` or `,` before the frames (custom, not a standard); a list
 * may count drop-frame with plain colons, so the absence of a mark means nothing. Fields past their largest value are
 * read all the same and flagged: whether a frame field fits depends on a rate the text does not hold.
 */

import { BARE_NUMBER, CLOCK_OVERFLOW, LABEL_ROW, MARKED_DROP } from './edlTape.ts';

export type LabelForm = 0 | 1 | 2;
export const NO_LABEL = 0;
export const TIMECODE_LABEL = 1;
export const NUMBER_LABEL = 2;

const LARGEST_NUMBER_DIGITS = 9;
export const USUAL_LENGTH = 11;

/** Reads the word `start..end` (of `textUnits`) into the label row at `row`. Says which form it has; the row is only written when it has one. */
export function readLabel(units: Uint8Array, start: number, end: number, rows: Int32Array, row: number): LabelForm {
  return end - start === USUAL_LENGTH && readUsualLabel(units, start, rows, row)
    ? TIMECODE_LABEL
    : readAnyLabel(units, start, end, rows, row);
}

/** The form nearly all labels have, eleven characters from `start` on with two digits in each field, without a loop. */
export function readUsualLabel(units: Uint8Array, start: number, rows: Int32Array, row: number): boolean {
  const hours = twoDigits(units, start);
  const minutes = twoDigits(units, start + 3);
  const seconds = twoDigits(units, start + 6);
  const frames = twoDigits(units, start + 9);
  if ((hours | minutes | seconds | frames) < 0) return false;
  const mark = units[start + 8] as number;
  if (!isSeparator(units[start + 2] as number) || !isSeparator(units[start + 5] as number) || !isSeparator(mark)) return false;
  let flags = hours > 23 || minutes > 59 || seconds > 59 ? CLOCK_OVERFLOW : 0;
  if (mark === 59 || mark === 44) flags |= MARKED_DROP;
  rows[row + LABEL_ROW.start] = start;
  rows[row + LABEL_ROW.end] = start + USUAL_LENGTH;
  rows[row + LABEL_ROW.seconds] = (hours * 60 + minutes) * 60 + seconds;
  rows[row + LABEL_ROW.framesAndFlags] = frames | flags;
  return true;
}

/** The number of two digits at `at`; negative when one of them is none. */
function twoDigits(units: Uint8Array, at: number): number {
  const tens = (units[at] as number) - 48;
  const ones = (units[at + 1] as number) - 48;
  return tens >= 0 && tens <= 9 && ones >= 0 && ones <= 9 ? tens * 10 + ones : -1;
}

/** `:` `;` `.` `,` */
export function isSeparator(unit: number): boolean {
  return unit === 58 || unit === 59 || unit === 46 || unit === 44;
}

function readAnyLabel(units: Uint8Array, start: number, end: number, rows: Int32Array, row: number): LabelForm {
  let group = 0;
  let digits = 0;
  let value = 0;
  let seconds = 0;
  let flags = 0;
  for (let at = start; at < end; at += 1) {
    const code = units[at] as number;
    const digit = code - 48;
    if (digit >= 0 && digit <= 9) {
      digits += 1;
      if (digits > LARGEST_NUMBER_DIGITS) return NO_LABEL;
      value = value * 10 + digit;
    } else if (isSeparator(code)) {
      if (group === 3 || digits === 0 || digits > 2 || (group > 0 && digits !== 2)) return NO_LABEL;
      if (value > (group === 0 ? 23 : 59)) flags |= CLOCK_OVERFLOW;
      if (group === 2 && (code === 59 || code === 44)) flags |= MARKED_DROP;
      seconds = seconds * 60 + value;
      group += 1;
      digits = 0;
      value = 0;
    } else {
      return NO_LABEL;
    }
  }
  const isNumber = group === 0 && digits > 0;
  if (!isNumber && (group !== 3 || digits < 2 || digits > 3)) return NO_LABEL;
  rows[row + LABEL_ROW.start] = start;
  rows[row + LABEL_ROW.end] = end;
  rows[row + LABEL_ROW.seconds] = isNumber ? value : seconds;
  rows[row + LABEL_ROW.framesAndFlags] = isNumber ? BARE_NUMBER : value | flags;
  return isNumber ? NUMBER_LABEL : TIMECODE_LABEL;
}
