/**
 * Shows, for the timeline in front, which report it is checked against and why, and how the check went.
 *
 * Findings that come from the wrong report are worse than none, so the report in use is always one look away. Nothing here
 * pops up: trouble of our own is one quiet entry with a way to the log.
 */

import * as vscode from 'vscode';
import type { BaseLanguageClient } from 'vscode-languageclient';
import {
  PROBLEM_NOTIFICATION,
  type ProblemNote,
  STATUS_NOTIFICATION,
  type TimelineStatus,
} from '../../server/src/lsp/messages.ts';

const TIMELINES = [
  { language: 'otio' },
  { language: 'afterclap-xml' },
  { language: 'afterclap-edl' },
  { language: 'afterclap-cpl' },
];

export function showStatus(client: BaseLanguageClient): vscode.Disposable {
  const known = new Map<string, TimelineStatus>();
  const report = vscode.languages.createLanguageStatusItem('afterclap.report', TIMELINES);
  report.name = 'Afterclap: alignment report';
  const check = vscode.languages.createLanguageStatusItem('afterclap.check', TIMELINES);
  check.name = 'Afterclap: last check';
  const rate = vscode.languages.createLanguageStatusItem('afterclap.rate', TIMELINES);
  rate.name = 'Afterclap: frame rate';

  const show = (): void => {
    const uri = vscode.window.activeTextEditor?.document.uri;
    const status = uri === undefined ? undefined : known.get(uri.toString());
    report.busy = status === undefined;
    report.text = status === undefined ? 'Reading the timeline' : reportText(status);
    report.severity =
      status?.reports.length === 0 ? vscode.LanguageStatusSeverity.Warning : vscode.LanguageStatusSeverity.Information;
    report.command = { title: 'Show why', command: 'afterclap.showReport' };
    check.severity = vscode.LanguageStatusSeverity.Information;
    check.command = undefined;
    check.text = status === undefined ? '' : countText(status);
    check.detail = status === undefined ? '' : checkDetail(status);
    rate.text = status === undefined ? '' : `Frame rate ${status.rate}`;
    rate.detail = status?.rateReason ?? '';
  };
  show();

  return vscode.Disposable.from(
    report,
    check,
    rate,
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

/** The entry is one line and cuts off what is longer; the command shows the rest. */
const LONGEST_TEXT = 72;

function reportText({ reports, reportReason }: TimelineStatus): string {
  if (reports.length === 0) return 'No alignment report';
  return reportReason.length <= LONGEST_TEXT ? reportReason : reports.map(({ label }) => label).join(', ');
}

function countText({ errorCount, warningCount, informationCount }: TimelineStatus): string {
  const parts = [count(errorCount, 'error'), count(warningCount, 'warning'), count(informationCount, 'note')];
  const shown = parts.filter((part) => part !== null);
  return shown.length === 0 ? 'Nothing found' : shown.join(', ');
}

function checkDetail({ comparisonCount, acceptedCount, milliseconds }: TimelineStatus): string {
  const compared = `${count(comparisonCount, 'pair') ?? 'no pairs'} compared`;
  const accepted = acceptedCount === 0 ? '' : `, ${acceptedCount} accepted`;
  return `${compared}${accepted}, ${Math.max(1, Math.round(milliseconds))} ms`;
}

function count(amount: number, unit: string): string | null {
  if (amount === 0) return null;
  return `${amount} ${unit}${amount === 1 ? '' : 's'}`;
}
