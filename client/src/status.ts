/**
 * Shows, for the timeline in front, which report it is checked against and why, and how the check went.
 *
 * Findings that come from the wrong report are worse than none, so the report in use is always one look away. Nothing here
 * pops up: trouble of our own is one quiet entry with a way to the log.
 */

import * as vscode from 'vscode';
import type { BaseLanguageClient } from 'vscode-languageclient';
import { PROBLEM_NOTIFICATION, type ProblemNote, STATUS_NOTIFICATION, type TimelineStatus } from '../../server/src/lsp/messages.ts';

const TIMELINES = [{ language: 'otio' }, { language: 'afterclap-xml' }, { language: 'afterclap-edl' }];

export function showStatus(client: BaseLanguageClient): vscode.Disposable {
  const known = new Map<string, TimelineStatus>();
  const report = vscode.languages.createLanguageStatusItem('afterclap.report', TIMELINES);
  report.name = 'Afterclap: alignment report';
  const check = vscode.languages.createLanguageStatusItem('afterclap.check', TIMELINES);
  check.name = 'Afterclap: last check';

  const show = (): void => {
    const uri = vscode.window.activeTextEditor?.document.uri;
    const status = uri === undefined ? undefined : known.get(uri.toString());
    report.busy = status === undefined;
    report.text = status === undefined ? 'Reading the timeline' : reportText(status);
    report.detail = status?.reportReason ?? '';
    report.severity =
      status?.reports.length === 0 ? vscode.LanguageStatusSeverity.Warning : vscode.LanguageStatusSeverity.Information;
    report.command = { title: 'Show why', command: 'afterclap.showReport' };
    check.text = status === undefined ? '' : countText(status);
    check.detail = status === undefined ? '' : checkDetail(status);
  };
  show();

  return vscode.Disposable.from(
    report,
    check,
    client.onNotification(STATUS_NOTIFICATION, (status: TimelineStatus) => {
      known.set(vscode.Uri.parse(status.uri).toString(), status);
      show();
    }),
    client.onNotification(PROBLEM_NOTIFICATION, ({ message }: ProblemNote) => {
      check.text = message;
      check.severity = vscode.LanguageStatusSeverity.Warning;
      check.command = { title: 'Restart', command: 'afterclap.restart' };
    }),
    vscode.window.onDidChangeActiveTextEditor(show),
    vscode.workspace.onDidCloseTextDocument(({ uri }) => known.delete(uri.toString())),
  );
}

function reportText({ reports }: TimelineStatus): string {
  return reports.length === 0 ? 'No alignment report' : reports.map(({ label }) => label).join(', ');
}

function countText({ errorCount, warningCount, informationCount }: TimelineStatus): string {
  const parts = [count(errorCount, 'error'), count(warningCount, 'warning'), count(informationCount, 'note')];
  const shown = parts.filter((part) => part !== null);
  return shown.length === 0 ? 'Nothing found' : shown.join(', ');
}

function checkDetail({ comparisonCount, acceptedCount, rate, rateReason, milliseconds }: TimelineStatus): string {
  const compared = `${count(comparisonCount, 'pair') ?? 'no pairs'} compared`;
  const accepted = acceptedCount === 0 ? '' : `, ${acceptedCount} accepted`;
  return `${compared}${accepted} in ${Math.max(1, Math.round(milliseconds))} ms · ${rate} frames per second: ${rateReason}`;
}

function count(amount: number, unit: string): string | null {
  if (amount === 0) return null;
  return `${amount} ${unit}${amount === 1 ? '' : 's'}`;
}
