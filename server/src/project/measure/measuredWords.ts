/**
 * Measured values as people read them. Rendering only.
 */

import type { PairData, PictureData, SoundData } from '../../core/alignment/reportText.ts';
import { amountOfTime } from '../../core/text/words.ts';
import {
  add,
  divide,
  formatExactDecimal,
  isZero,
  multiply,
  type Rational,
  rational,
  sign,
  toNumber,
} from '../../core/time/rational.ts';
import { mapped } from './pairMapping.ts';

/** '0:02.662', '1:03:02.662': a place in a recording. */
export function clockText(seconds: number): string {
  const milliseconds = Math.round(Math.max(0, seconds) * 1000);
  const whole = Math.floor(milliseconds / 1000);
  const hours = Math.floor(whole / 3600);
  const minutes = Math.floor(whole / 60) % 60;
  const rest = `${String(whole % 60).padStart(2, '0')}.${String(milliseconds % 1000).padStart(3, '0')}`;
  return hours > 0 ? `${hours}:${String(minutes).padStart(2, '0')}:${rest}` : `${minutes}:${rest}`;
}

/** '1 h 2 min', '3 min 20 s', '10.5 s': how long something is. */
export function lengthText(seconds: number): string {
  if (seconds < 60) return `${Number(seconds.toFixed(1))} s`;
  const whole = Math.round(seconds);
  const hours = Math.floor(whole / 3600);
  const minutes = Math.floor(whole / 60) % 60;
  return hours > 0 ? `${hours} h ${minutes} min` : `${minutes} min ${whole % 60} s`;
}

export function numberText(value: Rational): string {
  return formatExactDecimal(value) ?? String(toNumber(value));
}

/** 'the sound began 1.306 s before the picture'. */
export function offsetText(pair: PairData, picture: PictureData, sound: SoundData): string {
  const at = mapped(pair, picture, sound, rational(0));
  if (isZero(at)) return 'sound and picture began at the same instant';
  return `the sound began ${amountOfTime(at)} ${sign(at) > 0 ? 'before' : 'after'} the picture`;
}

/** '12 ppm: the sound\'s clock is fast, 43.2 ms per hour'. */
export function driftText({ driftPpm, by }: PairData): string {
  if (isZero(driftPpm)) return by === 'waveform' ? 'none that this take shows' : 'not measured: one clap does not show it';
  const perHour = divide(multiply(driftPpm, rational(3600)), rational(1_000_000));
  const pace = sign(driftPpm) > 0 ? 'faster' : 'slower';
  const amount = numberText(driftPpm).replace(/^-/, '');
  return `${amount} ppm: the sound's clock counts ${pace} than the picture's, ${amountOfTime(perHour)} per hour`;
}

/** 'truly up to 20 ms earlier and up to 40 ms later'. */
export function uncertaintyText({ uncertainty }: PairData): string {
  if (uncertainty === null) return 'not known';
  const { early, late } = uncertainty;
  if (isZero(add(early, late))) return 'none';
  const sides = [isZero(early) ? '' : `${amountOfTime(early)} earlier`, isZero(late) ? '' : `${amountOfTime(late)} later`];
  const told = sides.filter((side) => side !== '');
  const both = told.length === 2 && amountOfTime(early) === amountOfTime(late);
  return `the true instant lies up to ${both ? `${amountOfTime(early)} earlier or later` : told.join(' or ')}`;
}

const BY_WORDS = {
  clap: 'frame seen by eye, clap found in the sound',
  waveform: "the camera's own sound compared with it",
  timecode: 'time stamps',
  eye: 'by eye',
} as const;

export function methodText({ by, clap }: PairData): string {
  if (by === null) return '';
  return clap === null ? BY_WORDS[by] : `clap ${clap}: ${BY_WORDS[by]}`;
}
