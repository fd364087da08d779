/**
 * `afterclap check PATH...`: audits timelines against their alignment reports, and puts right what is safe to put right.
 *
 * Calls the same `audit` as the editor, with the same look-up of report and settings, so that the two cannot disagree.
 */

import { existsSync } from 'node:fs';
import { version } from '../../../package.json';
import { readReport } from '../core/alignment/readReport.ts';
import type { Settings } from '../core/alignment/settings.ts';
import { type Audit, audit } from '../core/audit.ts';
import {
  type CheckedFile,
  type CheckedTimeline,
  checkedTimeline,
  type FindingCounts,
  NO_FINDINGS,
  SEVERITIES,
  totalCount,
} from '../core/report/checkedFile.ts';
import { plainPainter } from '../core/report/painter.ts';
import { type BaselineSummary, goneText } from '../core/report/renderText.ts';
import { severitiesInWords } from '../core/report/textSummary.ts';
import { visibleText } from '../core/report/visibleText.ts';
import { createNodeFileSystem } from '../node/fileSystem.ts';
import { encodingRemark } from '../project/decodeText.ts';
import type { FileSystem } from '../project/fileSystem.ts';
import { findProject, type Project } from '../project/findProject.ts';
import { relativeTo } from '../project/paths.ts';
import { type BaselineWriter, openBaseline, startBaseline } from './baselineFile.ts';
import { cachingFileSystem } from './cachingFileSystem.ts';
import { changedSince } from './changedSince.ts';
import { CHECK_FLAGS, type CheckOptions, checkOptions, type OutputFormat } from './checkOptions.ts';
import type { Command, ExitCode } from './command.ts';
import { type FoundFile, findFiles } from './findFiles.ts';
import { fixTimeline } from './fixTimeline.ts';
import { printerFor } from './printer.ts';
import { progressLine } from './progressLine.ts';
import { collectSideFiles, type SideFiles } from './sideFiles.ts';
import type { Terminal } from './terminal.ts';
import { readTextFile, type TextFile } from './textFile.ts';
import { UserError } from './userError.ts';
import { writeSafely } from './writeSafely.ts';

export const checkCommand: Command = {
  name: 'check',
  usage: 'PATH... [flags]',
  summary: 'check timelines against their alignment report',
  flags: CHECK_FLAGS,
  details: [
    'A PATH is a timeline (.otio, .timeline.xml, .edl, or a composition playlist: .cpl.xml, CPL*.xml), an alignment report (.alignment.json), afterclap.json, or a folder, which is searched for all of them. Folders named node_modules and folders whose name begins with a dot are left out.',
    'Settings are those of the nearest afterclap.json upwards. The report is the one it names; else the one beside the timeline with its name; else the only one in its folder, or in the next folder up that has any. Which one was used, and why, is always printed.',
    'Exit code: 0 when nothing is at or above --fail-on, 1 when something is, 2 when a file could not be read or the settings are wrong.',
  ],
  run: async (flags, terminal) => runCheck(checkOptions(flags), terminal),
};

interface Run {
  readonly options: CheckOptions;
  readonly terminal: Terminal;
  readonly files: FileSystem;
  readonly sides: SideFiles;
  /** What kept the program from doing its job, a line each; each is told once. */
  readonly problems: Set<string>;
}

async function runCheck(options: CheckOptions, terminal: Terminal): Promise<ExitCode> {
  const startedAt = new Date();
  const files = cachingFileSystem(createNodeFileSystem());
  const run: Run = { options, terminal, files, sides: collectSideFiles(files.absolute), problems: new Set() };
  await requireReports(run);
  const baseline = options.baseline === null ? null : await openBaseline(files, options.baseline);
  const newBaseline = options.newBaseline === null ? null : await startBaseline(files, options.newBaseline);
  const found = await filesToCheck(run);
  const facts = { version, documentationUri: documentationUri(), failOn: options.failOn, startedAt };
  const printer = newBaseline === null ? printerFor(options.format, terminal, facts) : null;
  const take = (file: CheckedFile): void => {
    newBaseline?.add(file);
    printer?.add(asShown(run, baseline === null ? file : baseline.apply(file)), run.sides.texts());
  };
  const progress = progressLine(terminal.error, () => performance.now());
  for (const [index, file] of found.entries()) {
    progress.show(index, found.length, visibleText(file.path));
    const checked = await withoutStopping(run, () => checkFile(run, file), progress.clear);
    if (checked === null) continue;
    progress.clear();
    take(checked);
  }
  progress.clear();
  for (const side of run.sides.checked()) take(side);
  if (newBaseline !== null) return writeNewBaseline(run, newBaseline);
  const summary = baseline === null ? null : await baseline.finish();
  if (summary !== null && options.format !== 'text') noteBaseline(run, summary);
  const counts = printer?.finish({ problems: [...run.problems], baseline: summary }) ?? NO_FINDINGS;
  return exitCodeOf(run, counts);
}

async function filesToCheck(run: Run): Promise<readonly FoundFile[]> {
  const { paths, changedSince: revision } = run.options;
  const found = await findFiles(paths);
  for (const problem of found.problems) tell(run, problem);
  if (revision === null) return found.files;
  const changed = await changedSince(revision, found.files, (path) => findProjectOf(run, path, run.options.alignments));
  const timelines = (files: readonly FoundFile[]): number => files.filter(({ kind }) => kind === 'timeline').length;
  const all = timelines(found.files);
  note(
    run,
    `${timelines(changed)} of ${all} ${all === 1 ? 'timeline' : 'timelines'} changed since ${revision}, with their reports and settings; ${timelines(changed) === all ? 'all were checked' : 'the others were not checked'}`,
  );
  return changed;
}

/** Formats that people read, or that say paths as they were typed. */
const AS_TYPED: readonly OutputFormat[] = ['text', 'lines', 'json'];

/** Other programs match paths against those of the repository, so they get them from the working folder on, however they were typed. */
function asShown<File extends CheckedFile>(run: Run, file: File): File {
  return AS_TYPED.includes(run.options.format) ? file : { ...file, path: shownPath(run, file.path) };
}

async function writeNewBaseline(run: Run, writer: BaselineWriter): Promise<ExitCode> {
  const path = run.options.newBaseline ?? '';
  if (run.problems.size > 0) {
    tell(run, `${path} was not written, since not everything could be checked`);
    return 2;
  }
  const { counts, keptCount } = await writer.write();
  const count = totalCount(counts);
  const kept = keptCount === 0 ? '' : ` ${keptCount} of files not checked now were kept.`;
  const parts = count === 0 ? '' : ` (${severitiesInWords(counts, plainPainter)})`;
  run.terminal.output.write(
    `${visibleText(path)}: ${count} ${count === 1 ? 'finding' : 'findings'} written${parts}.${kept} From now on: afterclap check ... --baseline ${visibleText(path)}\n`,
  );
  return 0;
}

function noteBaseline(run: Run, { path, leftOut, gone }: BaselineSummary): void {
  const count = totalCount(leftOut);
  note(
    run,
    `${path}: ${count} ${count === 1 ? 'finding' : 'findings'} left out${gone.length === 0 ? '' : `; ${gone.length} no longer found`}`,
  );
  for (const entry of gone) note(run, `${path}: no longer found: ${goneText(entry)}`);
}

/** The pages of the finding codes, where they were installed beside the program. */
function documentationUri(): string | null {
  const folder = new URL('../server/docs/codes', import.meta.url);
  return existsSync(folder) ? folder.href : null;
}

/** A report named by hand that can't be read ends the run: a check against nothing would look like a check. */
async function requireReports({ options, files }: Run): Promise<void> {
  for (const path of options.alignments ?? []) {
    const answer = await files.readText(path);
    if (!answer.ok) throw new UserError(`--alignment: ${path} ${answer.reason}`);
  }
}

/** One file that can't be read does not keep the others from being checked. */
async function withoutStopping<Value>(run: Run, work: () => Promise<Value>, before: () => void): Promise<Value | null> {
  try {
    return await work();
  } catch (error) {
    if (!(error instanceof UserError)) throw error;
    before();
    tell(run, error.message);
    return null;
  }
}

/** Null for reports and settings files, which are printed at the end. */
async function checkFile(run: Run, found: FoundFile): Promise<CheckedTimeline | null> {
  if (found.kind === 'timeline') return checkTimeline(run, found);
  const { text } = await readTextFile(found.path);
  const project = await projectOf(run, found.path, found.kind === 'alignment' ? [] : null);
  addSettings(run, project, found.kind === 'settings' ? found.path : null);
  if (found.kind === 'alignment') run.sides.addReport(readReport(shownPath(run, found.path), text), project.settings, found.path);
  return null;
}

async function checkTimeline(run: Run, found: FoundFile & { readonly kind: 'timeline' }): Promise<CheckedTimeline> {
  const { options, sides } = run;
  const file = await readTextFile(found.path);
  const remark = encodingRemark(file.encoding);
  if (remark !== null) note(run, `${found.path} ${remark}`);
  const project = await projectOf(run, found.path, options.alignments);
  addSettings(run, project, null);
  const settings: Settings =
    options.tolerance === null ? project.settings : { ...project.settings, tolerance: options.tolerance };
  const reports = project.reports.map(({ report }) => report);
  for (const report of reports) sides.addReport(report, settings, null);
  if (reports.length === 0 && options.format !== 'text' && options.format !== 'lines')
    note(run, `${found.path}: ${project.reason}`);
  const auditText = (text: string): Audit =>
    audit({ format: found.format, text, reports, settings, assetNames: project.assetNames });
  const remarks = { reportReason: project.reason, toleranceRemark: options.tolerance === null ? null : 'from --tolerance' };
  const before = auditText(file.text);
  const after = options.isFixing ? await writeFixes(run, found.path, file, before, auditText) : { audit: before, fixes: [] };
  sides.addFromAudit(after.audit);
  return checkedTimeline(found.path, after.audit, { ...remarks, fixed: after.fixes });
}

/** What holds after `--fix`; what held before, when nothing could be written. */
async function writeFixes(
  run: Run,
  path: string,
  file: TextFile,
  before: Audit,
  auditText: (text: string) => Audit,
): Promise<Pick<ReturnType<typeof fixTimeline>, 'audit' | 'fixes'>> {
  const unchanged = { audit: before, fixes: [] };
  const written = await withoutStopping(
    run,
    async () => {
      const fixed = fixTimeline(path, file, before, auditText);
      if (fixed.file.bytes.equals(file.bytes)) return unchanged;
      await writeSafely(path, file.bytes, fixed.file.bytes);
      return fixed;
    },
    () => {},
  );
  if (written !== null && written.fixes.length > 0 && run.options.format !== 'text') {
    const count = written.fixes.length;
    note(
      run,
      `${path}: ${count} ${count === 1 ? 'fix' : 'fixes'} written; keep the version from before, and check the cut by eye and ear`,
    );
  }
  return written ?? unchanged;
}

function findProjectOf(run: Run, path: string, reports: readonly string[] | null): Promise<Project> {
  return findProject(run.files, path, { reports, base: workingFolder(run) });
}

async function projectOf(run: Run, path: string, reports: readonly string[] | null): Promise<Project> {
  const project = await findProjectOf(run, path, reports);
  for (const { message } of project.problems) tell(run, message);
  return project;
}

function addSettings(run: Run, project: Project, typed: string | null): void {
  const { settings, settingsFile } = project;
  if (settingsFile === null) return;
  run.sides.addSettings(settings, settingsFile.text, typed);
  for (const { file, message } of settings.problems) tell(run, `${file}: ${message}`);
}

function workingFolder({ files }: Run): string {
  return files.absolute('.');
}

/** As findProject shows paths. */
function shownPath(run: Run, path: string): string {
  return relativeTo(workingFolder(run), run.files.absolute(path));
}

function tell(run: Run, problem: string): void {
  if (run.problems.has(problem)) return;
  run.problems.add(problem);
  run.terminal.error.write(`afterclap: ${visibleText(problem)}\n`);
}

function note(run: Run, remark: string): void {
  run.terminal.error.write(`afterclap: note: ${visibleText(remark)}\n`);
}

function exitCodeOf({ options, problems }: Run, counts: FindingCounts): ExitCode {
  if (problems.size > 0) return 2;
  const failing = SEVERITIES.slice(0, SEVERITIES.indexOf(options.failOn) + 1);
  return failing.some((severity) => counts[severity] > 0) ? 1 : 0;
}
