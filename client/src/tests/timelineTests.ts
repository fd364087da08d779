/**
 * Each timeline of the workspace as a test in the editor's own view of tests: run, it is checked by the server like anything that is
 * shown of it in the text.
 *
 * What 'passed' means is in timelineVerdict.ts, which tests there are in timelineList.ts. Here a run is told to the editor: places
 * of findings, the words beside the names, and the text that a person reads.
 */

import * as vscode from 'vscode';
import type { BaseLanguageClient, Diagnostic } from 'vscode-languageclient';
import { CHECK_TIMELINE_REQUEST, type TimelineCheck } from '../../../server/src/lsp/timelineTestMessages.ts';
import { createTimelineList, type TimelineList } from './timelineList.ts';
import {
  checkLines,
  FAILING,
  headline,
  type Outcome,
  outcomeOf,
  runLine,
  type Severity,
  type TestFinding,
  unreadLine,
} from './timelineVerdict.ts';

/** A person types; the cut is checked when they pause. */
const TYPING_MS = 500;

export function registerTimelineTests(client: BaseLanguageClient): vscode.Disposable {
  const controller = vscode.tests.createTestController('afterclap.timelines', 'Timelines');
  const list = createTimelineList(controller, client);
  const runs: Runs = { controller, list, client };
  controller.resolveHandler = async (item) => {
    if (item === undefined) await list.lookOnce();
  };
  controller.refreshHandler = (token) => list.look(token);
  controller.createRunProfile(
    'Check',
    vscode.TestRunProfileKind.Run,
    async (request, token) => {
      await list.lookOnce();
      if (request.continuous === true) checkWhenChanged(runs, request, token);
      else await checkAll(runs, request, list.timelinesOf(request), token);
    },
    true,
    undefined,
    true,
  );
  return vscode.Disposable.from(list, controller);
}

interface Runs {
  readonly controller: vscode.TestController;
  readonly list: TimelineList;
  readonly client: BaseLanguageClient;
}

async function checkAll(
  { controller, list, client }: Runs,
  request: vscode.TestRunRequest,
  ids: readonly string[],
  token: vscode.CancellationToken,
): Promise<void> {
  const run = controller.createTestRun(request);
  const outcomes: Outcome[] = [];
  const changed = new Set<string>();
  const listener = list.onOutdated((outdated) => {
    for (const id of outdated) changed.add(id);
  });
  try {
    for (const id of ids) {
      const item = list.itemNamed(id);
      list.say(id, null);
      if (item !== undefined) run.enqueued(item);
    }
    for (const id of ids) {
      if (token.isCancellationRequested || run.token.isCancellationRequested) break;
      const item = list.itemNamed(id);
      if (item?.uri === undefined) continue;
      run.started(item);
      changed.delete(id);
      const outcome = await checkOne({ run, item, uri: item.uri, list, client });
      if (outcome !== null) outcomes.push(outcome);
      // What changed while it was checked was found of the text before. Said at once: later, another run may have checked it again.
      if (changed.has(id)) list.invalidate([id]);
    }
    if (outcomes.length > 1) print(run, ['', runLine(outcomes)]);
  } finally {
    listener.dispose();
    run.end();
  }
}

/** Checks again what was asked for, as often as it may come out differently. */
function checkWhenChanged(runs: Runs, request: vscode.TestRunRequest, token: vscode.CancellationToken): void {
  const { list } = runs;
  const pending = new Set<string>();
  let waiting: ReturnType<typeof setTimeout> | undefined;
  const check = async (): Promise<void> => {
    const ids = [...pending];
    pending.clear();
    const items = ids.flatMap((id) => list.itemNamed(id) ?? []);
    await checkAll(runs, new vscode.TestRunRequest(items, undefined, request.profile, true), ids, token);
  };
  const listener = list.onOutdated((ids) => {
    const asked = new Set(list.timelinesOf(request));
    for (const id of ids) if (asked.has(id)) pending.add(id);
    clearTimeout(waiting);
    if (pending.size > 0) waiting = setTimeout(check, TYPING_MS);
  });
  token.onCancellationRequested(() => {
    clearTimeout(waiting);
    listener.dispose();
  });
}

interface TimelineRun {
  readonly run: vscode.TestRun;
  readonly item: vscode.TestItem;
  readonly uri: vscode.Uri;
  readonly list: TimelineList;
  readonly client: BaseLanguageClient;
}

/** Null when the run was taken back meanwhile. */
async function checkOne(one: TimelineRun): Promise<Outcome | null> {
  const { run, item, uri, list, client } = one;
  const path = vscode.workspace.asRelativePath(uri);
  const fail = (reason: string): Outcome => {
    const line = unreadLine(path, reason);
    list.say(item.id, 'not read');
    run.errored(item, new vscode.TestMessage(line));
    print(run, [line], item);
    return 'errored';
  };
  try {
    const params = { uri: client.code2ProtocolConverter.asUri(uri) };
    const check = await client.sendRequest<TimelineCheck>(CHECK_TIMELINE_REQUEST, params, run.token);
    if (!check.isRead) return fail(check.reason);
    const found = await client.protocol2CodeConverter.asDiagnostics([...check.findings] as Diagnostic[]);
    if (run.token.isCancellationRequested) return null;
    return tell(one, path, check, found);
  } catch (error) {
    if (run.token.isCancellationRequested) return null;
    return fail(`was not checked: ${error instanceof Error ? error.message : String(error)}`);
  }
}

function tell(
  { run, item, uri, list }: TimelineRun,
  path: string,
  { status, summary }: TimelineCheck & { readonly isRead: true },
  found: readonly vscode.Diagnostic[],
): Outcome {
  const findings = found.map(findingOf);
  const outcome = outcomeOf(status, findings);
  const { reportReason, acceptedCount, milliseconds } = status;
  const lines = checkLines({ path, outcome, summary, reportReason, acceptedCount, findings });
  list.say(item.id, headline({ outcome, summary }));
  const messages = (): vscode.TestMessage[] =>
    found.filter(({ severity }) => SEVERITIES[severity] === FAILING).map((finding) => messageOf(finding, uri));
  if (outcome === 'passed') run.passed(item, milliseconds);
  else if (outcome === 'failed') run.failed(item, messages(), milliseconds);
  else if (outcome === 'errored') run.errored(item, messages(), milliseconds);
  else run.skipped(item);
  print(run, lines, item);
  return outcome;
}

/** The finding, a link to the page of its code, and links to all that has to do with it. */
function messageOf(finding: vscode.Diagnostic, uri: vscode.Uri): vscode.TestMessage {
  const page = typeof finding.code === 'object' ? ` [${finding.code.value}](<${finding.code.target}>)` : '';
  const related = (finding.relatedInformation ?? []).map(({ location, message }) => `${escaped(message)}: ${linkTo(location)}`);
  const text = [`${escaped(finding.message)}${page}`, ...related].join('\n\n');
  const message = new vscode.TestMessage(new vscode.MarkdownString(text));
  message.location = new vscode.Location(uri, finding.range);
  return message;
}

function linkTo({ uri, range: { start } }: vscode.Location): string {
  const [line, column] = [start.line + 1, start.character + 1];
  const place = escaped(`${vscode.workspace.asRelativePath(uri)}:${line}:${column}`);
  return `[${place}](<${uri.with({ fragment: `L${line},${column}` })}>)`;
}

/** As Markdown that shows the text as it is. The editor's own way of doing this keeps lines from breaking. */
function escaped(text: string): string {
  return text.replaceAll(/[!-/:-@[-`{-~]/g, '\\$&');
}

function findingOf({ severity, code, message, range: { start } }: vscode.Diagnostic): TestFinding {
  const word = String(typeof code === 'object' ? code.value : code);
  return { severity: SEVERITIES[severity], code: word, message, line: start.line + 1, column: start.character + 1 };
}

const SEVERITIES: Readonly<Record<vscode.DiagnosticSeverity, Severity>> = {
  [vscode.DiagnosticSeverity.Error]: 'error',
  [vscode.DiagnosticSeverity.Warning]: 'warning',
  [vscode.DiagnosticSeverity.Information]: 'information',
  [vscode.DiagnosticSeverity.Hint]: 'information',
};

/** The editor shows it as a terminal does. */
function print(run: vscode.TestRun, lines: readonly string[], item?: vscode.TestItem): void {
  run.appendOutput(lines.map((line) => `${line}\r\n`).join(''), undefined, item);
}
