/**
 * The flags of `handoff` and what they mean.
 */

import type { Duration, Tolerance } from '../core/alignment/settings.ts';
import { parseDuration, parseTolerance } from '../core/alignment/tolerance.ts';
import { rational } from '../core/time/rational.ts';
import { parseTimecode, type TimecodeLabel } from '../core/time/timecode.ts';
import type { ReelsMode } from '../project/handoff/planReels.ts';
import { type FlagDefinition, oneOf, type ParsedFlags } from './flags.ts';
import { UserError } from './userError.ts';

const REEL_MODES: readonly ReelsMode[] = ['picture', 'cut', 'none'];

export type HandoffOptions =
  | { readonly kind: 'make'; readonly options: MakeOptions }
  /** The folder to verify. */
  | { readonly kind: 'verify'; readonly folder: string };

export interface MakeOptions {
  readonly paths: readonly string[];
  readonly out: string;
  readonly alignments: readonly string[] | null;
  readonly tolerance: Tolerance | null;
  /** Null: the folders of the timelines. */
  readonly media: readonly string[] | null;
  /** Null: what afterclap.json says, else the usual. */
  readonly handles: Duration | null;
  readonly reels: ReelsMode;
  readonly driftThreshold: Duration;
  readonly programmeStart: TimecodeLabel | null;
  readonly isReplacing: boolean;
}

export const DEFAULT_HANDLES: Duration = { value: rational(2), unit: 's' };
const DEFAULT_DRIFT_THRESHOLD: Duration = { value: rational(1), unit: 'smp' };

export const HANDOFF_FLAGS: readonly FlagDefinition[] = [
  {
    name: 'out',
    value: 'DIR',
    text: 'The folder to write the hand-off into, one of its own; it is made when it is not there.',
  },
  {
    name: 'alignment',
    value: 'FILE',
    isRepeatable: true,
    text: 'The alignment report to use, whatever afterclap.json says. Give it again for several.',
  },
  {
    name: 'tolerance',
    value: 'T',
    text: 'How far sound may lead and lag, as for check. The default is that of afterclap.json, else lead=1ms,lag=1f.',
  },
  {
    name: 'media',
    value: 'DIR',
    isRepeatable: true,
    text: 'Where the recordings are; searched with all folders in it. Give it again for several. The default is the folder of each timeline.',
  },
  {
    name: 'handles',
    value: 'T',
    text: 'How much of a recording the mix wants before and after each cut: 2s, 48f, 500ms. Seconds are seconds of timecode. The default is that of afterclap.json, else 2s.',
  },
  {
    name: 'reels',
    value: 'WHAT',
    text: `Which sync reels to write: picture (for each camera file in the cut, as long as that file), cut (for each timeline, as long as that), none. The default is picture.`,
  },
  {
    name: 'drift-threshold',
    value: 'T',
    text: 'How much drift over a reel may stay, so that the reel is its recording bit for bit: 1smp, 0.5ms. More is taken out by resampling. The default is 1smp.',
  },
  {
    name: 'programme-start',
    value: 'TC',
    text: 'Record timecode of the first frame of the programme, from which the sync pops are counted. The default is what the timeline lets one see; the sheet says why.',
  },
  { name: 'force', value: null, text: 'Replace files of an earlier hand-off in the same folder.' },
  {
    name: 'verify',
    value: null,
    text: 'Make nothing; check the hand-off in the folder named instead of timelines against its manifest.',
  },
];

/** Throws a UserError for values that mean nothing. */
export function handoffOptions({ paths, switches, values }: ParsedFlags): HandoffOptions {
  if (switches.has('verify')) return { kind: 'verify', folder: folderToVerify(paths, switches, values) };
  if (paths.length === 0) throw new UserError('handoff needs a timeline: afterclap handoff cut.otio --out DIR');
  const single = (name: string): string | null => values.get(name)?.[0] ?? null;
  const out = single('out');
  if (out === null) throw new UserError('handoff needs a folder to write into: --out DIR');
  const tolerance = single('tolerance');
  const handles = single('handles');
  const threshold = single('drift-threshold');
  const start = single('programme-start');
  return {
    kind: 'make',
    options: {
      paths,
      out,
      alignments: values.get('alignment') ?? null,
      tolerance: tolerance === null ? null : toleranceOf(tolerance),
      media: values.get('media') ?? null,
      handles: handles === null ? null : durationOf(handles, 'handles', '2s, 48f or 500ms'),
      reels: oneOf(single('reels') ?? 'picture', REEL_MODES, 'kind of reels'),
      driftThreshold:
        threshold === null ? DEFAULT_DRIFT_THRESHOLD : durationOf(threshold, 'drift-threshold', '1smp, 0.5ms or 1f'),
      programmeStart: start === null ? null : timecodeOf(start),
      isReplacing: switches.has('force'),
    },
  };
}

function folderToVerify(
  paths: readonly string[],
  switches: ReadonlySet<string>,
  values: ReadonlyMap<string, readonly string[]>,
): string {
  const [folder, ...others] = paths;
  if (folder === undefined || others.length > 0) {
    throw new UserError('--verify takes the folder of one hand-off: afterclap handoff --verify DIR');
  }
  const flags = [...[...switches].filter((name) => name !== 'verify'), ...values.keys()];
  if (flags.length > 0) throw new UserError(`--verify only reads, so it takes no other flag (got --${flags[0]})`);
  return folder;
}

function toleranceOf(written: string): Tolerance {
  const parsed = parseTolerance(written);
  if (!parsed.ok) throw new UserError(`--tolerance: ${parsed.reason}`);
  return parsed.tolerance;
}

function durationOf(written: string, flag: string, examples: string): Duration {
  const duration = parseDuration(written);
  if (duration === null) throw new UserError(`--${flag} ${written} is no length of time; expected for instance ${examples}`);
  return duration;
}

function timecodeOf(written: string): TimecodeLabel {
  const label = parseTimecode(written);
  if (label === null) throw new UserError(`--programme-start ${written} is no timecode; expected for instance 01:00:00:00`);
  return label;
}
