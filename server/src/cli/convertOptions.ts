/**
 * The flags of `convert` and what they mean.
 */

import type { TargetFormat } from '../core/convert/verifyText.ts';
import { type FlagDefinition, oneOf, type ParsedFlags } from './flags.ts';
import { UserError } from './userError.ts';

const TARGETS = ['otio', 'xml', 'edl'] as const;
const REPORTS = ['text', 'json'] as const;

export interface ConvertOptions {
  readonly path: string;
  readonly target: TargetFormat;
  /** Null for a name made from the source's. */
  readonly out: string | null;
  readonly isForced: boolean;
  /** Tracks of each list; empty for the usual groups. */
  readonly groups: readonly (readonly string[])[];
  readonly alignments: readonly string[] | null;
  readonly allowsLoss: boolean;
  readonly report: (typeof REPORTS)[number];
}

export const CONVERT_FLAGS: readonly FlagDefinition[] = [
  { name: 'to', value: 'FORMAT', text: `What to write: ${TARGETS.join(', ')} (xml is the neutral timeline XML).` },
  {
    name: 'out',
    value: 'FILE',
    text: 'Where to write it: a file, or a folder. The default is beside the source, with its name. Where there are several lists, the tracks of each are put before the ending.',
  },
  { name: 'force', value: null, text: 'Write over files that are there already. The source itself is never written over.' },
  {
    name: 'group',
    value: 'TRACKS',
    isRepeatable: true,
    text: 'For edl: tracks of one list, such as A1,A2 or V2,A3. Give it again for each list. A list holds one picture and four sound tracks; without a picture track in it the first one is added. The default is the sound tracks by fours.',
  },
  {
    name: 'alignment',
    value: 'FILE',
    isRepeatable: true,
    text: 'The alignment report that says where files begin, whatever afterclap.json says. Give it again for several.',
  },
  { name: 'allow-loss', value: null, text: 'Exit with 0 although something could not be kept. It is listed all the same.' },
  {
    name: 'report',
    value: 'FORM',
    text: `How to list what could not be kept: ${REPORTS.join(' on standard error, or ')} on standard output. The default is text.`,
  },
];

/** Throws a UserError for values that mean nothing. */
export function convertOptions({ paths, switches, values }: ParsedFlags): ConvertOptions {
  const [path, ...others] = paths;
  const single = (name: string): string | null => values.get(name)?.[0] ?? null;
  const to = single('to');
  if (path === undefined) throw new UserError('convert needs a timeline: afterclap convert cut.otio --to edl');
  if (others.length > 0) throw new UserError(`convert takes one timeline, got ${paths.length}`);
  if (to === null) throw new UserError(`convert needs a format: --to ${TARGETS.join(', --to ')}`);
  const target = oneOf(to, TARGETS, 'format to convert to');
  const groups = (values.get('group') ?? []).map((group) =>
    group
      .split(',')
      .map((name) => name.trim())
      .filter((name) => name !== ''),
  );
  if (groups.some((group) => group.length === 0)) throw new UserError('--group needs names of tracks: --group A1,A2');
  if (groups.length > 0 && target !== 'edl') throw new UserError('--group is for edit lists; use it with --to edl');
  return {
    path,
    target,
    out: single('out'),
    isForced: switches.has('force'),
    groups,
    alignments: values.get('alignment') ?? null,
    allowsLoss: switches.has('allow-loss'),
    report: oneOf(single('report') ?? 'text', REPORTS, 'form of the report'),
  };
}
