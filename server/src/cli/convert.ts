/**
 * `afterclap convert FILE --to FORMAT`: a timeline in another format, with a list of everything that could not be kept.
 *
 * Sources are never touched. All names are looked at before the first file is written, and each file is written whole or not
 * at all.
 */

import { realpath, stat } from 'node:fs/promises';
import { basename, dirname, join } from 'node:path';
import { sharedPictureRate } from '../core/alignment/lookup.ts';
import { type Conversion, convertTimeline } from '../core/convert/convertTimeline.ts';
import { LOSS_KINDS } from '../core/convert/loss.ts';
import { type ConversionReport, renderLossesJson, renderLossesText } from '../core/convert/renderLosses.ts';
import type { TargetFormat } from '../core/convert/verifyText.ts';
import { formatFor } from '../core/formats/formatFor.ts';
import type { ReadOptions } from '../core/formats/timelineFormat.ts';
import { visibleText } from '../core/report/visibleText.ts';
import type { Timeline } from '../core/timeline/model.ts';
import { createNodeFileSystem } from '../node/fileSystem.ts';
import { renderXmlTree } from '../project/convert/renderXmlTree.ts';
import type { Project } from '../project/findProject.ts';
import type { Command, ExitCode } from './command.ts';
import { CONVERT_FLAGS, type ConvertOptions, convertOptions } from './convertOptions.ts';
import { putFile, standingFile } from './measureOutput.ts';
import { openProject, projectProblems, type TimelineText, timelineText } from './openTimeline.ts';
import { type Terminal, widthOf } from './terminal.ts';
import { readBytes } from './textFile.ts';
import { UserError } from './userError.ts';

const ENDINGS: Readonly<Record<TargetFormat, string>> = { otio: '.otio', xml: '.timeline.xml', edl: '.edl' };
const SOURCE_ENDING = /(?:\.(?:timeline|cpl)\.xml|\.otio|\.edl|\.xml)$/i;

export const convertCommand: Command = {
  name: 'convert',
  usage: 'FILE --to otio|xml|edl [flags]',
  summary: 'write a timeline in another format, and list what that cannot hold',
  flags: CONVERT_FLAGS,
  details: [
    'FILE is a timeline of any kind that is read: OTIO, neutral XML, an edit decision list or a composition playlist. Positions are exact wherever the new format can hold them; an edit list holds whole frames, and what lies between two is put where sound is never ahead of picture.',
    'Everything that cannot be kept is listed with its clip and place. Each text is read again before it is written, and what would not read back the same is listed too.',
    'Where files begin is taken from the timeline, else from its alignment report, found as by check: edit lists count source timecode, neutral XML from the start of each file.',
    `Kinds of what can be lost: ${Object.entries(LOSS_KINDS)
      .map(([kind, meaning]) => `${kind} (${meaning})`)
      .join('; ')}.`,
    'Exit code: 0 when everything was kept, or with --allow-loss; 1 when something was not (the files are written all the same); 2 when nothing could be written. Keep the original, and check the new one by eye and ear.',
  ],
  run: async (flags, terminal) => runConvert(convertOptions(flags), terminal),
};

async function runConvert(options: ConvertOptions, terminal: Terminal): Promise<ExitCode> {
  const { path } = options;
  const source = timelineText(path, await readBytes(path));
  const note = (remark: string): void => terminal.error.write(`afterclap: note: ${visibleText(remark)}\n`);
  if (source.remark !== null) note(`${path} ${source.remark}`);
  const project = await openProject(createNodeFileSystem(), path, { alignments: options.alignments, tolerance: null });
  for (const problem of projectProblems(project)) note(problem);
  const readOptions = optionsOf(project);
  const timeline = formatFor(source.format).read(source.text, readOptions);
  const conversion = convert(options, source, timeline, project, readOptions);
  const places = await placesFor(options, conversion.files);
  await writeAll(conversion.files, places);
  const written = conversion.files.map(({ tracks }, index) => ({ path: (places[index] as Place).path, tracks }));
  const { losses } = conversion;
  const report = { path, text: source.text, timeline, target: options.target, losses, written, reportReason: project.reason };
  if (conversion.usesReport) note(`where files begin is taken from the alignment report. ${project.reason}`);
  print(report, options, terminal);
  return losses.length > 0 && !options.allowsLoss ? 1 : 0;
}

/** Throws a UserError that also says what had been written by then. */
async function writeAll(files: readonly { readonly text: string }[], places: readonly Place[]): Promise<void> {
  const done: string[] = [];
  for (const [index, { text }] of files.entries()) {
    const place = places[index] as Place;
    try {
      await putFile(place.path, place.standing, text);
    } catch (error) {
      if (!(error instanceof UserError) || done.length === 0) throw error;
      throw new UserError(`${error.message}; written before that: ${done.join(', ')}`);
    }
    done.push(place.path);
  }
}

function optionsOf(project: Project): ReadOptions {
  return {
    edlRate: project.settings.edlRate,
    sharedPictureRate: sharedPictureRate(project.reports.map(({ report }) => report)),
    assetNames: project.assetNames,
  };
}

function convert(
  { path, target, groups }: ConvertOptions,
  source: TimelineText,
  timeline: Timeline,
  project: Project,
  options: ReadOptions,
): Conversion & { readonly ok: true } {
  const conversion = convertTimeline({
    text: source.text,
    timeline,
    target,
    options,
    reports: project.reports.map(({ report }) => report),
    groups,
    renderXml: renderXmlTree,
  });
  if (!conversion.ok) throw new UserError(`${path}: ${conversion.reason}`);
  return conversion;
}

interface Place {
  readonly path: string;
  /** What stands there now and may be written over; null when nothing does. */
  readonly standing: Buffer | null;
}

/** Where each file goes. Throws a UserError before anything is written when one of the places is taken. */
async function placesFor(
  options: ConvertOptions,
  files: readonly { readonly label: string | null }[],
): Promise<readonly Place[]> {
  const whole = await wholePath(options);
  const ending = ENDINGS[options.target];
  const stem = whole.toLowerCase().endsWith(ending) ? whole.slice(0, -ending.length) : null;
  const places: Place[] = [];
  for (const { label } of files) {
    const path = label === null ? whole : stem === null ? `${whole}.${label}${ending}` : `${stem}.${label}${ending}`;
    if (await isSameFile(path, options.path)) {
      throw new UserError(`${path} is the source itself, which is never written over; choose another name with --out`);
    }
    const standing = await standingFile(path);
    if (standing !== null && !options.isForced) {
      throw new UserError(
        `${path} is there already and was left alone; write over it with --force, or choose another name with --out`,
      );
    }
    places.push({ path, standing });
  }
  return places;
}

async function wholePath({ path, out, target }: ConvertOptions): Promise<string> {
  const name = `${basename(path).replace(SOURCE_ENDING, '')}${ENDINGS[target]}`;
  if (out === null) return join(dirname(path), name);
  return (await isFolder(out)) ? join(out, name) : out;
}

async function isFolder(path: string): Promise<boolean> {
  try {
    return (await stat(path)).isDirectory();
  } catch {
    return path.endsWith('/');
  }
}

async function isSameFile(left: string, right: string): Promise<boolean> {
  try {
    return (await realpath(left)) === (await realpath(right));
  } catch {
    return false;
  }
}

function print(report: ConversionReport, options: ConvertOptions, { output, error }: Terminal): void {
  if (options.report === 'json') {
    output.write(renderLossesJson(report));
    return;
  }
  error.write(renderLossesText(report, widthOf(error)));
  for (const { path, tracks } of report.written) error.write(`wrote ${visibleText(path)} (${visibleText(tracks.join(', '))})\n`);
}
