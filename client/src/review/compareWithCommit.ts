/**
 * The command 'Compare with the Last Commit': runs `afterclap compare --git HEAD` on the timeline in front, shows what it says as a
 * document beside it, and marks the clips. While that document is open, saving the timeline compares again.
 */

import * as vscode from 'vscode';
import type { CommandLine, CommandRun } from '../commandLine/commandLine.ts';
import { type CommandLineHost, commandLineFor, recordRun, showFailure } from '../commandLine/offer.ts';
import { timelineFor } from '../timelines.ts';
import { type ChangeMarks, createChangeMarks } from './changeMarks.ts';
import { parseReview, type ReviewData } from './reviewData.ts';
import { createReviewDocuments, type ReviewDocuments } from './reviewDocuments.ts';
import { reviewText } from './reviewText.ts';

const REVISION = 'HEAD';
const REVISION_IN_WORDS = 'the last commit';

export interface CommitReviews {
  /** `timeline` comes from a menu; without it the document in front is meant. */
  readonly compare: (timeline?: vscode.Uri) => Promise<void>;
  readonly dispose: () => void;
}

interface Reviewing {
  readonly host: CommandLineHost;
  readonly documents: ReviewDocuments;
  readonly marks: ChangeMarks;
}

export function createCommitReviews(host: CommandLineHost): CommitReviews {
  const marks = createChangeMarks();
  const documents = createReviewDocuments((timeline) => marks.set(timeline, null));
  const reviewing: Reviewing = { host, documents, marks };
  const saving = vscode.workspace.onDidSaveTextDocument(({ uri }) => {
    if (documents.isOpen(uri)) void compareAgain(reviewing, uri);
  });
  return {
    compare: (timeline) => compare(reviewing, timeline),
    dispose: () => vscode.Disposable.from(saving, documents, marks).dispose(),
  };
}

async function compare({ host, documents, marks }: Reviewing, asked?: vscode.Uri): Promise<void> {
  const commandLine = await commandLineFor('Comparing with the last commit', 'git', host);
  if (commandLine === null) return;
  const timeline = await timelineToCompare(asked);
  if (timeline === null) return;
  const name = nameOf(timeline);
  const location = vscode.ProgressLocation.Window;
  const run = await vscode.window.withProgress({ location, title: `Comparing ${name}` }, () => runCompare(commandLine, timeline));
  const review = parseReview(run.output);
  if (review === null) {
    recordRun(host.output, `Compared ${timeline.fsPath}`, [run.output, run.messages.join('\n')]);
    await showFailure(`${name} can't be compared with ${REVISION_IN_WORDS}: ${reasonOf(run)}`, host.output);
    return;
  }
  marks.set(timeline, review);
  await documents.show(timeline, textOf(review, timeline));
  if (run.messages.length > 0) {
    recordRun(host.output, `Compared ${timeline.fsPath}`, [run.messages.join('\n')]);
    await showFailure(`${name} was compared, but: ${asSentence(run.messages[0] as string)}`, host.output);
  }
}

/** After a save. What went wrong the first time was said; now the earlier review stays. */
async function compareAgain({ host, documents, marks }: Reviewing, timeline: vscode.Uri): Promise<void> {
  if (host.commandLine === null || !vscode.workspace.isTrusted) return;
  const review = parseReview((await runCompare(host.commandLine, timeline)).output);
  if (review === null || !documents.isOpen(timeline)) return;
  marks.set(timeline, review);
  documents.update(timeline, textOf(review, timeline));
}

/** Null after saying why there is none. Git and the command see the disk, so the text has to be there first. */
async function timelineToCompare(asked?: vscode.Uri): Promise<vscode.Uri | null> {
  const document = await timelineFor(asked);
  if (document === null) return null;
  if (document.uri.scheme !== 'file') {
    await vscode.window.showInformationMessage('This timeline is no file on a disk, so there is no commit to compare it with.');
    return null;
  }
  if (!document.isDirty) return document.uri;
  const save = 'Save and Compare';
  const chosen = await vscode.window.showWarningMessage(`${nameOf(document.uri)} has changes that are not saved.`, save);
  return chosen === save && (await document.save()) ? document.uri : null;
}

function runCompare(commandLine: CommandLine, timeline: vscode.Uri): Promise<CommandRun> {
  const folder = vscode.Uri.joinPath(timeline, '..').fsPath;
  return commandLine({ words: ['compare', `--git=${REVISION}`, '--format=json', '--', nameOf(timeline)], folder });
}

function textOf(review: ReviewData, timeline: vscode.Uri): ReturnType<typeof reviewText> {
  return reviewText(review, nameOf(timeline), REVISION_IN_WORDS);
}

function reasonOf({ messages, exitCode }: CommandRun): string {
  const message = messages.at(-1);
  if (message === undefined) return `the command ended without a word (exit code ${exitCode ?? 'none'}).`;
  return asSentence(message.replace(/^--git: /, ''));
}

function asSentence(text: string): string {
  return /[.!?]$/.test(text) ? text : `${text}.`;
}

function nameOf({ path }: vscode.Uri): string {
  return path.split('/').at(-1) ?? '';
}
