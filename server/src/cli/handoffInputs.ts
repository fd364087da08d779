/**
 * The timelines of a hand-off with their reports and settings: read, audited and, since a manifest names what made it, digested.
 *
 * Report and settings are found as `check` finds them, so that a sheet can't say other than a check does.
 */

import { createHash } from 'node:crypto';
import { dirname } from 'node:path';
import { defaultSettings } from '../core/alignment/readSettings.ts';
import type { Settings } from '../core/alignment/settings.ts';
import { formatDuration } from '../core/alignment/tolerance.ts';
import { type Audit, audit } from '../core/audit.ts';
import { handleLength } from '../core/handoff/handleLength.ts';
import type { ManifestInput } from '../core/handoff/manifest.ts';
import { rateLabel, secondsToCount } from '../core/time/rate.ts';
import { compare, floor, rational } from '../core/time/rational.ts';
import { formatLabel, labelToFrame, type TimecodeLabel } from '../core/time/timecode.ts';
import { encodingRemark } from '../project/decodeText.ts';
import type { FileSystem } from '../project/fileSystem.ts';
import { findProject, type Project } from '../project/findProject.ts';
import type { HandedTimeline } from '../project/handoff/makeHandoff.ts';
import { findFiles } from './findFiles.ts';
import { DEFAULT_HANDLES, type MakeOptions } from './handoffOptions.ts';
import { readBytes, readTextFile } from './textFile.ts';
import { UserError } from './userError.ts';

export interface HandoffInputs {
  readonly timelines: readonly HandedTimeline[];
  /** Everything that was read, by path: none of it may be written over. */
  readonly inputs: readonly string[];
  /** What is wrong with settings and reports, a sentence each. */
  readonly problems: readonly string[];
  readonly notes: readonly string[];
}

/** Throws a UserError: a hand-off of some of the timelines asked for would pass for one of all. */
export async function readInputs(options: MakeOptions, files: FileSystem): Promise<HandoffInputs> {
  for (const path of options.alignments ?? []) {
    const answer = await files.readText(path);
    if (!answer.ok) throw new UserError(`--alignment: ${path} ${answer.reason}`);
  }
  const found = await findFiles(options.paths);
  const [problem] = found.problems;
  if (problem !== undefined) throw new UserError(problem);
  const paths = found.files.flatMap((file) => (file.kind === 'timeline' ? [file] : []));
  const misnamed = found.files.find((file) => file.kind !== 'timeline' && options.paths.includes(file.path));
  if (misnamed !== undefined) throw new UserError(`${misnamed.path} is no timeline; reports are given with --alignment`);
  if (paths.length === 0) throw new UserError(`there is no timeline in ${options.paths.join(', ')}`);
  const problems = new Set<string>();
  const notes: string[] = [];
  const inputs: string[] = [];
  const timelines: HandedTimeline[] = [];
  for (const { path, format } of paths) {
    const file = await readTextFile(path);
    const remark = encodingRemark(file.encoding);
    if (remark !== null) notes.push(`${path} ${remark}`);
    const project = await findProject(files, path, { reports: options.alignments, base: files.absolute('.') });
    for (const { message } of project.problems) problems.add(message);
    for (const { file: settingsFile, message } of project.settings.problems) problems.add(`${settingsFile}: ${message}`);
    const settings: Settings =
      options.tolerance === null ? project.settings : { ...project.settings, tolerance: options.tolerance };
    const reports = project.reports.map(({ report }) => report);
    const result = audit({ format, text: file.text, reports, settings, assetNames: project.assetNames });
    inputs.push(
      path,
      ...project.reports.map((report) => report.path),
      ...(project.settingsFile === null ? [] : [project.settingsFile.path]),
    );
    timelines.push({
      path,
      audit: result,
      handles: handleLength(options.handles ?? settings.handles ?? DEFAULT_HANDLES, result.timeline.rate),
      reportReason: project.reason,
      ...sources(options, settings),
      programmeStart: options.programmeStart === null ? null : programmeFrame(options.programmeStart, result, path),
      manifest: {
        path,
        ...digest(file.bytes),
        reports: await Promise.all(project.reports.map(({ path: reportPath, report }) => manifestInput(reportPath, report.file))),
        settings: await settingsInput(project),
      },
    });
  }
  return { timelines, inputs, problems: [...problems], notes };
}

/** Folders in which the timelines stand, each once. */
export function foldersOf(timelines: readonly HandedTimeline[]): readonly string[] {
  return [...new Set(timelines.map(({ path }) => dirname(path)))];
}

function sources(options: MakeOptions, settings: Settings): Pick<HandedTimeline, 'toleranceSource' | 'handlesAsked'> {
  const fromFile = settings.file === null ? 'the default' : `from ${settings.file}`;
  const isDefault = settings.tolerance === defaultSettings.tolerance;
  const asked = options.handles ?? settings.handles ?? DEFAULT_HANDLES;
  const by = options.handles !== null ? 'from --handles' : settings.handles !== null ? fromFile : 'the default';
  return {
    toleranceSource: options.tolerance !== null ? 'from --tolerance' : isDefault ? 'the default' : fromFile,
    handlesAsked: `${formatDuration(asked)} before and after each cut, ${by}`,
  };
}

function programmeFrame(label: TimecodeLabel, { timeline }: Audit, path: string): number {
  const { startFrame, rate, isDropFrame, duration } = timeline;
  const written = formatLabel(label);
  if (startFrame === null) {
    throw new UserError(`--programme-start: ${path} does not say which timecode it starts at, so ${written} has no place in it`);
  }
  const counted = labelToFrame(label, rate, isDropFrame);
  if (!counted.ok) {
    throw new UserError(
      `--programme-start: there is no ${written} at ${rateLabel(rate)} ${isDropFrame ? 'drop-frame' : 'non-drop-frame'}`,
    );
  }
  const frame = counted.frame - Number(floor(startFrame));
  if (frame < 0 || compare(rational(frame), secondsToCount(duration, rate)) >= 0) {
    throw new UserError(`--programme-start: ${written} is not inside ${path}`);
  }
  return frame;
}

async function settingsInput({ settings, settingsFile }: Project): Promise<ManifestInput | null> {
  return settingsFile === null ? null : manifestInput(settingsFile.path, settings.file ?? settingsFile.path);
}

async function manifestInput(path: string, shown: string): Promise<ManifestInput> {
  return { path: shown, ...digest(await readBytes(path)) };
}

function digest(bytes: Uint8Array): { readonly size: number; readonly sha256: string } {
  return { size: bytes.length, sha256: createHash('sha256').update(bytes).digest('hex') };
}
