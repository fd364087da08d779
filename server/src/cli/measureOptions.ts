/**
 * The flags of `measure` and what they mean.
 */

import { SEVERITIES, type ShownSeverity } from '../core/report/checkedFile.ts';
import { isSampleRate, type Rate, snapRate } from '../core/time/rate.ts';
import { compare, multiply, parseDecimal, parseRational, type Rational, rational } from '../core/time/rational.ts';
import { isReportName } from '../project/findProject.ts';
import { nameOf } from '../project/paths.ts';
import { type FlagDefinition, oneOf, type ParsedFlags } from './flags.ts';
import { UserError } from './userError.ts';

const MEASURE_FORMATS = ['text', 'json'] as const;

const PROGRESS_FORMATS = ['line', 'json'] as const;
export type ProgressFormat = (typeof PROGRESS_FORMATS)[number];

export interface MeasureOptions {
  /** Files and folders whose role their names decide. */
  readonly paths: readonly string[];
  /** Files that are pictures whatever their names say. */
  readonly pictures: readonly string[];
  readonly sounds: readonly string[];
  /** Frames per second of pictures that do not say it themselves. */
  readonly rate: Rate | null;
  readonly clapLog: string | null;
  readonly out: string | null;
  readonly ifExists: 'refuse' | 'merge' | 'replace';
  readonly plots: string | null;
  /** Null when nobody said. */
  readonly microphoneMetres: Rational | null;
  readonly format: (typeof MEASURE_FORMATS)[number];
  readonly progress: ProgressFormat;
  readonly failOn: ShownSeverity;
}

export const MEASURE_FLAGS: readonly FlagDefinition[] = [
  {
    name: 'clap-log',
    value: 'FILE',
    text: 'A table (CSV with a header) of the frames in which the hands meet: picture, rate, frame or timecode, sound, clap; see below.',
  },
  {
    name: 'out',
    value: 'FILE',
    text: 'The alignment report to write, for instance day1.alignment.json. Nothing is written without it.',
  },
  {
    name: 'merge',
    value: null,
    text: 'Put the pairs into a report that exists. Notes and everything else in it stay; only pairs measured again are replaced.',
  },
  { name: 'force', value: null, text: 'Replace a report that exists.' },
  {
    name: 'picture',
    value: 'FILE',
    isRepeatable: true,
    text: "Take this file for a picture, also when it is WAV: a camera's own sound, whose first sample belongs to frame 0. Give it again for several.",
  },
  {
    name: 'sound',
    value: 'FILE',
    isRepeatable: true,
    text: 'Take this file for a separate recording. Give it again for several.',
  },
  {
    name: 'rate',
    value: 'RATE',
    text: 'Frames per second of pictures that are WAV and not in the clap log: 25, 23.976, 24000/1001.',
  },
  {
    name: 'microphone-distance',
    value: 'D',
    text: "How far the cameras' microphones were from what was heard, as in 6m, 80cm or 20ft. The time the air takes, about 2.9 ms per metre, is taken out of matches by scratch sound; the report's note says so.",
  },
  { name: 'plots', value: 'DIR', text: 'Draw each match as an SVG file in this folder, which is made when it is not there.' },
  { name: 'format', value: 'F', text: `How to print: ${MEASURE_FORMATS.join(' or ')}. The default is text.` },
  {
    name: 'progress',
    value: 'P',
    text: 'How to say on standard error how far it is: line (on a terminal only) or json (for programs: one object a line). The default is line.',
  },
  {
    name: 'fail-on',
    value: 'SEVERITY',
    text: `The least severity of what is left over that makes the exit code 1: ${SEVERITIES.join(', ')}. The default is error: a picture without its sound, a log line that fits nothing.`,
  },
];

/** Throws a UserError for values that mean nothing. */
export function measureOptions({ paths, switches, values }: ParsedFlags): MeasureOptions {
  const single = (name: string): string | null => values.get(name)?.[0] ?? null;
  const pictures = values.get('picture') ?? [];
  const sounds = values.get('sound') ?? [];
  if (paths.length + pictures.length + sounds.length === 0) {
    throw new UserError('measure needs recordings: files or folders; for the folder you are in, write: afterclap measure .');
  }
  const out = single('out');
  if (switches.has('merge') && switches.has('force'))
    throw new UserError('--merge and --force exclude each other; give one of them');
  for (const name of ['merge', 'force']) {
    if (switches.has(name) && out === null) throw new UserError(`--${name} needs --out FILE, the report it is about`);
  }
  if (out !== null && !isReportName(nameOf(out))) {
    // Timelines find a report by this ending; and no recording has it, so none can be written over by a slip.
    throw new UserError(`--out ${out}: the name of a report ends in .alignment.json`);
  }
  const distance = single('microphone-distance');
  const rate = single('rate');
  return {
    paths,
    pictures,
    sounds,
    rate: rate === null ? null : rateOf(rate),
    clapLog: single('clap-log'),
    out,
    ifExists: switches.has('merge') ? 'merge' : switches.has('force') ? 'replace' : 'refuse',
    plots: single('plots'),
    microphoneMetres: distance === null ? null : metresOf(distance),
    format: oneOf(single('format') ?? 'text', MEASURE_FORMATS, 'output format'),
    progress: oneOf(single('progress') ?? 'line', PROGRESS_FORMATS, 'way to show progress'),
    failOn: oneOf(single('fail-on') ?? 'error', SEVERITIES, 'severity for --fail-on'),
  };
}

function rateOf(written: string): Rate {
  const value = parseRational(written) ?? parseDecimal(written.trim());
  const snapped = value === null ? null : snapRate(value);
  if (snapped === null || isSampleRate(snapped.rate)) {
    throw new UserError(`--rate ${written} is no frame rate; expected for instance 25, 23.976 or 24000/1001`);
  }
  return snapped.rate;
}

/** One international foot is exactly 0.3048 m. */
const METRES: Readonly<Record<string, Rational>> = { m: rational(1), cm: rational(1, 100), ft: rational(3048, 10000) };
/** Farther than anybody records dialogue; a larger number is a slip. */
const FARTHEST_METRES = rational(1000);

function metresOf(written: string): Rational {
  const match = /^([\d.]+)\s*(m|cm|ft)$/.exec(written.trim().toLowerCase());
  const value = match === null ? null : parseDecimal(match[1] as string);
  if (match === null || value === null) {
    throw new UserError(
      `--microphone-distance ${written} is no distance; expected a number with its unit, as in 6m, 80cm or 20ft`,
    );
  }
  const metres = multiply(value, METRES[match[2] as string] as Rational);
  if (compare(metres, FARTHEST_METRES) > 0) {
    throw new UserError(`--microphone-distance ${written} is farther than 1000 m, which no microphone hears`);
  }
  return metres;
}
