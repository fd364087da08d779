/**
 * Quick fixes, fix-all, fixes of the whole workspace, acceptance, hover and status over the bundled server.
 */

import { mkdir, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { TextDocument } from 'vscode-languageserver-textdocument';
import { writeCpl } from '../support/cplCut.ts';
import { type Wire, WireClient } from './wireClient.ts';
import { makeWorkspace, PULLING_CLIENT, type Workspace } from './workspace.ts';

let workspace: Workspace;
let client: WireClient;

beforeEach(async () => {
  workspace = await makeWorkspace();
});

afterEach(async () => {
  client.kill();
  await workspace.discard();
});

async function connect(more: object = {}): Promise<void> {
  client = await WireClient.ready({ capabilities: PULLING_CLIENT, ...more });
}

async function openFile(name: string, languageId = 'otio'): Promise<string> {
  const uri = workspace.uri(name);
  client.open(uri, languageId, await workspace.read(name), 7);
  return uri;
}

async function findings(uri: string): Promise<readonly Wire[]> {
  return (await client.result('textDocument/diagnostic', { textDocument: { uri } })).items;
}

function actionsFor(uri: string, diagnostic: Wire, only?: readonly string[]): Promise<readonly Wire[]> {
  const context = { diagnostics: [diagnostic], only };
  return client.result('textDocument/codeAction', { textDocument: { uri }, range: diagnostic.range, context });
}

/** The text after an edit, made by the protocol library and not by us. */
function applied(text: string, edit: Wire): string {
  const document = TextDocument.create('file:///cut', 'any', 1, text);
  return TextDocument.applyEdits(document, edit.documentChanges[0].edits);
}

describe('quick fixes', () => {
  it.each([
    ['interview.otio', 'otio', '"value": 241', '"value": 240'],
    ['interview.edl', 'afterclap-edl', '00:00:10:01 00:00:15:01', '00:00:10:00 00:00:15:00'],
    ['interview.timeline.xml', 'afterclap-xml', `>${241 * 2002}<`, `>${240 * 2002}<`],
  ])('slip the sound of %s and change nothing else', async (name, languageId, wrong, right) => {
    await connect();
    const uri = await openFile(name, languageId);
    const [lead] = await findings(uri);
    const [preferred] = (await actionsFor(uri, lead)).filter(({ isPreferred }) => isPreferred === true);
    const text = await workspace.read(name);
    expect(applied(text, preferred.edit)).toBe(text.replace(wrong, right));
    expect(preferred.title).toMatch(/^Slip .* 1 frame at 23\.976 \(41\.7 ms\)\)? later$/);
    expect(preferred).toMatchObject({ kind: 'quickfix', diagnostics: [{ code: 'sound-leads' }] });
    expect(preferred.edit.documentChanges[0].textDocument).toEqual({ uri, version: 7 });
  });

  it('are the same from a server that was started after the diagnostic was shown', async () => {
    await connect();
    const uri = await openFile('interview.otio');
    const [lead] = await findings(uri);
    const before = await actionsFor(uri, lead);
    client.kill();
    await connect();
    await openFile('interview.otio');
    expect(await actionsFor(uri, lead)).toEqual(before);
  });

  it('of one code are offered together, where there are several of it', async () => {
    await connect();
    const text = (await workspace.read('interview.otio')).replace('"value": 897', '"value": 901');
    const uri = workspace.uri('interview.otio');
    client.open(uri, 'otio', text, 7);
    const [lead] = await findings(uri);
    const [all, ...more] = (await actionsFor(uri, lead)).filter(({ title }) => title.startsWith('Make all'));
    expect([all.title, more]).toEqual(['Make all 2 safe fixes for sound-leads in this timeline', []]);
    expect(applied(text, all.edit)).toBe(text.replace('"value": 241', '"value": 240').replace('"value": 901', '"value": 900'));
    expect(all.isPreferred).toBeUndefined();
  });

  it('offer to slip every clip of the recording, without preferring it', async () => {
    await connect();
    const uri = await openFile('interview.otio');
    const [lead] = await findings(uri);
    const all = (await actionsFor(uri, lead)).find(({ title }) => title.startsWith('Slip all 2 clips of deck-01'));
    const text = await workspace.read('interview.otio');
    expect(applied(text, all.edit)).toBe(text.replace('"value": 241', '"value": 240').replace('"value": 897', '"value": 900'));
    expect(all.isPreferred).toBeUndefined();
  });

  it('carry plain changes for a client that takes no versions', async () => {
    const { workspace: abilities, ...rest } = PULLING_CLIENT;
    await connect({ capabilities: { ...rest, workspace: { ...abilities, workspaceEdit: {} } } });
    const uri = await openFile('interview.otio');
    const [lead] = await findings(uri);
    const [first] = await actionsFor(uri, lead);
    expect(Object.keys(first.edit.changes)).toEqual([uri]);
  });

  it('accept a finding in the text, with a reason to be written', async () => {
    await connect();
    const uri = await openFile('interview.edl', 'afterclap-edl');
    const [lead] = await findings(uri);
    const accept = (await actionsFor(uri, lead)).find(({ title }) => title.startsWith('Accept'));
    const text = applied(await workspace.read('interview.edl'), accept.edit);
    expect(text).toContain('* AFTERCLAP ACCEPT sound-leads: ');
  });

  it('accept it with the reason the person gave, where the client asks for one', async () => {
    await connect({ initializationOptions: { asksForReason: true } });
    const uri = await openFile('interview.edl', 'afterclap-edl');
    const [lead] = await findings(uri);
    const accept = (await actionsFor(uri, lead)).find(({ title }) => title.startsWith('Accept'));
    expect(accept.edit).toBeUndefined();
    const [argument] = accept.command.arguments;
    const { edit } = await client.result('afterclap/accept', { ...argument, reason: 'she looks away first' });
    const text = applied(await workspace.read('interview.edl'), edit);
    expect(text).toContain('* AFTERCLAP ACCEPT sound-leads: she looks away first');
    client.notify('textDocument/didChange', { textDocument: { uri, version: 8 }, contentChanges: [{ text }] });
    expect((await findings(uri)).map(({ code }) => code)).toEqual(['sound-lags']);
  });
});

describe('fix-all', () => {
  it('makes the safe fixes in one edit when asked for by its kind, and only then', async () => {
    await connect();
    const uri = await openFile('interview.edl', 'afterclap-edl');
    const [lead] = await findings(uri);
    const [fixAll, ...others] = await actionsFor(uri, lead, ['source.fixAll']);
    expect(others).toEqual([]);
    expect(fixAll.kind).toBe('source.fixAll.afterclap');
    const text = applied(await workspace.read('interview.edl'), fixAll.edit);
    client.notify('textDocument/didChange', { textDocument: { uri, version: 8 }, contentChanges: [{ text }] });
    expect(await findings(uri)).toEqual([]);
    const quick = await actionsFor(uri, lead, ['quickfix']);
    expect(quick.some(({ kind }) => kind !== 'quickfix')).toBe(false);
  });

  it('works as a command, through the client', async () => {
    await connect();
    client.answers.set('workspace/applyEdit', () => ({ applied: true }));
    const uri = await openFile('interview.otio');
    const answer = await client.result('workspace/executeCommand', { command: 'afterclap.applySafeFixes', arguments: [uri] });
    expect(answer.message).toMatch(/^2 safe fixes were made\. .*eye and ear/);
    const [sent] = client.all('workspace/applyEdit');
    const text = await workspace.read('interview.otio');
    expect(applied(text, sent?.params.edit)).toBe(
      text.replace('"value": 241', '"value": 240').replace('"value": 897', '"value": 900'),
    );
  });
});

/** An editor that has a folder open and takes the edit of an action only when the action is chosen. */
function resolvingClient(more: object = {}): object {
  const codeAction = { ...PULLING_CLIENT.textDocument.codeAction, dataSupport: true, resolveSupport: { properties: ['edit'] } };
  return {
    capabilities: { ...PULLING_CLIENT, textDocument: { ...PULLING_CLIENT.textDocument, codeAction }, ...more },
    workspaceFolders: [{ uri: workspace.uri(''), name: 'cut' }],
  };
}

const CUTS = ['interview.edl', 'interview.otio', 'interview.timeline.xml'];
const WIDER = /whole workspace/;

/** The first shot of the cut in the other formats as a playlist, its sound one frame early. */
const PLAYLIST = writeCpl({
  rate: [24000, 1001],
  media: [
    { file: 'CAM_A_0001.mov', stampFrames: 0, lengthFrames: 4320 },
    { file: 'DECK_0001.wav', stampFrames: 0, lengthFrames: 4320 },
  ],
  shots: [
    { recordIn: 0, length: 48, track: 'V1', media: 'CAM_A_0001.mov', sourceIn: 240 },
    { recordIn: 0, length: 48, track: 'A1', media: 'DECK_0001.wav', sourceIn: 241 },
  ],
});
/** XML Signature Syntax and Processing (W3C), 4.1: the element that makes a text a signed one. */
const SIGNED = PLAYLIST.replace(
  '</CompositionPlaylist>',
  '<ds:Signature xmlns:ds="http://www.w3.org/2000/09/xmldsig#"><ds:SignedInfo/></ds:Signature></CompositionPlaylist>',
);

describe('the fixes of one code in the whole workspace', () => {
  async function offered(name: string, context: object = {}): Promise<readonly Wire[]> {
    const uri = workspace.uri(name);
    const [lead] = (await findings(uri)).filter(({ code }) => code === 'sound-leads');
    const params = { textDocument: { uri }, range: lead.range, context: { diagnostics: [], triggerKind: 1, ...context } };
    return (await client.result('textDocument/codeAction', params)).filter(({ title }: Wire) => WIDER.test(title));
  }

  const resolved = (action: Wire): Promise<Wire> => client.result('codeAction/resolve', action);

  /** Finding codes by file, of all that is on the disk. */
  async function codesOnDisk(): Promise<Wire> {
    client.kill();
    await connect(resolvingClient());
    const { items } = await client.result('workspace/diagnostic', { previousResultIds: [] });
    return Object.fromEntries(items.map((item: Wire) => [nameOf(item.uri), item.items.map(({ code }: Wire) => code)]));
  }

  const nameOf = (uri: string): string => uri.slice(uri.lastIndexOf('/') + 1);

  it('are offered without a number, and worked out for every timeline, open or not, when they are chosen', async () => {
    await mkdir(join(workspace.folder, 'reel 2'));
    const names = [...CUTS, 'reel 2/later.edl', 'cut.cpl.xml', 'signed.cpl.xml'];
    await workspace.write('reel 2/later.edl', (await workspace.read('interview.edl')).replaceAll('\n', '\r\n'));
    await workspace.write('cut.cpl.xml', PLAYLIST);
    await workspace.write('signed.cpl.xml', SIGNED);
    await connect(resolvingClient());
    await openFile('interview.otio');
    const [action, ...more] = await offered('interview.otio');
    expect(more).toEqual([]);
    expect(action.title).toBe('Make all safe fixes for sound-leads in the whole workspace');
    expect(action.edit).toBeUndefined();

    const { edit, ...rest } = await resolved(action);
    expect(rest).toEqual(action);
    const versions = edit.documentChanges.map(({ textDocument: { uri, version } }: Wire) => [uri, version]);
    const changed = names.filter((name) => name !== 'signed.cpl.xml');
    const expected = changed.map((name) => [workspace.uri(name), name === 'interview.otio' ? 7 : null]);
    expect(versions.toSorted()).toEqual(expected.toSorted());

    const rightOf: Readonly<Record<string, readonly [string, string]>> = {
      'interview.edl': ['00:00:10:01 00:00:15:01', '00:00:10:00 00:00:15:00'],
      'interview.otio': ['"value": 241', '"value": 240'],
      'interview.timeline.xml': [`>${241 * 2002}<`, `>${240 * 2002}<`],
      'reel 2/later.edl': ['00:00:10:01 00:00:15:01', '00:00:10:00 00:00:15:00'],
      'cut.cpl.xml': [`>${241 * 2002}<`, `>${240 * 2002}<`],
    };
    for (const name of changed) {
      const text = await workspace.read(name);
      const change = edit.documentChanges.find(({ textDocument }: Wire) => textDocument.uri === workspace.uri(name));
      const [wrong, right] = rightOf[name] as readonly [string, string];
      const fixed = applied(text, { documentChanges: [change] });
      expect(fixed).toBe(text.replace(wrong, right));
      await workspace.write(name, fixed);
    }
    expect(await codesOnDisk()).toMatchObject({
      'interview.edl': ['sound-lags'],
      'interview.otio': ['sound-lags'],
      'interview.timeline.xml': ['sound-lags'],
      'later.edl': ['sound-lags'],
      'cut.cpl.xml': [],
    });
  });

  it('are none where all have been made since, and that is an error in words', async () => {
    await connect(resolvingClient());
    await openFile('interview.otio');
    const [action] = await offered('interview.otio');
    for (const name of CUTS) {
      const text = (await workspace.read(name)).replace('"value": 241', '"value": 240').replace(`>${241 * 2002}<`, '>480480<');
      await workspace.write(name, text.replace('00:00:10:01 00:00:15:01', '00:00:10:00 00:00:15:00'));
    }
    const uri = workspace.uri('interview.otio');
    const contentChanges = [{ text: await workspace.read('interview.otio') }];
    client.notify('textDocument/didChange', { textDocument: { uri, version: 8 }, contentChanges });
    const { error } = await client.request('codeAction/resolve', action);
    expect(error).toMatchObject({
      code: -32803,
      message: expect.stringMatching(/no timeline .* sound-leads .* nothing was changed/i),
    });
  });

  it('need nothing of the server that offered them', async () => {
    await connect(resolvingClient());
    await openFile('interview.otio');
    const [action] = await offered('interview.otio');
    client.kill();
    await connect(resolvingClient());
    expect((await resolved(action)).edit.documentChanges).toHaveLength(3);
  });

  it('leave out the text of a file that was deleted', async () => {
    await connect(resolvingClient());
    await openFile('interview.otio');
    const [action] = await offered('interview.otio');
    await workspace.remove('interview.otio');
    client.notify('workspace/didChangeWatchedFiles', { changes: [{ uri: workspace.uri('interview.otio'), type: 3 }] });
    const { edit } = await resolved(action);
    expect(edit.documentChanges.map(({ textDocument }: Wire) => nameOf(textDocument.uri))).toEqual([
      'interview.edl',
      'interview.timeline.xml',
    ]);
  });

  it('come as plain changes where the client takes no versions', async () => {
    const { workspaceEdit: _, ...others } = PULLING_CLIENT.workspace;
    await connect(resolvingClient({ workspace: others }));
    await openFile('interview.edl');
    const [action] = await offered('interview.edl');
    const { edit } = await resolved(action);
    expect(Object.keys(edit.changes).map(nameOf)).toEqual(CUTS);
  });

  it('are given up when the client takes its question back', async () => {
    for (let number = 0; number < 60; number += 1)
      await workspace.write(`cut${number}.edl`, await workspace.read('interview.edl'));
    await connect(resolvingClient());
    const { id, answer } = client.ask('codeAction/resolve', { title: 'all', data: { code: 'sound-leads' } });
    client.notify('$/cancelRequest', { id });
    expect((await answer).error?.code).toBe(-32800);
  });

  it('are offered to nobody who could not take them: no resolving, no folder, no person who asks', async () => {
    await connect({ workspaceFolders: [{ uri: workspace.uri(''), name: 'cut' }] });
    await openFile('interview.otio');
    expect(await offered('interview.otio')).toEqual([]);
    expect((await client.request('codeAction/resolve', { title: 'any' })).error?.code).toBe(-32601);
    client.kill();
    await connect({ ...resolvingClient(), workspaceFolders: null });
    await openFile('interview.otio');
    expect(await offered('interview.otio')).toEqual([]);
    client.kill();
    await connect(resolvingClient());
    await openFile('interview.otio');
    expect(await offered('interview.otio', { triggerKind: 2 })).toEqual([]);
    expect(await offered('interview.otio', { only: ['source.fixAll'] })).toEqual([]);
  });

  it('do not touch other actions that are resolved', async () => {
    await connect(resolvingClient());
    for (const data of [undefined, null, 7, { code: 'no-such-code' }, { code: ['sound-leads'] }]) {
      const action = { title: 'of somebody else', ...(data === undefined ? {} : { data }) };
      expect(await resolved(action)).toEqual(action);
    }
  });
});

describe('the fixes of the whole workspace, for a client that asks the person', () => {
  const asking = (): object => ({ ...resolvingClient(), initializationOptions: { asksBeforeFixing: true } });
  const countsOf = ({ timelines }: Wire): Wire =>
    timelines.map(({ fixCount, change }: Wire) => [change.textDocument.uri.split('/').at(-1), fixCount, change.edits.length]);

  it('are offered as its own command', async () => {
    await connect(asking());
    const uri = await openFile('interview.otio');
    const [lead] = await findings(uri);
    const [action] = (await actionsFor(uri, lead)).filter(({ title }) => WIDER.test(title));
    expect(action).toMatchObject({
      title: 'Make all safe fixes for sound-leads in the whole workspace…',
      command: { command: 'afterclap.fixAllSafeInWorkspace', arguments: ['sound-leads'] },
    });
  });

  it('are counted by timeline, of one code and of all, with progress', async () => {
    await connect(asking());
    const uri = await openFile('interview.edl', 'afterclap-edl');
    const leads = await client.result('afterclap/workspaceFixes', { code: 'sound-leads', workDoneToken: 'fixes' });
    // A list writes where a clip begins and where it ends.
    expect(countsOf(leads)).toEqual([
      ['interview.edl', 1, 2],
      ['interview.otio', 1, 1],
      ['interview.timeline.xml', 1, 1],
    ]);
    const told = client.all('$/progress').map(({ params }) => params.value);
    expect(told.map(({ kind }) => kind)).toEqual(['begin', 'report', 'report', 'report', 'end']);
    expect(told[3]).toMatchObject({ percentage: 100, message: '3 of 3, interview.timeline.xml' });
    const all = await client.result('afterclap/workspaceFixes', { code: null });
    expect(all.timelines.map(({ fixCount }: Wire) => fixCount)).toEqual([2, 2, 2]);
    expect(all.unread).toEqual([]);
    expect(all.timelines[0].change.textDocument).toEqual({ uri, version: 7 });
    expect(await client.result('afterclap/workspaceFixes', { code: 'no-such-code' })).toEqual({
      timelines: [],
      unread: [],
      notUtf8: [],
    });
  });

  it('leave a list in Windows-1252 as it is unless an editor has read it rightly, and name it', async () => {
    const text = (await workspace.read('interview.edl')).replace('TITLE: ', 'TITLE: Caf\u00e9 ');
    await writeFile(join(workspace.folder, 'old.edl'), text, 'latin1');
    await connect(asking());
    const closed = await client.result('afterclap/workspaceFixes', { code: 'sound-leads' });
    expect(closed.notUtf8).toEqual(['old.edl']);
    expect(countsOf(closed).map(([name]: Wire) => name)).not.toContain('old.edl');
    client.open(workspace.uri('old.edl'), 'afterclap-edl', text.replace('\u00e9', '\ufffd'), 1);
    expect((await client.result('afterclap/workspaceFixes', { code: 'sound-leads' })).notUtf8).toEqual(['old.edl']);
    client.notify('textDocument/didClose', { textDocument: { uri: workspace.uri('old.edl') } });
    client.open(workspace.uri('old.edl'), 'afterclap-edl', text, 1);
    const open = await client.result('afterclap/workspaceFixes', { code: 'sound-leads' });
    expect(open.notUtf8).toEqual([]);
    expect(countsOf(open)).toContainEqual(['old.edl', 1, 2]);
  });

  it('count the columns of a first line as an editor does, which takes a byte order mark off', async () => {
    const plain = JSON.stringify(JSON.parse(await workspace.read('interview.otio')));
    await workspace.write('marked.otio', `\ufeff${plain}`);
    await connect(asking());
    const { timelines } = await client.result('afterclap/workspaceFixes', { code: 'sound-leads' });
    const { change } = timelines.find((one: Wire) => one.change.textDocument.uri === workspace.uri('marked.otio'));
    expect(applied(plain, { documentChanges: [change] })).toBe(plain.replace('"value":241', '"value":240'));
  });

  it('tell which timelines could not be read', async () => {
    await workspace.write('binary.otio', '\u0000\u0001\u0000\u0002'.repeat(100));
    await connect(asking());
    expect((await client.result('afterclap/workspaceFixes', { code: null })).unread).toEqual(['binary.otio']);
  });
});

describe('hover', () => {
  it('answers in Markdown, headline first', async () => {
    await connect();
    const uri = await openFile('interview.otio');
    const [lead] = await findings(uri);
    const { contents } = await client.result('textDocument/hover', { textDocument: { uri }, position: lead.range.start });
    expect(contents.kind).toBe('markdown');
    expect(contents.value).toMatch(/^\*\*deck-01 leads cam-a-01 by 1 frame \(41\.7 ms, 2002 samples\)\.\*\*/);
  });

  it('answers in plain text where the client renders nothing else', async () => {
    await connect({ capabilities: { textDocument: { diagnostic: {}, hover: { contentFormat: ['plaintext'] } } } });
    const uri = await openFile('interview.otio');
    const [lead] = await findings(uri);
    const { contents } = await client.result('textDocument/hover', { textDocument: { uri }, position: lead.range.start });
    expect(contents.kind).toBe('plaintext');
    expect(contents.value).not.toMatch(/[|*]/);
  });
});

describe('status', () => {
  it('says which report is used and why, to clients that want to know', async () => {
    await connect({ initializationOptions: { showsStatus: true } });
    const told = client.nextNotification('afterclap/status');
    const uri = await openFile('interview.otio');
    await findings(uri);
    const status = await told;
    expect(status).toMatchObject({
      uri,
      version: 7,
      reports: [{ label: 'day1.alignment.json', uri: workspace.uri('day1.alignment.json') }],
      reportReason: "day1.alignment.json is used: the only report in the timeline's folder.",
      errorCount: 2,
      comparisonCount: 4,
    });
    expect(await client.result('afterclap/statusOf', { uri })).toEqual(status);
  });

  it('is sent to nobody else', async () => {
    await connect();
    const uri = await openFile('interview.otio');
    await findings(uri);
    expect(client.all('afterclap/status')).toEqual([]);
  });
});
