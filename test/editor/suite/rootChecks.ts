/**
 * Two folders in one window, as makeTwoDays.ts makes them: each is checked against its own report and its own settings, and drawn as
 * its own settings of the editor say.
 *
 * These checks run on every host; what differs is how another program changes a file. Each leaves the folders as it found them.
 */

import * as vscode from 'vscode';
import { ask, definitionAt, expect, expectEqual, findingsOf, isLead, open, placeOf, until } from './check.ts';
import { type Check, codeOf } from './runChecks.ts';

/** Files as another program sees them. */
export interface Outside {
  readonly read: (place: vscode.Uri) => Promise<string>;
  readonly write: (place: vscode.Uri, text: string) => Promise<void>;
}

export function rootChecks(outside: Outside): readonly Check[] {
  return [
    ['each folder is checked against its own report and its own settings', keepsApart],
    ['a folder that is taken out takes its findings with it, and brings them back', followsFolders],
    ['hints and lens are drawn as the settings of each folder say, and follow them', drawsBySettings],
    ['the lens counts by the report of its own folder, and opens it', opensOwnReport],
    ['a clip leads into the report of its own folder', leadsIntoOwnReport],
    ['an entry is used by clips of its own folder only', isUsedByOwnClips],
    ['a report that changes is felt in its own folder only', () => feelsOwnReport(outside)],
  ];
}

const CUT = 'cut.edl';
const REPORT = 'day.alignment.json';
/** Of the clip 'door, latch (deck)', counted from 0: it leads by a frame, and is exact by the report of day two. */
const LATCH_LINE = 19;
/** Of the clip 'race, wheel (deck)': it lags by two frames, which day two allows. */
const WHEEL_LINE = 103;
/** Worked out from the table in samples/README.md. On day two 'latch' is exact, and 'wheel' and the drift are within two frames. */
const COUNTS = ['9 in, 3 lead, 5 lag, 1 drifts', '12 in, 2 lead, 4 lag'];
/** Each of the 15 sound events of the list was compared; on day two, two of them lead and three lag, one of these on both channels. */
const HINT_COUNT = { all: 15, problems: 5 };

type Findings = readonly vscode.Diagnostic[];

const latchLeads = (all: Findings): boolean => all.some((each) => isLead(each) && each.range.start.line === LATCH_LINE);
const wheelLags = (all: Findings): boolean =>
  all.some((each) => codeOf(each) === 'sound-lags' && each.range.start.line === WHEEL_LINE);
const isDayOne = (all: Findings): boolean => latchLeads(all) && wheelLags(all);
const isDayTwo = (all: Findings): boolean => all.some(isLead) && !latchLeads(all) && !wheelLags(all);

async function keepsApart(): Promise<void> {
  const folders = (): number => vscode.workspace.workspaceFolders?.length ?? 0;
  // A page is told of its folders a moment after it was opened.
  await until(
    () => folders() === 2,
    () => `${folders()} folders are open`,
  );
  await vscode.commands.executeCommand('vscode.open', placeOf(CUT, 1));
  await expectBothDays();
  await vscode.commands.executeCommand('workbench.action.closeAllEditors');
  await expectBothDays();
}

async function expectBothDays(): Promise<void> {
  await findingsOf({ uri: placeOf(CUT, 0) }, isDayOne);
  await findingsOf({ uri: placeOf(CUT, 1) }, isDayTwo);
}

async function drawsBySettings(): Promise<void> {
  const [first, second] = await cuts();
  await expectBothDays();
  await expectDrawn(first, HINT_COUNT.all, 1);
  await expectDrawn(second, 0, 1);
  const { update } = vscode.workspace.getConfiguration('afterclap', second.uri);
  const ofFolder = vscode.ConfigurationTarget.WorkspaceFolder;
  await update('inlayHints', 'problems', ofFolder);
  await update('codeLens', false, ofFolder);
  await expectDrawn(second, HINT_COUNT.problems, 0);
  await expectDrawn(first, HINT_COUNT.all, 1);
  await update('codeLens', undefined, ofFolder);
  await update('inlayHints', 'off', ofFolder);
  await expectDrawn(second, 0, 1);
}

async function expectDrawn({ uri, lineCount }: vscode.TextDocument, hintCount: number, lensCount: number): Promise<void> {
  let drawn = '';
  await until(
    async () => {
      const hints = await ask<vscode.InlayHint[]>('InlayHintProvider', uri, new vscode.Range(0, 0, lineCount, 0));
      const lenses = await ask<vscode.CodeLens[]>('CodeLensProvider', uri);
      drawn = `${hints.length} hints, ${lenses.length} lenses`;
      return hints.length === hintCount && lenses.length === lensCount;
    },
    () => `${uri.path} shows ${drawn}, not ${hintCount} and ${lensCount}`,
  );
}

async function opensOwnReport(): Promise<void> {
  for (const [folder, cut] of (await cuts()).entries()) {
    const [lens] = await ask<vscode.CodeLens[]>('CodeLensProvider', cut.uri, 5);
    expectEqual(lens?.command?.title, COUNTS[folder], `the lens of ${cut.uri.path}`);
    await vscode.window.showTextDocument(cut, folder === 0 ? vscode.ViewColumn.One : vscode.ViewColumn.Two);
    await vscode.commands.executeCommand(lens?.command?.command as string);
    expectEqual(vscode.window.activeTextEditor?.document.uri.toString(), placeOf(REPORT, folder).toString(), 'a click opens');
  }
}

async function leadsIntoOwnReport(): Promise<void> {
  for (const [folder, cut] of (await cuts()).entries()) {
    const { uri } = await definitionAt(cut.uri, new vscode.Position(LATCH_LINE, 31));
    expectEqual(uri.toString(), placeOf(REPORT, folder).toString(), 'the definition');
  }
}

async function isUsedByOwnClips(): Promise<void> {
  for (const folder of [0, 1]) {
    const report = await open(placeOf(REPORT, folder));
    const at = report.positionAt(report.getText().indexOf('"deck-01"') + 2);
    const uses = await ask<vscode.Location[]>('ReferenceProvider', report.uri, at);
    expectEqual(
      [...new Set(uses.map(({ uri }) => uri.toString()))].sort(),
      [CUT, REPORT].map((name) => placeOf(name, folder).toString()),
      'files that use deck-01',
    );
  }
}

/** Before anything is opened: what is open is checked wherever it lies. */
async function followsFolders(): Promise<void> {
  const [first, second] = [placeOf(CUT, 0), placeOf(CUT, 1)];
  const uri = placeOf('', 1);
  expect(vscode.workspace.updateWorkspaceFolders(1, 1), 'the folder was not taken out');
  try {
    await findingsOf({ uri: second }, (all) => all.length === 0);
    await findingsOf({ uri: first }, isDayOne);
  } finally {
    expect(vscode.workspace.updateWorkspaceFolders(1, 0, { uri }), 'the folder was not added');
  }
  await expectBothDays();
}

async function feelsOwnReport({ read, write }: Outside): Promise<void> {
  await vscode.commands.executeCommand('workbench.action.closeAllEditors');
  await cuts();
  await expectBothDays();
  const [first, second] = [placeOf(REPORT, 0), placeOf(REPORT, 1)];
  const text = await read(second);
  await write(second, await read(first));
  await findingsOf({ uri: placeOf(CUT, 1) }, (all) => latchLeads(all) && !wheelLags(all));
  await findingsOf({ uri: placeOf(CUT, 0) }, isDayOne);
  await write(second, text);
  await expectBothDays();
}

/** Side by side: what nobody looks at need not be current. */
async function cuts(): Promise<readonly [vscode.TextDocument, vscode.TextDocument]> {
  return [await open(placeOf(CUT, 0), vscode.ViewColumn.One), await open(placeOf(CUT, 1), vscode.ViewColumn.Two)];
}
