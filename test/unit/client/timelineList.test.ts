/**
 * The list of timelines as tests, in an editor that only keeps what it is given: which of them a continuous run hears of.
 */

import { expect, it, vi } from 'vitest';
import type { TestController } from 'vscode';
import type { BaseLanguageClient } from 'vscode-languageclient';
import { createTimelineList } from '../../../client/src/tests/timelineList.ts';

vi.mock('vscode-languageclient', () => ({ State: { Running: 2 } }));

vi.mock('vscode', () => {
  const never = () => ({ dispose: () => undefined });
  const folder = { name: 'shoot', uri: { path: '/shoot', toString: () => 'file:///shoot' } };
  return {
    EventEmitter: class {
      listeners: ((value: unknown) => void)[] = [];
      event = (listener: (value: unknown) => void) => this.listeners.push(listener);
      fire = (value: unknown) => this.listeners.map((listener) => listener(value));
    },
    Disposable: { from: never },
    Uri: { parse: (uri: string) => ({ path: uri.slice('file://'.length), toString: () => uri }) },
    workspace: {
      workspaceFolders: [folder],
      getWorkspaceFolder: () => folder,
      createFileSystemWatcher: () => ({ onDidCreate: never, onDidChange: never, onDidDelete: never }),
      onDidChangeWorkspaceFolders: never,
      onDidChangeTextDocument: never,
      onDidSaveTextDocument: never,
      onDidCloseTextDocument: never,
    },
  };
});

it('tells of timelines that come, the very first of a folder among them, and not of those that were there', async () => {
  const [one, two] = ['file:///shoot/one.edl', 'file:///shoot/two.edl'];
  const answers: (readonly string[])[] = [[], [one], [one, two]];
  const client = { sendRequest: async () => answers.shift(), onDidChangeState: () => undefined };
  const controller = {
    items: { replace: () => undefined },
    createTestItem: (id: string) => ({ id, children: { replace: () => undefined } }),
  };
  const list = createTimelineList(controller as unknown as TestController, client as unknown as BaseLanguageClient);
  const heard: (readonly string[])[] = [];
  list.onOutdated((ids) => heard.push(ids));
  await list.look();
  await list.look();
  await list.look();
  expect(heard).toEqual([[one], [two]]);

  answers.push([one, two]);
  const later = createTimelineList(controller as unknown as TestController, client as unknown as BaseLanguageClient);
  later.onOutdated((ids) => heard.push(ids));
  await later.look();
  expect(heard).toHaveLength(2);
});
