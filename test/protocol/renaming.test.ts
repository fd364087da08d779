/** Renaming media in all files at once, and columns of lists, over the bundled server. */

import { writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { openFile, positionIn, startEditor } from './features.ts';
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

function changed(text: string, edits: readonly Wire[]): string {
  const lines = text.split('\n');
  for (const { range, newText } of [...edits].reverse()) {
    expect(range.start.line).toBe(range.end.line);
    const line = lines[range.start.line] as string;
    lines[range.start.line] = line.slice(0, range.start.character) + newText + line.slice(range.end.character);
  }
  return lines.join('\n');
}

describe('renaming', () => {
  it('changes the name in the report and in every timeline, open ones at their version', async () => {
    const uri = await openFile(client, workspace, 'day1.alignment.json');
    const params = { textDocument: { uri }, position: positionIn(await workspace.read('day1.alignment.json'), 'DECK_0001.wav') };
    expect((await client.result('textDocument/prepareRename', params)).placeholder).toBe('DECK_0001.wav');
    const { documentChanges } = await client.result('textDocument/rename', { ...params, newName: 'DECK_0099.wav' });
    const byName = new Map<string, Wire>(
      documentChanges.map(({ textDocument, edits }: Wire) => [textDocument.uri.split('/').at(-1), { textDocument, edits }]),
    );
    expect([...byName.keys()].sort()).toEqual(['day1.alignment.json', 'interview.otio', 'interview.timeline.xml']);
    expect(byName.get('day1.alignment.json').textDocument.version).toBe(1);
    expect(byName.get('interview.otio').textDocument.version).toBeNull();
    for (const [name, { edits }] of byName) {
      const text = await workspace.read(name);
      expect(changed(text, edits)).toBe(text.replaceAll('DECK_0001.wav', 'DECK_0099.wav'));
    }
  });

  it('refuses a name that other media has, and a name that is none, and changes nothing', async () => {
    const uri = await openFile(client, workspace, 'interview.otio');
    const params = { textDocument: { uri }, position: positionIn(await workspace.read('interview.otio'), 'DECK_0001.wav') };
    const taken = await client.request('textDocument/rename', { ...params, newName: 'CAM_A_0001.mov' });
    expect(taken.error?.message).toContain("has other media of the name 'CAM_A_0001.mov'");
    expect((await client.request('textDocument/rename', { ...params, newName: 'a/b' })).error?.message).toContain('slash');
  });

  it('refuses where a file that is not open is not in UTF-8: an editor would lose characters of it', async () => {
    const text = `${await workspace.read('interview.timeline.xml')}<!-- Caf\u00e9 -->\n`;
    await writeFile(join(workspace.folder, 'interview.timeline.xml'), text, 'latin1');
    const uri = await openFile(client, workspace, 'interview.otio');
    const params = { textDocument: { uri }, position: positionIn(await workspace.read('interview.otio'), 'DECK_0001.wav') };
    const { error } = await client.request('textDocument/rename', { ...params, newName: 'DECK_0099.wav' });
    expect(error?.message).toMatch(/^interview\.timeline\.xml is not in UTF-8, .* Nothing was renamed/);
  });

  it('has nothing to rename on a number', async () => {
    const uri = await openFile(client, workspace, 'interview.edl');
    const position = positionIn(await workspace.read('interview.edl'), '00:00:10:01');
    expect(await client.result('textDocument/prepareRename', { textDocument: { uri }, position })).toBeNull();
  });
});

describe('formatting', () => {
  const options = { tabSize: 2, insertSpaces: true };

  it('puts the columns of a list in line again', async () => {
    const text = await workspace.read('interview.edl');
    const uri = workspace.uri('interview.edl');
    client.open(uri, 'afterclap-edl', text.replaceAll('V     C        ', 'V C '));
    const edits = await client.result('textDocument/formatting', { textDocument: { uri }, options });
    expect(changed(text.replaceAll('V     C        ', 'V C '), edits)).toBe(text);
  });

  it('leaves JSON and XML alone', async () => {
    const uri = await openFile(client, workspace, 'interview.otio');
    expect(await client.result('textDocument/formatting', { textDocument: { uri }, options })).toBeNull();
  });
});
