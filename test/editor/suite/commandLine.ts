/**
 * Measuring a folder and comparing with the last commit, run in the extension host of a real editor.
 *
 * The workspace is what `shoot.ts` makes. Messages wait for an answer that nobody gives here, so the commands are not waited for:
 * what they bring about is.
 */

import { strict as assert } from 'node:assert';
import { readdir, readFile, writeFile } from 'node:fs/promises';
import * as vscode from 'vscode';
import { ask, placeOf as at, open, runChecks, until } from './check.ts';
import type { Check } from './runChecks.ts';

const checks: readonly Check[] = [
  ['a folder with a clap log becomes a report, which is opened', measures],
  ['merging keeps what a person wrote', merges],
  ['an entry of the report links to its recording, where that lies beside it', linksRecordings],
  ['a changed cut is reviewed beside its timeline', reviews],
  ['the hover on a changed clip says first how it changed', hoversChange],
  ['links of a review lead to the clip, in the window that has the timeline', followsLinks],
  ['saving compares again', reviewsAgain],
  ['what went away leads into the committed file', followsOldLinks],
];

/** Called by the editor; a rejection is a failed run. */
export function run(): Promise<void> {
  return runChecks(checks);
}

const REPORT = 'day2.alignment.json';

async function measures(): Promise<void> {
  measure('day2', { clapLog: at('day2/claps.csv'), report: { name: REPORT, isMerging: false } });
  await until(
    () => active()?.uri.path.endsWith(`/day2/${REPORT}`) === true,
    () => 'the report is not opened',
  );
  const { pairs } = JSON.parse(active()?.getText() ?? '') as Report;
  assert.deepEqual(
    pairs.map(({ clap }) => clap),
    [1, 2],
  );
  // The recordings begin together: the claps' samples are known, since the scene is computed.
  for (const [index, seconds] of [2.5, 6].entries()) {
    const sample = pairs[index]?.at.sample ?? 0;
    assert.ok(Math.abs(sample - seconds * 48_000) < 48, `clap ${index + 1} is at sample ${sample}`);
  }
  assert.deepEqual((await readdir(at('day2').fsPath)).sort(), ['DECK_0021.wav', 'claps.csv', REPORT, 'empty'].sort());
}

async function merges(): Promise<void> {
  const path = at(`day2/${REPORT}`).fsPath;
  const before = JSON.parse(await readFile(path, 'utf8')) as Report;
  await writeFile(path, `${JSON.stringify({ ...before, remark: 'hands, not sticks' }, null, 2)}\n`);
  // One clap fewer in the log: the other pair stays as it was.
  await writeFile(at('day2/later.csv').fsPath, 'picture,rate,clap frame,sound,clap\nCAM_A_0021.mov,25,41,DECK_0021.wav,1\n');
  measure('day2', { clapLog: at('day2/later.csv'), report: { name: REPORT, isMerging: true } });
  const now = async (): Promise<Report> => JSON.parse(await readFile(path, 'utf8')) as Report;
  const frames = before.pairs.map(({ at: { frame } }) => frame);
  await until(
    async () => (await now()).pairs[0]?.at.frame === (frames[0] ?? 0) + 1,
    () => 'nothing is merged',
  );
  const after = await now();
  assert.equal(after.remark, 'hands, not sticks');
  assert.deepEqual(after.pairs[1], before.pairs[1]);
}

async function linksRecordings(): Promise<void> {
  const report = await vscode.workspace.openTextDocument(at(`day2/${REPORT}`));
  await vscode.window.showTextDocument(report);
  const find = async (): Promise<readonly string[]> => {
    const links = await vscode.commands.executeCommand<vscode.DocumentLink[]>('vscode.executeLinkProvider', report.uri, 20);
    return links.flatMap(({ target }) => (target === undefined ? [] : [target.path.split('/').at(-1) ?? '']));
  };
  await until(
    async () => (await find()).includes('DECK_0021.wav'),
    () => 'the sound has no link',
  );
  assert.ok(!(await find()).includes('CAM_A_0021.mov'), 'a picture that is not there has a link');
}

async function reviews(): Promise<void> {
  const timeline = await open('millrace.otio');
  await changeSource(timeline);
  void vscode.commands.executeCommand('afterclap.compareWithCommit');
  const review = await reviewOf(timeline);
  assert.match(review.getText(), /^millrace\.otio since the last commit\n\n\d+ sounds? changed against/);
  assert.match(review.getText(), /^Sound against its picture$/m);
  assert.equal(review.languageId, 'afterclap-review');
  await until(
    () => active() === review,
    () => 'the review is not in front',
  );
  assert.equal(vscode.window.activeTextEditor?.viewColumn, vscode.ViewColumn.Two);
  assert.equal(timeline.isDirty, false);
}

async function hoversChange(): Promise<void> {
  const timeline = await open('millrace.otio');
  const review = await reviewOf(timeline);
  const [link] = await linksIn(review);
  assert.ok(link !== undefined, 'the review has no link');
  await follow(link);
  const place = vscode.window.activeTextEditor?.selection.start;
  const hovers = await ask<vscode.Hover[]>('HoverProvider', timeline.uri, place);
  const [first, ...others] = hovers.map(({ contents: [part] }) => (typeof part === 'string' ? part : (part?.value ?? '')));
  assert.match(first ?? '', /^\*\*Since the last commit\*\*\n\nSound .*(earlier|later)/s);
  assert.ok(others.length > 0, 'the numbers of the clip are not shown any more');
}

async function followsLinks(): Promise<void> {
  const timeline = await open('millrace.otio', vscode.ViewColumn.One);
  const review = await reviewOf(timeline);
  await vscode.window.showTextDocument(review, vscode.ViewColumn.Two);
  const [link] = await linksIn(review);
  assert.ok(link !== undefined, 'the review has no link');
  await follow(link);
  const editor = vscode.window.activeTextEditor;
  assert.equal(editor?.document.uri.toString(), timeline.uri.toString());
  assert.equal(editor?.viewColumn, vscode.ViewColumn.One);
  const shown = editor?.document.getText(editor.selection) ?? '';
  assert.match(shown, /^[\d.]+$/);
  assert.equal(
    review.getText(link.range),
    `millrace.otio:${(editor?.selection.start.line ?? 0) + 1}:${(editor?.selection.start.character ?? 0) + 1}`,
  );
}

async function reviewsAgain(): Promise<void> {
  const timeline = await open('millrace.otio');
  const review = await reviewOf(timeline);
  assert.doesNotMatch(review.getText(), /^Findings that went away$/m);
  await vscode.commands.executeCommand('afterclap.applySafeFixes', timeline.uri.toString());
  await timeline.save();
  await until(
    () => /^Findings that went away$/m.test(review.getText()),
    () => 'the review stays as it was',
  );
}

async function followsOldLinks(): Promise<void> {
  const timeline = await open('millrace.otio');
  const review = await reviewOf(timeline);
  const links = await linksIn(review);
  const link = links.find(({ range }) => review.getText(range).startsWith('HEAD:'));
  assert.ok(link !== undefined, `no link leads into the commit: ${links.map(({ range }) => review.getText(range)).join(' ')}`);
  await follow(link);
  const editor = vscode.window.activeTextEditor;
  assert.equal(editor?.document.uri.scheme, 'git');
  assert.notEqual(editor.document.getText(), timeline.getText());
  assert.match(editor.document.getText(editor.selection), /^[\d.]+$/);
}

interface Report {
  readonly pairs: readonly { readonly clap: number; readonly at: { readonly frame: number; readonly sample: number } }[];
  readonly remark?: string;
}

function measure(folder: string, answers: object): void {
  void vscode.commands.executeCommand('afterclap.measureFolder', at(folder), [], answers);
}

function active(): vscode.TextDocument | undefined {
  return vscode.window.activeTextEditor?.document;
}

function reviewDocuments(): readonly vscode.TextDocument[] {
  return vscode.workspace.textDocuments.filter(({ uri }) => uri.scheme === 'afterclap-review');
}

async function reviewOf({ uri }: vscode.TextDocument): Promise<vscode.TextDocument> {
  const find = (): vscode.TextDocument | undefined => reviewDocuments().find((document) => document.uri.query === uri.toString());
  await until(
    () => find() !== undefined && find()?.getText() !== '',
    () => 'there is no review',
  );
  return find() as vscode.TextDocument;
}

async function linksIn({ uri }: vscode.TextDocument): Promise<readonly vscode.DocumentLink[]> {
  return vscode.commands.executeCommand<vscode.DocumentLink[]>('vscode.executeLinkProvider', uri);
}

/** As the editor does when a link is clicked. */
async function follow({ target }: vscode.DocumentLink): Promise<void> {
  assert.equal(target?.scheme, 'command');
  await vscode.commands.executeCommand(target.path, ...(JSON.parse(target.query) as unknown[]));
}

/** Makes the first picture clip play a frame later in its media, as a slip by hand would, and saves. */
async function changeSource(timeline: vscode.TextDocument): Promise<void> {
  const text = timeline.getText();
  const place = /"source_range"[\s\S]*?"start_time"[\s\S]*?"value": ?([\d.]+)/.exec(text);
  const value = place?.[1];
  assert.ok(place !== null && value !== undefined, 'the sample has no source range');
  const end = place.index + place[0].length;
  const edit = new vscode.WorkspaceEdit();
  edit.replace(
    timeline.uri,
    new vscode.Range(timeline.positionAt(end - value.length), timeline.positionAt(end)),
    String(Number(value) + 1),
  );
  assert.ok(await vscode.workspace.applyEdit(edit));
  await timeline.save();
}
