/**
 * The flags of `check` and what they mean.
 */

import type { Tolerance } from '../core/alignment/settings.ts';
import { parseTolerance } from '../core/alignment/tolerance.ts';
import { SEVERITIES, type ShownSeverity } from '../core/report/checkedFile.ts';
import { type FlagDefinition, oneOf, type ParsedFlags } from './flags.ts';
import { UserError } from './userError.ts';

export const OUTPUT_FORMATS = ['text', 'json'] as const;
/** Named in the project's plan, and refused with a word of their own so that nobody looks for a typing slip. */
const FORMATS_TO_COME: readonly string[] = ['sarif', 'github', 'gitlab', 'junit'];

export type OutputFormat = (typeof OUTPUT_FORMATS)[number];

export interface CheckOptions {
  readonly paths: readonly string[];
  /** Reports to use whatever the settings say; null when none is given. */
  readonly alignments: readonly string[] | null;
  readonly tolerance: Tolerance | null;
  readonly format: OutputFormat;
  readonly isFixing: boolean;
  readonly failOn: ShownSeverity;
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
    text: 'How far sound may lead and lag: lead=1ms,lag=1f (ms, s, f for frames, smp for samples), or a named one such as ebu-r37. The default is that of afterclap.json, else lead=1ms,lag=1f.',
  },
  { name: 'format', value: 'F', text: `How to print: ${OUTPUT_FORMATS.join(' or ')}. The default is text.` },
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
    format: formatOf(single('format') ?? 'text'),
    isFixing: switches.has('fix'),
    failOn: oneOf(single('fail-on') ?? 'error', SEVERITIES, 'severity for --fail-on'),
  };
}

/** Throws a UserError for a tolerance that means nothing. */
export function toleranceOf(written: string): Tolerance {
  const parsed = parseTolerance(written);
  if (!parsed.ok) throw new UserError(`--tolerance: ${parsed.reason}`);
  return parsed.tolerance;
}

function formatOf(written: string): OutputFormat {
  if (FORMATS_TO_COME.includes(written)) {
    throw new UserError(`the format '${written}' is not available yet; use ${OUTPUT_FORMATS.join(' or ')}`);
  }
  return oneOf(written, OUTPUT_FORMATS, 'output format');
}
