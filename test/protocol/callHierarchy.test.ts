/**
 * Nesting by the protocol's call hierarchy: what holds a clip, and what a stack or a track holds, a step at a time.
 *
 * Source: Language Server Protocol 3.17, 'Prepare Call Hierarchy Request' and the two that follow it.
 */

import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { openFile, positionIn, startEditor, textIn } from './features.ts';
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

async function prepare(uri: string, text: string, mark: string): Promise<Wire> {
  const question = { textDocument: { uri }, position: positionIn(text, mark) };
  const items = await client.result('textDocument/prepareCallHierarchy', question);
  expect(items).toHaveLength(1);
  return items[0];
}

const incoming = (item: Wire): Promise<Wire> => client.result('callHierarchy/incomingCalls', { item });
const outgoing = (item: Wire): Promise<Wire> => client.result('callHierarchy/outgoingCalls', { item });

/** Names from an item to the outermost that holds it. */
async function holders(item: Wire): Promise<readonly string[]> {
  const calls = await incoming(item);
  return calls.length === 0 ? [item.name] : [item.name, ...(await holders(calls[0].from))];
}

const FILES = [
  ['interview.otio', ['Interview, answer (sound)', 'A1', 'Workshop interview'], 'DECK_0001.wav'],
  ['interview.timeline.xml', ['Interview, answer (sound)', 'A1', 'Stack', 'Workshop interview'], 'DECK_0001.wav'],
  ['interview.edl', ['INTERVIEW, ANSWER SOUND', 'WORKSHOP INTERVIEW'], 'DECK0001'],
] as const;

describe.each(FILES)('in %s', (file, chain, media) => {
  it('a clip leads to what holds it, and back down to the clip and its media', async () => {
    const uri = await openFile(client, workspace, file);
    const text = await workspace.read(file);
    const item = await prepare(uri, text, chain[0]);
    expect(item).toMatchObject({ uri, name: chain[0], detail: expect.stringContaining('01:00:05:00 to 01:00:09:00') });
    expect(textIn(text, item.selectionRange)).toBe(chain[0]);
    expect(await holders(item)).toEqual(chain);
    const [{ from, fromRanges }] = await incoming(item);
    expect(fromRanges.map((range: Wire) => textIn(text, range))).toEqual([chain[0]]);
    expect((await outgoing(from)).map(({ to }: Wire) => to)).toContainEqual(item);
    expect((await outgoing(item)).map(({ to }: Wire) => to.name)).toEqual([media]);
  });

  it('media lead to every clip that shows them', async () => {
    const uri = await openFile(client, workspace, file);
    const clips = await incoming(await prepare(uri, await workspace.read(file), media));
    const sounds = clips.map(({ from }: Wire) => from.name);
    expect(sounds).toHaveLength(4);
    for (const name of sounds) expect(name).toMatch(/\(?SOUND\)?$/i);
  });
});

it('an item is known to a server that was started after it was made, and in a text that has grown', async () => {
  const uri = await openFile(client, workspace, 'interview.edl');
  const text = await workspace.read('interview.edl');
  const item = await prepare(uri, text, '006 ');
  const before = [await incoming(item), await outgoing(item)];
  client.kill();
  client = await startEditor(workspace);
  await openFile(client, workspace, 'interview.edl');
  expect([await incoming(item), await outgoing(item)]).toEqual(before);
  client.notify('textDocument/didChange', {
    textDocument: { uri, version: 2 },
    contentChanges: [{ range: { start: { line: 3, character: 0 }, end: { line: 3, character: 0 } }, text: '* ONE MORE LINE\n' }],
  });
  const [{ from }] = await incoming(item);
  expect(from.name).toBe('WORKSHOP INTERVIEW');
  expect(from.range.end.line).toBe(before[0][0].from.range.end.line + 1);
});

it('nothing nests in a report, in an empty text, in a file that is not open', async () => {
  const report = await openFile(client, workspace, 'day1.alignment.json');
  const empty = workspace.uri('empty.otio');
  client.open(empty, 'otio', '');
  for (const uri of [report, empty, workspace.uri('interview.otio')]) {
    const question = { textDocument: { uri }, position: { line: 0, character: 0 } };
    expect(await client.result('textDocument/prepareCallHierarchy', question)).toBeNull();
    const item = { uri, name: 'A1', kind: 18, range: { start: question.position, end: question.position } };
    expect([await incoming(item), await outgoing(item)]).toEqual([[], []]);
  }
});

it('an item of a kind that was never sent leads nowhere', async () => {
  const uri = await openFile(client, workspace, 'interview.edl');
  const item = await prepare(uri, await workspace.read('interview.edl'), '006 ');
  expect(await incoming({ ...item, kind: 12 })).toEqual([]);
});

it('more clips than fit in a list are cut, and that is said', async () => {
  const uri = workspace.uri('long.edl');
  const lines = Array.from({ length: 5001 }, (_, at) => {
    const [from, to] = [at, at + 1].map((second) =>
      [3600, 60, 1].map((unit) => String(Math.floor(second / unit) % 60).padStart(2, '0')).join(':'),
    );
    return `${String(at + 1).padStart(6, '0')}  CAMA     V     C        ${from}:00 ${to}:00 ${from}:00 ${to}:00`;
  });
  client.open(uri, 'any', `TITLE: LONG\n${lines.join('\n')}\n`);
  const said = client.nextNotification('window/logMessage', ({ message }) => message.includes("'LONG' leads to 5001 places"));
  expect(await outgoing(await prepare(uri, 'TITLE: LONG', 'TITLE'))).toHaveLength(5000);
  expect((await said).message).toContain('only the first 5000 are shown');
});
