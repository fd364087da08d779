/**
 * The server's own life: it is a worker, which can be started again.
 */

import * as vscode from 'vscode';
import { ask, expect, findingsOf, firstLeadOf, open } from '../../suite/check.ts';
import type { Check } from '../../suite/runChecks.ts';

export const lifeChecks: readonly Check[] = [
  ['findings, hovers and lenses come back after a restart, and after a second one', restarts],
  ['the commands of the manifest are there', hasCommands],
];

async function restarts(): Promise<void> {
  const document = await open('millrace/millrace.edl');
  await findingsOf(document, (all) => all.length > 0);
  for (let time = 0; time < 2; time += 1) {
    await vscode.commands.executeCommand('afterclap.restart');
    await findingsOf(document, (all) => all.length > 0);
    const { range } = await firstLeadOf(document);
    const found = await ask<vscode.Hover[]>('HoverProvider', document.uri, range.start);
    expect(found.length > 0, 'the restarted server answers no hover');
    const lenses = await ask<vscode.CodeLens[]>('CodeLensProvider', document.uri);
    expect(lenses.length > 0, 'the restarted server shows no lens');
  }
}

async function hasCommands(): Promise<void> {
  const known = await vscode.commands.getCommands(true);
  for (const command of ['showReport', 'fixAllSafe', 'openReport', 'openLagChart', 'restart']) {
    expect(known.includes(`afterclap.${command}`), `there is no ${command}`);
  }
}
