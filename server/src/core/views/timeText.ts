/**
 * Times as an editor of films reads them: timecode, frames, samples, clock. Rendering only.
 */

import { isSampleRate, nominalFramesPerSecond, type Rate, rateLabel, secondsToCount } from '../time/rate.ts';
import {
  absolute,
  divide,
  floor,
  formatRational,
  isInteger,
  multiply,
  type Rational,
  rational,
  round,
  sign,
  subtract,
  toNumber,
} from '../time/rational.ts';
import { formatTimecode } from '../time/timecode.ts';

/**
 * The timecode label of a frame count; a part of a frame follows as '+ 0.25'. A count before zero keeps its sign in words,
 * since a label can't be negative.
 */
export function timecodeText(count: Rational, rate: Rate, isDropFrame: boolean): string {
  if (sign(count) < 0) return `${timecodeText(absolute(count), rate, isDropFrame)} before zero`;
  const whole = floor(count);
  const rest = subtract(count, rational(whole));
  const label = formatTimecode(Number(whole % 100_000_000_000n), rate, isDropFrame);
  return sign(rest) === 0 ? label : `${label} + ${decimal(rest, 3)}`;
}

/** '25.720 s' below a minute, '1:02:03.456' from there on. */
export function clockText(seconds: Rational): string {
  if (sign(seconds) < 0) return `${clockText(absolute(seconds))} before zero`;
  const milliseconds = round(multiply(seconds, rational(1000)));
  if (milliseconds < 60_000n) return `${milliseconds / 1000n}.${padded(milliseconds % 1000n, 3)} s`;
  const hours = milliseconds / 3_600_000n;
  const minutes = (milliseconds / 60_000n) % 60n;
  const rest = `${padded((milliseconds / 1000n) % 60n, 2)}.${padded(milliseconds % 1000n, 3)}`;
  return hours === 0n ? `${minutes}:${rest}` : `${hours}:${padded(minutes, 2)}:${rest}`;
}

/** '1234567.25': at most two decimals. Digits stand in no groups, so that a number can be searched for in the text and in the report. */
export function numberText(value: Rational): string {
  const text = decimal(absolute(value), 2);
  return sign(value) < 0 && text !== '0' ? `${text} before zero` : text;
}

/** 'sample 1234567' or 'frame 132': one instant of a file in its own unit. */
export function countText(seconds: Rational, rate: Rate): string {
  return `${isSampleRate(rate) ? 'sample' : 'frame'} ${numberText(secondsToCount(seconds, rate))}`;
}

/** '250 frames', '48000 samples': a length in the unit of its rate. */
export function lengthText(seconds: Rational, rate: Rate): string {
  const text = numberText(secondsToCount(seconds, rate));
  const unit = isSampleRate(rate) ? 'sample' : 'frame';
  return `${text} ${text === '1' ? unit : `${unit}s`}`;
}

/** '23.976 (24000/1001)', '25', '48 kHz', '47.952 kHz (47952)': a rate and what it exactly is. */
export function rateText(rate: Rate): string {
  if (isSampleRate(rate)) {
    const exact = isInteger(rate) ? '' : ` (${formatRational(rate)} samples per second)`;
    return `${decimal(divide(rate, rational(1000)), 3)} kHz${exact}`;
  }
  const label = rateLabel(rate);
  const exact = formatRational(rate);
  return label === exact ? label : `${label} (${exact})`;
}

/** True when frame labels can be made at this rate: a whole number of them fits a second, up to 120. */
export function hasTimecode(rate: Rate): boolean {
  return !isSampleRate(rate) && nominalFramesPerSecond(rate) <= 120;
}

/** The nearest decimal with at most `places` places, zeros at its end left out. */
function decimal(value: Rational, places: number): string {
  if (isInteger(value)) return formatRational(value);
  const text = toNumber(value).toFixed(places);
  return text.replace(/0+$/, '').replace(/\.$/, '');
}

function padded(value: bigint, digits: number): string {
  return String(value).padStart(digits, '0');
}
