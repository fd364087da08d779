/**
 * Which settings and which alignment reports belong to a timeline, and why.
 *
 * Settings: the nearest `afterclap.json` upwards. Reports: those the settings name; else the one beside the timeline with
 * its name; else the only one in its folder, or in the next folder up that has any. Where two reports stand and nothing says
 * which is meant, none is used: a guess here would judge a cut by another day's clap.
 *
 * The answer names every path looked at, so that an editor knows when to ask again.
 */

import type { AlignmentReport, FileProblem } from '../core/alignment/model.ts';
import { readReport } from '../core/alignment/readReport.ts';
import { defaultSettings, readSettings } from '../core/alignment/readSettings.ts';
import type { Settings } from '../core/alignment/settings.ts';
import { formatOfFileName } from '../core/formats/formatFor.ts';
import { compareNaturally } from '../core/text/naturalOrder.ts';
import { nearestName } from '../core/text/nearestName.ts';
import type { Span } from '../core/text/span.ts';
import type { FileSystem } from './fileSystem.ts';
import { findAssetNames } from './findAssetNames.ts';
import { comparablePath, nameOf, parentOf, relativeTo, resolveFrom } from './paths.ts';

export const SETTINGS_FILE_NAME = 'afterclap.json';
const REPORT_ENDING = '.alignment.json';

interface FoundReport {
  readonly path: string;
  readonly report: AlignmentReport;
}

export interface Project {
  /** Their problems include reports they name that can't be read, on the characters that name them. */
  readonly settings: Settings;
  /** Where the settings come from, and their text for excerpts; null when no file was found. */
  readonly settingsFile: { readonly path: string; readonly text: string } | null;
  /** In the order in which the settings name them. */
  readonly reports: readonly FoundReport[];
  /** Which report is used and why, or why none is; a sentence for people. */
  readonly reason: string;
  /** What no characters of a settings file stand for: a file beside the timeline that can't be read, two reports and no choice. */
  readonly problems: readonly FileProblem[];
  /** File names by identifier, from an asset map beside a composition playlist; null when there is none. */
  readonly assetNames: ReadonlyMap<string, string> | null;
  /** Every file and folder looked at; see `isAffectedBy`. */
  readonly watched: readonly string[];
}

export interface ProjectOptions {
  /** Reports named by hand, from where the person stands; nothing is searched then, and the settings' own list is not used. */
  readonly reports?: readonly string[] | null;
  /** Folder from which paths are shown; the timeline's own by default. */
  readonly base?: string | null;
  /** The search goes no higher than this folder. */
  readonly topFolder?: string | null;
}

interface Search {
  readonly fileSystem: FileSystem;
  readonly timeline: string;
  /** The timeline's folder and those above it, nearest first. */
  readonly folders: readonly string[];
  readonly watched: Set<string>;
  readonly problems: FileProblem[];
  readonly show: (path: string) => string;
}

interface FoundReports {
  readonly reports: readonly FoundReport[];
  readonly reason: string;
}

const START: Span = { start: 0, end: 0 };
/** Deeper folders than any disk allows; an end for file systems without one. */
const MOST_FOLDERS = 256;

export async function findProject(fileSystem: FileSystem, timeline: string, options: ProjectOptions = {}): Promise<Project> {
  const path = fileSystem.absolute(timeline);
  const topFolder = options.topFolder === undefined || options.topFolder === null ? null : fileSystem.absolute(options.topFolder);
  const folders = foldersAbove(path, topFolder);
  const base = options.base === undefined || options.base === null ? (folders[0] ?? '') : fileSystem.absolute(options.base);
  const search: Search = {
    fileSystem,
    timeline: path,
    folders,
    watched: new Set(),
    problems: [],
    show: (shownPath) => relativeTo(base, shownPath),
  };
  const { settings, file } = await findSettings(search);
  const named = options.reports ?? null;
  const missing: FileProblem[] = [];
  const found =
    named !== null
      ? await readNamedByHand(search, named)
      : settings.alignment !== null && file !== null
        ? await readNamedBySettings(search, settings, file.path, missing)
        : await searchReports(search);
  const assets = hasAssetMap(path) ? await findAssetNames(fileSystem, folders[0] ?? null, search.show) : null;
  for (const looked of assets?.watched ?? []) search.watched.add(looked);
  search.problems.push(...(assets?.problems ?? []));
  return {
    settings: missing.length === 0 ? settings : { ...settings, problems: inOrder([...settings.problems, ...missing]) },
    settingsFile: file,
    reports: found.reports,
    reason: found.reason,
    problems: search.problems,
    assetNames: assets?.names ?? null,
    watched: [...search.watched],
  };
}

/** True when a change of the file at `path` may change the answer for this project. */
export function isAffectedBy(project: Project, path: string): boolean {
  const changed = comparablePath(path);
  const watched = new Set(project.watched.map(comparablePath));
  if (watched.has(changed)) return true;
  const parent = parentOf(path);
  return isReportName(nameOf(path)) && parent !== null && watched.has(comparablePath(parent));
}

/** True for names like `day1.alignment.json`. */
export function isReportName(name: string): boolean {
  return name.toLowerCase().endsWith(REPORT_ENDING) && name.length > REPORT_ENDING.length;
}

/** Composition playlists, and other XML that may be one whatever it is called. */
function hasAssetMap(path: string): boolean {
  const format = formatOfFileName(nameOf(path));
  return format === 'cpl' || (format === null && /\.xml$/i.test(path));
}

function foldersAbove(path: string, topFolder: string | null): readonly string[] {
  const top = topFolder === null ? null : comparablePath(topFolder);
  const folders: string[] = [];
  for (let folder = parentOf(path); folder !== null && folders.length < MOST_FOLDERS; folder = parentOf(folder)) {
    folders.push(folder);
    if (top !== null && comparablePath(folder) === top) break;
  }
  return folders;
}

async function findSettings(search: Search): Promise<{ settings: Settings; file: Project['settingsFile'] }> {
  for (const folder of search.folders) {
    const path = resolveFrom(folder, SETTINGS_FILE_NAME);
    search.watched.add(path);
    const file = await search.fileSystem.readText(path);
    const shown = search.show(path);
    if (file.ok) return { settings: readSettings(shown, file.text), file: { path, text: file.text } };
    if (file.isMissing) continue;
    // The nearest one decides, also when it can't be read: taking one further up in its place would be a silent change.
    search.problems.push({
      file: shown,
      span: START,
      severity: 'error',
      message: `The settings file ${shown} ${file.reason}. The defaults hold.`,
    });
    break;
  }
  return { settings: defaultSettings, file: null };
}

async function readNamedByHand(search: Search, paths: readonly string[]): Promise<FoundReports> {
  const reports: FoundReport[] = [];
  for (const path of paths) {
    const found = await readReportAt(search, search.fileSystem.absolute(path));
    if ('report' in found) reports.push(found);
    else search.problems.push(unreadable(path, START, path, found.reason));
  }
  return { reports, reason: reasonFor(search, reports, 'named on the command line') };
}

async function readNamedBySettings(
  search: Search,
  settings: Settings,
  settingsPath: string,
  missing: FileProblem[],
): Promise<FoundReports> {
  const shownSettings = search.show(settingsPath);
  const folder = parentOf(settingsPath) ?? '';
  const named = settings.alignment ?? [];
  if (named.length === 0) return { reports: [], reason: `No report is used: "alignment" in ${shownSettings} names none.` };
  const reports: FoundReport[] = [];
  const seen = new Set<string>();
  for (const { path, span } of named) {
    const full = resolveFrom(folder, path);
    if (seen.has(comparablePath(full))) continue;
    seen.add(comparablePath(full));
    const found = await readReportAt(search, full);
    if ('report' in found) reports.push(found);
    else missing.push(unreadable(shownSettings, span, path, found.reason, found.isMissing ? await likelyName(search, full) : ''));
  }
  return { reports, reason: reasonFor(search, reports, `named in ${shownSettings}`) };
}

async function searchReports(search: Search): Promise<FoundReports> {
  const [folder] = search.folders;
  const name = nameOf(search.timeline);
  if (name === SETTINGS_FILE_NAME) return { reports: [], reason: 'No report is used: this is a settings file, not a timeline.' };
  if (isReportName(name)) return { reports: [], reason: 'No report is used: this is an alignment report itself.' };
  if (folder === undefined)
    return { reports: [], reason: 'No report is used: a timeline that is not saved has no folder to look in.' };
  const besideName = `${stemOf(name)}${REPORT_ENDING}`;
  const beside = resolveFrom(folder, besideName);
  const found = await readReportAt(search, beside);
  if ('report' in found)
    return { reports: [found], reason: reasonFor(search, [found], 'it stands beside the timeline and has its name') };
  if (!found.isMissing) return unusable(search, beside, found.reason);
  const closed: string[] = [];
  for (const candidate of search.folders) {
    search.watched.add(candidate);
    const listing = await search.fileSystem.list(candidate);
    if (!listing.ok) {
      if (!listing.isMissing) closed.push(`${search.show(candidate) || '.'} ${listing.reason}`);
      continue;
    }
    const names = listing.entries.filter((entry) => !entry.isFolder && isReportName(entry.name)).map((entry) => entry.name);
    const [only] = names;
    if (only === undefined) continue;
    if (names.length > 1) return ambiguous(search, candidate, names, besideName);
    const path = resolveFrom(candidate, only);
    const report = await readReportAt(search, path);
    if (!('report' in report)) return unusable(search, path, report.reason);
    const why =
      candidate === folder ? "the only report in the timeline's folder" : 'the only report in the next folder up that has any';
    return { reports: [report], reason: reasonFor(search, [report], why) };
  }
  const doubt = closed.length === 0 ? '' : ` Not looked into: ${closed.join('; ')}.`;
  return {
    reports: [],
    reason: `No report is used: no file *${REPORT_ENDING} stands in the timeline's folder or above, and no ${SETTINGS_FILE_NAME} names one.${doubt} Measure the recordings, or put their report beside the timeline.`,
  };
}

function ambiguous(search: Search, folder: string, names: readonly string[], besideName: string): FoundReports {
  const shown = names.toSorted(compareNaturally).map((name) => search.show(resolveFrom(folder, name)));
  const list = shown.length > 5 ? `${shown.slice(0, 5).join(', ')} and ${shown.length - 5} more` : shown.join(', ');
  const reason = `No report is used: there are ${names.length} (${list}) and none is called ${besideName}. Name the right one in ${SETTINGS_FILE_NAME}, as in { "alignment": ["${names[0]}"] }.`;
  search.problems.push({ file: search.show(search.timeline), span: START, severity: 'warning', message: reason });
  return { reports: [], reason };
}

function unusable(search: Search, path: string, reason: string): FoundReports {
  const shown = search.show(path);
  search.problems.push(unreadable(shown, START, shown, reason));
  return { reports: [], reason: `No report is used: ${shown} ${reason}.` };
}

async function readReportAt(search: Search, path: string): Promise<FoundReport | { reason: string; isMissing: boolean }> {
  search.watched.add(path);
  const file = await search.fileSystem.readText(path);
  if (!file.ok) return { reason: file.reason, isMissing: file.isMissing };
  return { path, report: readReport(search.show(path), file.text) };
}

function reasonFor(search: Search, reports: readonly FoundReport[], why: string): string {
  if (reports.length === 0) return `No report is used: none that is ${why} can be read.`;
  const names = reports.map(({ path }) => search.show(path)).join(', ');
  return `${names} ${reports.length === 1 ? 'is' : 'are'} used: ${why}.`;
}

function unreadable(file: string, span: Span, path: string, reason: string, question = ''): FileProblem {
  return { file, span, severity: 'error', message: `The alignment report ${path} ${reason}.${question}` };
}

/** A question about the report that nearly has the name of the missing one; empty when none has. */
async function likelyName(search: Search, missing: string): Promise<string> {
  const folder = parentOf(missing);
  if (folder === null) return '';
  search.watched.add(folder);
  const listing = await search.fileSystem.list(folder);
  const names = listing.ok ? listing.entries.map((entry) => entry.name).filter(isReportName) : [];
  // By stem, since the common ending would make any two names resemble each other.
  const nearest = nearestName(stemOf(nameOf(missing)), names.map(stemOf));
  return nearest === null ? '' : ` Did you mean ${names.find((name) => stemOf(name) === nearest)}?`;
}

function stemOf(name: string): string {
  return name.replace(/(?:\.(?:timeline|cpl)\.xml|\.alignment\.json|(?<=.)\.[^.]*)$/i, '');
}

function inOrder(problems: readonly FileProblem[]): readonly FileProblem[] {
  return problems.toSorted((left, right) => left.span.start - right.span.start);
}
