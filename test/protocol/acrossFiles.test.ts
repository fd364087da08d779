/**
 * From file to file: definition, references, links, the report's hover, search, and the diagnostics of a whole workspace.
 * The fixtures hold one cut in three formats with one report: four sound clips of one recorder in each.
 */

import { cp, mkdir, rename } from 'node:fs/promises';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { FULL_CLIENT, openFile, positionIn, startEditor, textIn } from './features.ts';
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

const CUTS = ['interview.otio', 'interview.edl', 'interview.timeline.xml'];
const REPORT = 'day1.alignment.json';
const A_SOUND = { 'interview.edl': '00:00:10:01', 'interview.otio': '241\n', 'interview.timeline.xml': '482482' } as Record<
  string,
  string
>;

async function at(name: string, mark: string): Promise<{ textDocument: { uri: string }; position: object }> {
  const uri = await openFile(client, workspace, name);
  return { textDocument: { uri }, position: positionIn(await workspace.read(name), mark) };
}

async function placesOf(found: Wire): Promise<string[]> {
  const places: string[] = [];
  for (const { uri, range } of found) {
    const name = uri.slice(uri.lastIndexOf('/') + 1);
    places.push(`${name}: ${textIn(await workspace.read(name), range)}`);
  }
  return places;
}

describe('definition', () => {
  it.each(CUTS)('of a clip in %s is its entry in the report', async (name) => {
    const found = await client.result('textDocument/definition', await at(name, A_SOUND[name] as string));
    expect(await placesOf(found)).toEqual([`${REPORT}: "deck-01"`]);
  });

  it('of a name in a pair is its entry, and of a title nothing', async () => {
    expect(await placesOf(await client.result('textDocument/definition', await at(REPORT, '"deck-01",')))).toEqual([
      `${REPORT}: "deck-01"`,
    ]);
    expect(await client.result('textDocument/definition', await at('interview.edl', 'TITLE'))).toEqual([]);
  });
});

describe('references', () => {
  it('of a clip are all clips of its recording in all timelines, open or not, the pair, and the entry if asked for', async () => {
    const params = await at('interview.edl', '00:00:10:01');
    const without = await placesOf(
      await client.result('textDocument/references', { ...params, context: { includeDeclaration: false } }),
    );
    const inFile = (name: string): number => without.filter((place) => place.startsWith(`${name}: `)).length;
    expect(CUTS.map(inFile)).toEqual([4, 4, 4]);
    expect(inFile(REPORT)).toBe(1);
    const all = await client.result('textDocument/references', { ...params, context: { includeDeclaration: true } });
    expect(all).toHaveLength(14);
  });

  it('of an entry come file by file when the client takes parts', async () => {
    const params = { ...(await at(REPORT, '"cam-a-01"')), context: { includeDeclaration: true }, partialResultToken: 'parts' };
    expect(await client.result('textDocument/references', params)).toEqual([]);
    const parts = client.all('$/progress').filter(({ params: { token } }) => token === 'parts');
    expect(parts.flatMap(({ params: { value } }) => value)).toHaveLength(14);
    expect(parts).toHaveLength(4);
  });

  it('of media that no report knows go by its name', async () => {
    const list = 'TITLE: T\n001  STRAY    A     C        00:00:00:00 00:00:01:00 01:00:00:00 01:00:01:00\n';
    await workspace.write('one.edl', list);
    await workspace.write('two.edl', list.replace('STRAY', 'stray'));
    const params = { ...(await at('one.edl', 'STRAY')), context: { includeDeclaration: false } };
    expect(await client.result('textDocument/references', params)).toHaveLength(2);
  });
});

describe('links', () => {
  const links = async (name: string): Promise<Wire> =>
    client.result('textDocument/documentLink', { textDocument: { uri: await openFile(client, workspace, name) } });

  it('lead to media that are there, and to no others', async () => {
    expect(await links('interview.timeline.xml')).toEqual([]);
    await mkdir(join(workspace.folder, 'media'));
    await workspace.write('media/CAM_A_0001.mov', '');
    const [link, ...others] = await links('interview.timeline.xml');
    expect(others).toEqual([]);
    expect(link.target).toBe(workspace.uri('media/CAM_A_0001.mov'));
    expect(textIn(await workspace.read('interview.timeline.xml'), link.range)).toBe('media/CAM_A_0001.mov');
  });

  it('lead from the settings to the report', async () => {
    await workspace.write('afterclap.json', `{ "alignment": ["${REPORT}", "gone.alignment.json"] }`);
    expect((await links('afterclap.json')).map(({ target }: Wire) => target)).toEqual([workspace.uri(REPORT)]);
  });
});

describe('the hover of the report', () => {
  it('says how many clips use an entry, and follows what is open', async () => {
    const params = await at(REPORT, '"deck-01": {');
    const { contents } = await client.result('textDocument/hover', params);
    expect(contents.value).toContain('Used by 12 clips in 3 timelines.');
    const uri = await openFile(client, workspace, 'interview.edl');
    client.notify('textDocument/didChange', { textDocument: { uri, version: 2 }, contentChanges: [{ text: 'TITLE: EMPTY\n' }] });
    expect((await client.result('textDocument/hover', params)).contents.value).toContain('Used by 8 clips in 2 timelines.');
  });
});

describe('search', () => {
  it('finds clips and media of the whole workspace by a few letters', async () => {
    const names = async (query: string): Promise<string[]> =>
      (await client.result('workspace/symbol', { query })).map(({ name }: Wire) => name);
    expect(await names('dck01')).toContain('deck-01');
    expect((await names('lathe')).filter((name) => /hands on the lathe/i.test(name))).toHaveLength(6);
    expect(await names('nobody is called this')).toEqual([]);
  });
});

describe('the diagnostics of the workspace', () => {
  const pull = (more: object = {}): Promise<Wire> => client.result('workspace/diagnostic', { previousResultIds: [], ...more });

  it('hold every timeline and report, open or not', async () => {
    await openFile(client, workspace, 'interview.edl');
    const { items } = await pull();
    const byName = Object.fromEntries(
      items.map(({ uri, items: found, version }: Wire) => [
        uri.slice(uri.lastIndexOf('/') + 1),
        { count: found.length, version },
      ]),
    );
    expect(byName).toEqual({
      [REPORT]: { count: 0, version: null },
      'interview.edl': { count: 2, version: 1 },
      'interview.otio': { count: 2, version: null },
      'interview.timeline.xml': { count: 2, version: null },
    });
  });

  it('come in parts, with progress', async () => {
    const { items } = await pull({ partialResultToken: 'parts', workDoneToken: 'work' });
    expect(items).toEqual([]);
    const of = (wanted: string): Wire[] =>
      client
        .all('$/progress')
        .filter(({ params }) => params.token === wanted)
        .map(({ params }) => params.value);
    expect(of('parts').flatMap((part: Wire) => part.items)).toHaveLength(4);
    expect(of('work').map(({ kind }: Wire) => kind)).toEqual(['begin', 'report', 'report', 'report', 'report', 'end']);
    expect(of('work')[4].percentage).toBe(100);
  });

  it('are unchanged for what the client has, wait until something changes, and clear what is gone', async () => {
    const { items } = await pull();
    const previousResultIds = items.map(({ uri, resultId }: Wire) => ({ uri, value: resultId }));
    const { answer } = client.ask('workspace/diagnostic', { previousResultIds });
    let isAnswered = false;
    void answer.then(() => {
      isAnswered = true;
    });
    // Any other request is answered meanwhile.
    await client.result('workspace/symbol', { query: 'x' });
    expect(isAnswered).toBe(false);
    await workspace.remove('interview.otio');
    client.notify('workspace/didChangeWatchedFiles', { changes: [{ uri: workspace.uri('interview.otio'), type: 3 }] });
    const { result } = await answer;
    const kinds = Object.fromEntries(result.items.map(({ uri, kind }: Wire) => [uri.slice(uri.lastIndexOf('/') + 1), kind]));
    expect(kinds['interview.edl']).toBe('unchanged');
    expect(kinds['interview.otio']).toBe('full');
    expect(result.items.find(({ uri }: Wire) => uri.endsWith('interview.otio')).items).toEqual([]);
  });

  it('clear what is gone for a client that has forgotten what it was told, too', async () => {
    await pull();
    await workspace.remove('interview.otio');
    client.notify('workspace/didChangeWatchedFiles', { changes: [{ uri: workspace.uri('interview.otio'), type: 3 }] });
    const gone = (items: readonly Wire[]): readonly Wire[] => items.filter(({ uri }) => uri.endsWith('interview.otio'));
    expect(gone((await pull()).items)).toMatchObject([{ kind: 'full', version: null, items: [] }]);
    client.notify('workspace/didChangeWatchedFiles', { changes: [{ uri: workspace.uri('interview.edl'), type: 2 }] });
    expect(gone((await pull()).items)).toEqual([]);
  });

  it('follow a folder that another program moves, of whose files nobody tells', async () => {
    const inside = join(workspace.folder, 'reel 2');
    const away = `${workspace.folder}-away`;
    const uri = pathToFileURL(inside).href;
    const named = async (): Promise<readonly string[]> =>
      (await pull()).items
        .filter(({ uri: each, resultId }: Wire) => each.includes('reel%202/') && resultId !== undefined)
        .map(({ uri: each }: Wire) => each.slice(each.lastIndexOf('/') + 1));
    await mkdir(inside);
    for (const name of ['interview.edl', REPORT]) await cp(join(workspace.folder, name), join(inside, name));
    const tell = async (type: number): Promise<readonly string[]> => {
      const refreshed = client.next(({ method }) => method === 'workspace/diagnostic/refresh', 'a refresh');
      client.notify('workspace/didChangeWatchedFiles', { changes: [{ uri, type }] });
      await refreshed;
      return named();
    };
    expect(await tell(1)).toEqual([REPORT, 'interview.edl']);
    await rename(inside, away);
    expect(await tell(3)).toEqual([]);
    await rename(away, inside);
    expect(await tell(1)).toEqual([REPORT, 'interview.edl']);
  });

  it('are not asked for anew when files of others come and go', async () => {
    const { items } = await pull();
    const previousResultIds = items.map(({ uri, resultId }: Wire) => ({ uri, value: resultId }));
    await workspace.write('notes.txt', 'Nothing of ours.');
    const { id, answer } = client.ask('workspace/diagnostic', { previousResultIds });
    for (const type of [1, 3]) {
      client.notify('workspace/didChangeWatchedFiles', { changes: [{ uri: workspace.uri('notes.txt'), type }] });
    }
    // Any other request is answered meanwhile.
    await client.result('workspace/symbol', { query: 'x' });
    client.notify('$/cancelRequest', { id });
    expect((await answer).error?.code).toBe(-32800);
    expect(client.all('workspace/diagnostic/refresh')).toEqual([]);
  });

  it('are given up when the client takes its question back', async () => {
    for (let number = 0; number < 60; number += 1)
      await workspace.write(`cut${number}.edl`, await workspace.read('interview.edl'));
    const { id, answer } = client.ask('workspace/diagnostic', { previousResultIds: [], partialResultToken: 'many' });
    await client.nextNotification('$/progress');
    client.notify('$/cancelRequest', { id });
    expect((await answer).error?.code).toBe(-32800);
    expect(client.all('$/progress').length).toBeLessThan(64);
  });

  it('follow folders that come and go', async () => {
    const other = await makeWorkspace();
    // Files that are gone come once more, with nothing found and no result.
    const seen = async (): Promise<number> => (await pull()).items.filter(({ resultId }: Wire) => resultId !== undefined).length;
    expect(await seen()).toBe(4);
    const folder = { uri: other.uri(''), name: 'other' };
    client.notify('workspace/didChangeWorkspaceFolders', { event: { added: [folder], removed: [] } });
    expect(await seen()).toBe(8);
    client.notify('workspace/didChangeWorkspaceFolders', { event: { added: [], removed: [folder] } });
    expect(await seen()).toBe(4);
    await other.discard();
  });
});

describe('two roots with a report each', () => {
  it('keep to their own: definitions, references and names', async () => {
    const other = await makeWorkspace();
    client.notify('workspace/didChangeWorkspaceFolders', {
      event: { added: [{ uri: other.uri(''), name: 'other' }], removed: [] },
    });
    const uri = await openFile(client, other, 'interview.edl');
    const place = { textDocument: { uri }, position: positionIn(await other.read('interview.edl'), '00:00:10:01') };
    const [definition] = await client.result('textDocument/definition', place);
    expect(definition.uri).toBe(other.uri(REPORT));
    const references = await client.result('textDocument/references', { ...place, context: { includeDeclaration: true } });
    expect(references).toHaveLength(14);
    expect(references.every(({ uri: found }: Wire) => found.startsWith(other.uri('')))).toBe(true);
    const name = await openFile(client, other, REPORT);
    const { documentChanges } = await client.result('textDocument/rename', {
      textDocument: { uri: name },
      position: positionIn(await other.read(REPORT), 'DECK_0001.wav'),
      newName: 'DECK_0099.wav',
    });
    expect(documentChanges).toHaveLength(3);
    expect(documentChanges.every(({ textDocument }: Wire) => textDocument.uri.startsWith(other.uri('')))).toBe(true);
    await other.discard();
  });
});

it('tells a client that can watch nothing anew each time, and never holds its question', async () => {
  client.kill();
  const { didChangeWatchedFiles: _none, ...capable } = FULL_CLIENT.workspace;
  client = await startEditor(workspace, {}, { ...FULL_CLIENT, workspace: capable });
  const { items } = await client.result('workspace/diagnostic', { previousResultIds: [] });
  const previousResultIds = items.map(({ uri, resultId }: Wire) => ({ uri, value: resultId }));
  const again = await client.result('workspace/diagnostic', { previousResultIds });
  expect(again.items.map(({ kind }: Wire) => kind)).toEqual(['unchanged', 'unchanged', 'unchanged', 'unchanged']);
});
