/**
 * Shows, for the timeline in front, which report it is checked against and why, and how the check went.
 *
 * Findings that come from the wrong report are worse than none, so the report in use is always one look away. Nothing here
 * pops up: trouble of our own is one quiet entry with a way to the log.
 */

import * as vscode from 'vscode';
import { type BaseLanguageClient, State } from 'vscode-languageclient';
import {
  PROBLEM_NOTIFICATION,
  type ProblemNote,
  STATUS_NOTIFICATION,
  type TimelineStatus,
} from '../../server/src/lsp/messages.ts';
import { checkDetail, countText, reportCommand, reportText } from './statusWords.ts';
import { TIMELINE_DOCUMENTS } from './timelines.ts';

/** Hides an entry that has nothing to say: one without a text would show a tick all the same. */
const NOWHERE: vscode.DocumentSelector = [];

export function showStatus(client: BaseLanguageClient): vscode.Disposable {
  const known = new Map<string, TimelineStatus>();
  const report = vscode.languages.createLanguageStatusItem('afterclap.report', TIMELINE_DOCUMENTS);
  report.name = 'Afterclap: alignment report';
  const check = vscode.languages.createLanguageStatusItem('afterclap.check', TIMELINE_DOCUMENTS);
  check.name = 'Afterclap: last check';
  const rate = vscode.languages.createLanguageStatusItem('afterclap.rate', TIMELINE_DOCUMENTS);
  rate.name = 'Afterclap: frame rate';

  let isStopped = false;

  const show = (): void => {
    if (isStopped) {
      showStopped();
      return;
    }
    const uri = vscode.window.activeTextEditor?.document.uri;
    const status = uri === undefined ? undefined : known.get(uri.toString());
    report.busy = status === undefined;
    for (const entry of [check, rate]) entry.selector = status === undefined ? NOWHERE : TIMELINE_DOCUMENTS;
    report.text = status === undefined ? 'Reading the timeline' : reportText(status);
    report.severity =
      status?.reports.length === 0 ? vscode.LanguageStatusSeverity.Warning : vscode.LanguageStatusSeverity.Information;
    report.command = { title: status === undefined ? 'Show why' : reportCommand(status), command: 'afterclap.showReport' };
    check.severity =
      status !== undefined && status.comparisonCount === 0
        ? vscode.LanguageStatusSeverity.Warning
        : vscode.LanguageStatusSeverity.Information;
    check.command =
      status !== undefined && status.unreadableCount > 0
        ? { title: 'Show a place', command: 'afterclap.showNextFinding' }
        : undefined;
    check.text = status === undefined ? '' : countText(status);
    check.detail = status === undefined ? '' : checkDetail(status);
    rate.text = status === undefined ? '' : `Frame rate ${status.rate}`;
    rate.detail = status?.rateReason ?? '';
  };
  // What was found before is no word on the text of now.
  const showStopped = (): void => {
    report.busy = false;
    report.text = 'The server is not running, so nothing is checked';
    report.severity = vscode.LanguageStatusSeverity.Error;
    report.command = { title: 'Restart', command: 'afterclap.restart' };
    for (const entry of [check, rate]) entry.selector = NOWHERE;
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
      check.selector = TIMELINE_DOCUMENTS;
      check.text = message;
      check.detail = '';
      check.severity = vscode.LanguageStatusSeverity.Warning;
      check.command = { title: 'Restart', command: 'afterclap.restart' };
    }),
    client.onDidChangeState(({ newState }) => {
      isStopped = newState === State.Stopped || newState === State.StartFailed;
      if (isStopped) known.clear();
      show();
    }),
    vscode.window.onDidChangeActiveTextEditor(show),
    vscode.workspace.onDidCloseTextDocument(({ uri }) => known.delete(uri.toString())),
  );
}
