/**
 * Quick fixes, fix-all, acceptance, hover and status over the bundled server.
 */

import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { TextDocument } from 'vscode-languageserver-textdocument';
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
