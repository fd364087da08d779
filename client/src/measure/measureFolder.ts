/**
 * The command 'Measure Recordings in a Folder': asks what it must, runs `afterclap measure`, and opens the report.
 *
 * All the listening is the command line's. Stopping asks it to stop by itself, so that nothing is half written.
 */

import * as vscode from 'vscode';
import type { CommandLine, CommandRun, MeasureSummary } from '../commandLine/commandLine.ts';
import { type CommandLineHost, commandLineFor, recordRun, showFailure } from '../commandLine/offer.ts';
import { askClapLog, askFolder, askReport, type MeasureAnswers, type ReportChoice } from './measureQuestions.ts';
import { measureVerdict, progressText } from './measureWords.ts';

/** `folder` comes from the explorer's menu; without it the person is asked. */
export async function measureFolder(host: CommandLineHost, folder?: vscode.Uri, answers: MeasureAnswers = {}): Promise<void> {
  const commandLine = await commandLineFor('Measuring recordings', 'programs of this machine, ffmpeg among them,', host);
  if (commandLine === null) return;
  const place = folder ?? (await askFolder());
  if (place === null) return;
  if (place.scheme !== 'file') {
    await vscode.window.showInformationMessage('Recordings are measured where they lie on a disk; this folder is not on one.');
    return;
  }
  const names = (await vscode.workspace.fs.readDirectory(place)).map(([name]) => name);
  const clapLog = answers.clapLog === undefined ? await askClapLog(place, names) : answers.clapLog;
  if (clapLog === undefined) return;
  const report = answers.report ?? (await askReport(lastPart(place), names));
  if (report === null) return;
  const target = vscode.Uri.joinPath(place, report.name);
  if (report.isMerging && !(await isSaved(target, report.name))) return;
  const outcome = await runWatched(commandLine, place, clapLog, report);
  if (outcome === null) {
    void vscode.window.showInformationMessage(`Measuring was stopped; ${report.name} was not touched.`);
    return;
  }
  await tell(host.output, outcome, target, report);
}

interface Outcome {
  readonly run: CommandRun;
  readonly summary: MeasureSummary | null;
}

/** Null when the person stopped it before anything was written. */
async function runWatched(
  commandLine: CommandLine,
  folder: vscode.Uri,
  clapLog: vscode.Uri | null,
  report: ReportChoice,
): Promise<Outcome | null> {
  const words = [
    'measure',
    '.',
    // In one word each: a name may begin with a dash.
    `--out=${report.name}`,
    ...(report.isMerging ? ['--merge'] : []),
    ...(clapLog === null ? [] : [`--clap-log=${nameFrom(folder, clapLog)}`]),
    '--progress=json',
  ];
  const title = `Measuring ${lastPart(folder)}`;
  const location = vscode.ProgressLocation.Notification;
  return vscode.window.withProgress({ location, title, cancellable: true }, async (progress, token) => {
    const stopper = new AbortController();
    token.onCancellationRequested(() => {
      progress.report({ message: 'stopping' });
      stopper.abort();
    });
    let summary: MeasureSummary | null = null;
    let shown = 0;
    const run = await commandLine({
      words,
      folder: folder.fsPath,
      signal: stopper.signal,
      onProgress: (event) => {
        summary = event.done ?? summary;
        if (stopper.signal.aborted) return;
        const percent = event.share * 100;
        progress.report({ message: progressText(event), increment: Math.max(0, percent - shown) });
        shown = Math.max(shown, percent);
      },
    });
    // It may have been done before it heard.
    return stopper.signal.aborted && summary === null ? null : { run, summary };
  });
}

async function tell(
  output: vscode.OutputChannel,
  { run, summary }: Outcome,
  target: vscode.Uri,
  { name }: ReportChoice,
): Promise<void> {
  recordRun(output, `Measured for ${target.fsPath}`, [run.output, run.messages.join('\n')]);
  if (summary !== null && summary.report !== null) await vscode.window.showTextDocument(target, { preview: false });
  const { severity, sentence } = measureVerdict(run, summary, name);
  if (severity === 'error') {
    await showFailure(sentence, output);
    return;
  }
  const show = 'Show Output';
  const chosen = await (severity === 'warning'
    ? vscode.window.showWarningMessage(sentence, show)
    : vscode.window.showInformationMessage(sentence, show));
  if (chosen === show) output.show(true);
}

/** What is merged is what stands on disk; text that was typed and not saved would be lost in the end. */
async function isSaved(target: vscode.Uri, name: string): Promise<boolean> {
  const open = vscode.workspace.textDocuments.find(({ uri, isDirty }) => isDirty && uri.toString() === target.toString());
  if (open === undefined) return true;
  const save = 'Save and Measure';
  const chosen = await vscode.window.showWarningMessage(`${name} has changes that are not saved.`, save);
  return chosen === save && (await open.save());
}

/** The log is named in the report's notes and in messages; what lies in the folder is named without it. */
function nameFrom(folder: vscode.Uri, file: vscode.Uri): string {
  const start = `${folder.path.replace(/\/+$/, '')}/`;
  return file.scheme === folder.scheme && file.path.startsWith(start) ? file.path.slice(start.length) : file.fsPath;
}

function lastPart({ path }: vscode.Uri): string {
  return path.replace(/\/+$/, '').split('/').at(-1) ?? '';
}
