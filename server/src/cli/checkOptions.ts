/**
 * The flags of `check` and what they mean.
 */

import type { Tolerance } from '../core/alignment/settings.ts';
import { DEFAULT_TOLERANCE } from '../core/alignment/settingsSchema.ts';
import { parseTolerance } from '../core/alignment/tolerance.ts';
import { SEVERITIES, type ShownSeverity } from '../core/report/checkedFile.ts';
import { type FlagDefinition, oneOf, type ParsedFlags } from './flags.ts';
import { UserError } from './userError.ts';

const OUTPUT_FORMATS = ['text', 'lines', 'json', 'sarif', 'github', 'gitlab', 'junit'] as const;

export type OutputFormat = (typeof OUTPUT_FORMATS)[number];

export interface CheckOptions {
  readonly paths: readonly string[];
  /** Reports to use whatever the settings say; null when none is given. */
  readonly alignments: readonly string[] | null;
  readonly tolerance: Tolerance | null;
  readonly format: OutputFormat;
  readonly isFixing: boolean;
  readonly failOn: ShownSeverity;
  /** A file of findings to leave out; null for none. */
  readonly baseline: string | null;
  /** Where to write the findings as a baseline, instead of printing them; null for nowhere. */
  readonly newBaseline: string | null;
  /** Only timelines that changed since this revision of git; null for all. */
  readonly changedSince: string | null;
}

export const CHECK_FLAGS: readonly FlagDefinition[] = [
  {
    name: 'alignment',
    value: 'FILE',
    isRepeatable: true,
    text: 'The alignment report to use, whatever afterclap.json says. Give it again for several.',
  },
  {
    name: 'tolerance',
    value: 'T',
    text: `How far sound may lead and lag: lead=1ms,lag=1f (ms, s, f for frames, smp for samples), or a named one such as ebu-r37. The default is that of afterclap.json, else lead=${DEFAULT_TOLERANCE.lead},lag=${DEFAULT_TOLERANCE.lag}.`,
  },
  {
    name: 'format',
    value: 'F',
    text: 'How to print: text, lines (one for each finding: path:line:column: severity code: message), json, sarif (SARIF 2.1.0), github (annotations of GitHub Actions), gitlab (Code Quality report) or junit (JUnit XML). The default is text.',
  },
  {
    name: 'fix',
    value: null,
    text: 'Write the safe fixes into the timelines, then check again: those that keep the place and length of every clip and stay inside its media. Keep the original, and check by eye and ear.',
  },
  {
    name: 'fail-on',
    value: 'SEVERITY',
    text: `The least severity that makes the exit code 1: ${SEVERITIES.join(', ')}. The default is error.`,
  },
  {
    name: 'baseline',
    value: 'FILE',
    text: 'Leave out the findings this file holds, so that an old project starts clean. How many were left out, and which no longer occur, is said.',
  },
  {
    name: 'write-baseline',
    value: 'FILE',
    text: 'Write the findings into this file for --baseline, print none, and exit with 0. What the file holds about files that are not checked now is kept.',
  },
  {
    name: 'changed-since',
    value: 'REV',
    text: 'Check only timelines that git says changed since this revision left the present branch, themselves or a report or settings file that serves them. Findings are those of the whole file.',
  },
];

/** Throws a UserError for values that mean nothing. */
export function checkOptions({ paths, switches, values }: ParsedFlags): CheckOptions {
  if (paths.length === 0)
    throw new UserError('check needs a file or a folder; for the folder you are in, write: afterclap check .');
  const single = (name: string): string | null => values.get(name)?.[0] ?? null;
  const tolerance = single('tolerance');
  return {
    paths,
    alignments: values.get('alignment') ?? null,
    tolerance: tolerance === null ? null : toleranceOf(tolerance),
    format: oneOf(single('format') ?? 'text', OUTPUT_FORMATS, 'output format'),
    isFixing: switches.has('fix'),
    failOn: oneOf(single('fail-on') ?? 'error', SEVERITIES, 'severity for --fail-on'),
    ...baselineOptions(single),
    changedSince: single('changed-since'),
  };
}

function baselineOptions(single: (name: string) => string | null): Pick<CheckOptions, 'baseline' | 'newBaseline'> {
  const baseline = single('baseline');
  const newBaseline = single('write-baseline');
  if (newBaseline === null) return { baseline, newBaseline };
  if (baseline !== null)
    throw new UserError('--baseline leaves findings out and --write-baseline writes them all; give one of the two');
  if (single('format') !== null) throw new UserError('--write-baseline prints no findings, so --format has nothing to do');
  return { baseline, newBaseline };
}

/** Throws a UserError for a tolerance that means nothing. */
export function toleranceOf(written: string): Tolerance {
  const parsed = parseTolerance(written);
  if (!parsed.ok) throw new UserError(`--tolerance: ${parsed.reason}`);
  return parsed.tolerance;
}
