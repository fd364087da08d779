/** Completion over the bundled server, with the media of the report and of the open timelines. */

import { afterEach, beforeEach, expect, it } from 'vitest';
import { openFile, startEditor } from './features.ts';
import type { Wire, WireClient } from './wireClient.ts';
import { makeWorkspace, type Workspace } from './workspace.ts';

let workspace: Workspace;
let client: WireClient;

beforeEach(async () => {
  workspace = await makeWorkspace();
  client = await startEditor(workspace);
});

afterEach(async () => {
  client.kill();
  await workspace.discard();
});

async function labelsAt(name: string, language: string, text: string): Promise<string[]> {
  const uri = workspace.uri(name);
  const before = text.slice(0, text.indexOf('¦')).split('\n');
  client.open(uri, language, text.replace('¦', ''));
  const position = { line: before.length - 1, character: before.at(-1)?.length ?? 0 };
  const found = await client.result('textDocument/completion', { textDocument: { uri }, position });
  return (found?.items ?? []).map(({ label }: Wire) => label);
}

it('offers the media of the report in a new list', async () => {
  expect(await labelsAt('new.edl', 'afterclap-edl', 'TITLE: NEW\n* SOURCE FILE: deck¦')).toEqual(['DECK_0001.wav', 'DECK0001']);
});

it('offers in a report what the open timelines name and it lacks', async () => {
  await openFile(client, workspace, 'interview.edl');
  client.open(
    workspace.uri('more.edl'),
    'afterclap-edl',
    '001  STRAY    A     C        00:00:00:00 00:00:01:00 01:00:00:00 01:00:01:00\n',
  );
  expect(await labelsAt('new.alignment.json', 'json', '{ "alignment": 1, "sounds": { "s": { "names": ["¦"] } } }')).toContain(
    'STRAY',
  );
});

it('leaves settings to the schema in our own editor, and completes them in others', async () => {
  const text = '{ "rules": { "no-s¦" } }';
  expect(await labelsAt('afterclap.json', 'json', text)).toEqual([]);
  client.kill();
  client = await startEditor(workspace, {}, {}, {});
  expect(await labelsAt('afterclap.json', 'json', text)).toEqual(['no-sound']);
});
