/**
 * Tolerances: how far sound may lead and lag, named ones and one's own, and their exact size in seconds.
 *
 * A person writes what they think in (milliseconds, frames, samples); it becomes seconds only when the rates are known, so
 * that one frame is one frame at every rate. Limits are inclusive, as ITU-R BT.1359-1 has it ('shall not exceed').
 *
 * Published documents disagree on signs (BT.1359-1 calls early sound positive). Here a lead and a lag are two sizes with a
 * name each, never one number with a sign.
 */

import { nearestName } from '../text/nearestName.ts';
import type { Rate } from '../time/rate.ts';
import { divide, formatExactDecimal, formatRational, parseDecimal, type Rational, rational, sign } from '../time/rational.ts';
import type { Duration, Tolerance } from './settings.ts';

/** Where a figure was seen: in the document itself, quoted by others, or remembered and not checked. */
type FigureStatus = 'published' | 'quoted' | 'from memory';

export interface NamedTolerance {
  readonly tolerance: Tolerance & { readonly name: string };
  /** What it is for, as a phrase. */
  readonly title: string;
  readonly source: string;
  readonly leadStatus: FigureStatus;
  readonly lagStatus: FigureStatus;
}

/** A tolerance once the rates are known; seconds, not negative. */
export interface ExactTolerance {
  readonly lead: Rational;
  readonly lag: Rational;
}

/** The tolerances that have names, in the order in which documentation lists them. */
export const NAMED_TOLERANCES: readonly NamedTolerance[] = [
  {
    tolerance: named('ebu-r37', milliseconds(40), milliseconds(60)),
    title: 'broadcast output that feeds transmitters',
    source: 'EBU R 37 (2007, date from memory), overall output limit',
    leadStatus: 'quoted',
    lagStatus: 'quoted',
  },
  {
    tolerance: named('itu-bt1359-detectable', milliseconds(45), milliseconds(125)),
    title: 'what viewers notice, on average',
    source: 'ITU-R BT.1359-1 (1998), considering g)',
    leadStatus: 'published',
    lagStatus: 'published',
  },
  {
    tolerance: named('itu-bt1359-acceptable', milliseconds(90), milliseconds(185)),
    title: 'what viewers accept, on average; the whole chain must not exceed it',
    source: 'ITU-R BT.1359-1 (1998), considering g) and recommends 2',
    leadStatus: 'published',
    lagStatus: 'published',
  },
  {
    tolerance: named('atsc-is191', milliseconds(15), milliseconds(45)),
    title: 'broadcast, up to the input of the emission encoder',
    source: 'ATSC IS-191 (2003)',
    leadStatus: 'quoted',
    lagStatus: 'from memory',
  },
  {
    tolerance: named('itu-j100', milliseconds(20), milliseconds(40)),
    title: 'international exchange of programmes',
    source: 'ITU-T J.100 (1990, date from memory)',
    leadStatus: 'quoted',
    lagStatus: 'quoted',
  },
  {
    tolerance: named('film-bs1204', frames(1), frames(2)),
    title:
      'film: one frame early, two frames late. Published for 24 frames per second (42 and 83 ms), counted here in frames of the timeline',
    source: 'film standards, as quoted in ITU-R Report BS.1204 (1990), introduction',
    leadStatus: 'quoted',
    lagStatus: 'quoted',
  },
];

export type ParsedTolerance =
  | { readonly ok: true; readonly tolerance: Tolerance }
  /** What was expected, as a sentence for people. */
  | { readonly ok: false; readonly reason: string };

/**
 * A tolerance as one string: a name (`ebu-r37`), `lead=1ms,lag=1f`, or `1ms/1f`, lead before lag. Both sides are needed, since
 * a limit on one side alone would leave the other to a guess.
 */
export function parseTolerance(text: string): ParsedTolerance {
  const written = text.trim();
  const known = NAMED_TOLERANCES.find(({ tolerance }) => tolerance.name === written.toLowerCase());
  if (known !== undefined) return { ok: true, tolerance: known.tolerance };
  const sides = /^lead\s*=\s*([^,;]+)[,;]\s*lag\s*=\s*([^,;]+)$/i.exec(written) ?? /^([^/]+)\/([^/]+)$/.exec(written);
  const reversed = sides === null ? /^lag\s*=\s*([^,;]+)[,;]\s*lead\s*=\s*([^,;]+)$/i.exec(written) : null;
  const leadText = sides?.[1] ?? reversed?.[2];
  const lagText = sides?.[2] ?? reversed?.[1];
  if (leadText === undefined || lagText === undefined) return { ok: false, reason: reasonForNoTolerance(written) };
  const lead = parseDuration(leadText);
  const lag = parseDuration(lagText);
  if (lead === null) return { ok: false, reason: reasonForNoDuration('lead', leadText) };
  if (lag === null) return { ok: false, reason: reasonForNoDuration('lag', lagText) };
  return { ok: true, tolerance: { name: null, lead, lag } };
}

/** `1ms`, `2s`, `1f`, `0.5f`, `48smp`: a decimal, taken exactly, and its unit. Null for anything else, a signed one included. */
export function parseDuration(text: string): Duration | null {
  const match = /^\s*(\d{1,20}(?:\.\d{0,20})?|\.\d{1,20})\s*(ms|s|f|smp)\s*$/.exec(text);
  if (match === null) return null;
  const value = parseDecimal(match[1] as string);
  return value === null ? null : { value, unit: match[2] as Duration['unit'] };
}

/** A duration as it is written. */
export function formatDuration(duration: Duration): string {
  return `${formatExactDecimal(duration.value) ?? formatRational(duration.value)}${duration.unit}`;
}

/** A tolerance as people read it: 'lead 1ms, lag 1f', with its name when it has one. */
export function formatTolerance(tolerance: Tolerance): string {
  const sides = `lead ${formatDuration(tolerance.lead)}, lag ${formatDuration(tolerance.lag)}`;
  return tolerance.name === null ? sides : `${tolerance.name}: ${sides}`;
}

/** Seconds of a duration; exact. `frameRate` is the timeline's, `sampleRate` the sound's. */
export function durationInSeconds(duration: Duration, frameRate: Rate, sampleRate: Rate): Rational {
  switch (duration.unit) {
    case 'ms':
      return divide(duration.value, rational(1000));
    case 's':
      return duration.value;
    case 'f':
      return divide(duration.value, frameRate);
    case 'smp':
      return divide(duration.value, sampleRate);
  }
}

/** Both sides in seconds; exact. A lag is in when it lies from -lead to +lag, both included. */
export function toleranceInSeconds(tolerance: Tolerance, frameRate: Rate, sampleRate: Rate): ExactTolerance {
  return {
    lead: durationInSeconds(tolerance.lead, frameRate, sampleRate),
    lag: durationInSeconds(tolerance.lag, frameRate, sampleRate),
  };
}

/** Why a side of a tolerance is no duration, as a sentence. */
export function reasonForNoDuration(side: string, text: string): string {
  const written = text.trim();
  if (/^[-+]/.test(written)) return `The ${side} "${written}" has a sign. A lead and a lag are sizes: write it without one.`;
  if (sign(parseDecimal(written) ?? rational(-1)) >= 0)
    return `The ${side} "${written}" has no unit: write ${written}ms, ${written}f or ${written}smp.`;
  return `The ${side} "${written}" is no length of time: expected a number with ms, s, f (frames) or smp (samples), such as 1ms or 1f.`;
}

function reasonForNoTolerance(written: string): string {
  const names = NAMED_TOLERANCES.map(({ tolerance }) => tolerance.name);
  const nearest = nearestName(written, names);
  const question = nearest === null ? '' : ` Did you mean ${nearest}?`;
  return `"${written}" is no tolerance.${question} Expected lead=1ms,lag=1f (or 1ms/1f, lead first) or one of ${names.join(', ')}.`;
}

function named(name: string, lead: Duration, lag: Duration): Tolerance & { readonly name: string } {
  return { name, lead, lag };
}

function milliseconds(value: number): Duration {
  return { value: rational(value), unit: 'ms' };
}

function frames(value: number): Duration {
  return { value: rational(value), unit: 'f' };
}
