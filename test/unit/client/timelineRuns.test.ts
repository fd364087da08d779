/**
 * A run of timelines as tests, in an editor and a list that only take down what they are told: what is out of date, and when it is said.
 */

import { expect, it, vi } from 'vitest';
import type { BaseLanguageClient } from 'vscode-languageclient';
import { registerTimelineTests } from '../../../client/src/tests/timelineTests.ts';

type Run = (request: object, token: object) => Promise<void>;

const { told, editor } = vi.hoisted(() => ({
  told: [] as string[],
  editor: { run: undefined as unknown, change: undefined as unknown },
}));
const nothing = { isCancellationRequested: false };

vi.mock('vscode', () => ({
  DiagnosticSeverity: { Error: 0, Warning: 1, Information: 2, Hint: 3 },
  TestRunProfileKind: { Run: 1 },
  Disposable: { from: () => undefined },
  workspace: { asRelativePath: String },
  tests: {
    createTestController: () => ({
      createRunProfile: (_label: string, _kind: number, run: unknown) => {
        editor.run = run;
      },
      createTestRun: () => ({
        token: nothing,
        enqueued: () => undefined,
        started: ({ id }: { id: string }) => told.push(`${id} started`),
        passed: ({ id }: { id: string }) => told.push(`${id} passed`),
        appendOutput: () => undefined,
        end: () => told.push('end'),
      }),
    }),
  },
}));

vi.mock('../../../client/src/tests/timelineList.ts', () => ({
  createTimelineList: () => ({
    lookOnce: async () => undefined,
    itemNamed: (id: string) => ({ id, uri: id }),
    timelinesOf: () => ['a.edl', 'b.edl'],
    say: () => undefined,
    invalidate: (ids: readonly string[]) => told.push(...ids.map((id) => `${id} out of date`)),
    onOutdated: (listener: unknown) => {
      editor.change = listener;
      return { dispose: () => undefined };
    },
  }),
}));

it('says of a text that changed while it was checked that it is out of date, before the next is checked', async () => {
  const status = { clipCount: 2, comparisonCount: 1, unreadableCount: 0, reportReason: '', acceptedCount: 0, milliseconds: 1 };
  const client = {
    code2ProtocolConverter: { asUri: String },
    protocol2CodeConverter: { asDiagnostics: async () => [] },
    sendRequest: async (_method: string, { uri }: { uri: string }) => {
      if (uri === 'a.edl') (editor.change as (ids: readonly string[]) => void)(['a.edl']);
      return { isRead: true, status, summary: '1 in', findings: [] };
    },
  };
  registerTimelineTests(client as unknown as BaseLanguageClient);
  await (editor.run as Run)({}, nothing);
  // A run of many takes long: said at its end, it would be said of what another run checked again meanwhile.
  expect(told).toEqual(['a.edl started', 'a.edl passed', 'a.edl out of date', 'b.edl started', 'b.edl passed', 'end']);
});
