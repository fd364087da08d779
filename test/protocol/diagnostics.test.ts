/**
 * Diagnostics as a client gets them, pushed and pulled, over the bundled server. The fixtures hold a lead of one frame and a lag
 * of three frames at 24000/1001: 2002 and 6006 samples at 48 kHz (SMPTE ST 12-1 rates: 48000 x 1001/24000 = 2002 a frame).
 */

import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { type Wire, WireClient } from './wireClient.ts';
import { makeWorkspace, PULLING_CLIENT, PUSHED_CLIENT, type Workspace } from './workspace.ts';

let workspace: Workspace;
let client: WireClient;

beforeEach(async () => {
  workspace = await makeWorkspace();
});

afterEach(async () => {
  client.kill();
  await workspace.discard();
});

const FILES = [
  ['interview.otio', 'otio'],
  ['interview.edl', 'afterclap-edl'],
  ['interview.timeline.xml', 'afterclap-xml'],
] as const;

async function connect(capabilities: object, more: object = {}): Promise<void> {
  client = await WireClient.ready({
    capabilities,
    workspaceFolders: [{ uri: workspace.uri(''), name: 'cut' }],
    ...more,
  });
}

async function openFile(name: string, languageId = 'otio'): Promise<string> {
  const uri = workspace.uri(name);
  client.open(uri, languageId, await workspace.read(name));
  return uri;
}

function pull(uri: string, previousResultId?: string): Promise<Wire> {
  return client.result('textDocument/diagnostic', { textDocument: { uri }, previousResultId });
}

function codesOf(items: readonly Wire[]): readonly string[] {
  return items.map(({ code }) => code);
}

describe('a client that asks', () => {
  it.each(FILES)('gets the two findings of %s, on the numbers that are wrong', async (name, languageId) => {
    await connect(PULLING_CLIENT);
    const uri = await openFile(name, languageId);
    const { kind, items } = await pull(uri);
    expect(kind).toBe('full');
    expect(codesOf(items)).toEqual(['sound-leads', 'sound-lags']);
    const lines = (await workspace.read(name)).split('\n');
    const underlined = items.map(({ range }: Wire) => lines[range.start.line]?.slice(range.start.character, range.end.character));
    const expected = { 'interview.otio': ['241', '897'], 'interview.edl': ['00:00:10:01', '00:00:37:09'] } as Record<
      string,
      string[]
    >;
    expect(underlined).toEqual(expected[name] ?? [String(241 * 2002), String(897 * 2002)]);
    expect(items[0].message).toContain('2002 samples');
    expect(items[1].message).toContain('6006 samples');
    expect(client.all('textDocument/publishDiagnostics')).toEqual([]);
  });

  it('gets everything a finding has: page, related places, data', async () => {
    await connect(PULLING_CLIENT);
    const { items } = await pull(await openFile('interview.otio'));
    const [lead] = items;
    expect(lead).toMatchObject({ source: 'afterclap', severity: 1, data: { code: 'sound-leads' } });
    expect(lead.codeDescription === undefined || lead.codeDescription.href.endsWith('/sound-leads.md')).toBe(true);
    const places = lead.relatedInformation.map(({ location }: Wire) => location.uri);
    expect(places).toEqual([workspace.uri('interview.otio'), workspace.uri('day1.alignment.json')]);
    const report = (await workspace.read('day1.alignment.json')).split('\n');
    const { start } = lead.relatedInformation[1].location.range;
    expect(report.slice(start.line, start.line + 2).join(' ')).toContain('"picture": "cam-a-01"');
  });

  it("is told 'unchanged' as long as nothing comes out differently", async () => {
    await connect(PULLING_CLIENT);
    const uri = await openFile('interview.edl', 'afterclap-edl');
    const { resultId } = await pull(uri);
    expect(await pull(uri, resultId)).toEqual({ kind: 'unchanged', resultId });
    // A remark at the end of the list moves no finding.
    const end = { line: 999, character: 0 };
    const contentChanges = [{ range: { start: end, end }, text: '* LOCKED\n' }];
    client.notify('textDocument/didChange', { textDocument: { uri, version: 2 }, contentChanges });
    expect(await pull(uri, resultId)).toEqual({ kind: 'unchanged', resultId });
    expect((await pull(uri, 'of another run')).kind).toBe('full');
  });

  it('sees a finding go when the number is put right by hand', async () => {
    await connect(PULLING_CLIENT);
    const uri = await openFile('interview.edl', 'afterclap-edl');
    const { items } = await pull(uri);
    const { range } = items[0];
    client.notify('textDocument/didChange', {
      textDocument: { uri, version: 2 },
      contentChanges: [{ range, text: '00:00:10:00' }],
    });
    expect(codesOf((await pull(uri)).items)).not.toContain('sound-leads');
  });

  it('may ask about a timeline that is not open', async () => {
    await connect(PULLING_CLIENT);
    expect(codesOf((await pull(workspace.uri('interview.otio'))).items)).toEqual(['sound-leads', 'sound-lags']);
  });

  it('is told to ask again when the report changes on disk, and then hears of the change', async () => {
    await connect(PULLING_CLIENT);
    const uri = await openFile('interview.otio');
    await pull(uri);
    const report = await workspace.read('day1.alignment.json');
    // The clap heard one frame later: what led is right now, what was right lags.
    await workspace.write('day1.alignment.json', report.replace('"sample": 264264', '"sample": 266266'));
    const refresh = client.next(({ method }) => method === 'workspace/diagnostic/refresh', 'a refresh');
    client.notify('workspace/didChangeWatchedFiles', { changes: [{ uri: workspace.uri('day1.alignment.json'), type: 2 }] });
    await refresh;
    expect(codesOf((await pull(uri)).items)).not.toContain('sound-leads');
  });

  it('gets findings against the unsaved text of a report, and the old ones back when it is closed', async () => {
    await connect(PULLING_CLIENT);
    const uri = await openFile('interview.otio');
    const before = await pull(uri);
    const reportUri = workspace.uri('day1.alignment.json');
    const refreshed = client.next(({ method }) => method === 'workspace/diagnostic/refresh', 'a refresh');
    client.open(reportUri, 'json', (await workspace.read('day1.alignment.json')).replace('"sample": 264264', '"sample": 266266'));
    await refreshed;
    expect(codesOf((await pull(uri)).items)).not.toContain('sound-leads');
    client.notify('textDocument/didClose', { textDocument: { uri: reportUri } });
    expect(codesOf((await pull(uri)).items)).toEqual(codesOf(before.items));
  });

  it('hears of a report that was deleted: nothing can be said against it any more', async () => {
    await connect(PULLING_CLIENT);
    const uri = await openFile('interview.otio');
    await pull(uri);
    await workspace.remove('day1.alignment.json');
    client.notify('workspace/didChangeWatchedFiles', { changes: [{ uri: workspace.uri('day1.alignment.json'), type: 3 }] });
    const codes = codesOf((await pull(uri)).items);
    expect(codes).not.toContain('sound-leads');
    expect(codes).not.toContain('sound-lags');
  });

  it('hears of it too while the editor still holds the text of that report, until somebody types in it', async () => {
    await connect(PULLING_CLIENT);
    const uri = await openFile('interview.otio');
    const report = workspace.uri('day1.alignment.json');
    const text = await workspace.read('day1.alignment.json');
    client.open(report, 'json', text);
    expect(codesOf((await pull(uri)).items)).toContain('sound-leads');
    await workspace.remove('day1.alignment.json');
    client.notify('workspace/didChangeWatchedFiles', { changes: [{ uri: report, type: 3 }] });
    expect(codesOf((await pull(uri)).items)).not.toContain('sound-leads');
    client.notify('textDocument/didChange', {
      textDocument: { uri: report, version: 2 },
      contentChanges: [{ text: `${text} ` }],
    });
    expect(codesOf((await pull(uri)).items)).toContain('sound-leads');
  });

  it('gets the findings of a report on itself', async () => {
    await connect(PULLING_CLIENT);
    const uri = workspace.uri('day1.alignment.json');
    client.open(
      uri,
      'json',
      (await workspace.read('day1.alignment.json')).replace('"picture": "cam-a-01"', '"picture": "cam-z-99"'),
    );
    const { items } = await pull(uri);
    expect(codesOf(items)).toContain('report-invalid');
    expect(items[0].message).toContain('cam-z-99');
  });

  it('is told on the timeline that its report has errors, with a link to them', async () => {
    await connect(PULLING_CLIENT);
    const report = await workspace.read('day1.alignment.json');
    await workspace.write('day1.alignment.json', report.replace('"picture": "cam-a-01"', '"picture": "cam-z-99"'));
    const { items } = await pull(await openFile('interview.otio'));
    const told = items.find(({ code }: Wire) => code === 'report-invalid');
    expect(told.message).toMatch(/^In day1\.alignment\.json: .*cam-z-99/);
    expect(told.relatedInformation[0].location.uri).toBe(workspace.uri('day1.alignment.json'));
  });

  it('gets what is said of the report with the timeline, when it takes related documents', async () => {
    await workspace.write('day1.alignment.json', '{ "alignment": 1, "pictures": {}, "sounds": {}, "pairs": 3 }');
    const textDocument = { ...PULLING_CLIENT.textDocument, diagnostic: { relatedDocumentSupport: true } };
    client = await WireClient.ready({ capabilities: { ...PULLING_CLIENT, textDocument } });
    const uri = await openFile('interview.otio');
    const { relatedDocuments } = await client.result('textDocument/diagnostic', { textDocument: { uri } });
    const report = workspace.uri('day1.alignment.json');
    expect(Object.keys(relatedDocuments)).toEqual([report]);
    expect(relatedDocuments[report]).toMatchObject({ kind: 'full', items: [{ code: 'report-invalid' }] });
  });

  it('gets the findings of a settings file on itself, a missing report among them', async () => {
    await connect(PULLING_CLIENT);
    const uri = workspace.uri('afterclap.json');
    const text = '{ "alignment": ["day2.alignment.json"] }\n';
    client.open(uri, 'json', text);
    const { items } = await pull(uri);
    expect(codesOf(items)).toEqual(['report-invalid']);
    expect(items[0].range.start.character).toBe(text.indexOf('"day2'));
  });

  it('is asked to watch reports, settings and timelines', async () => {
    client = await WireClient.start();
    await client.request('initialize', { capabilities: PULLING_CLIENT });
    const registered = client.next(({ method }) => method === 'client/registerCapability', 'a registration');
    client.notify('initialized', {});
    const [registration] = (await registered).params.registrations;
    const patterns = registration.registerOptions.watchers.map(({ globPattern }: Wire) => globPattern);
    expect(registration.method).toBe('workspace/didChangeWatchedFiles');
    expect(patterns).toEqual(expect.arrayContaining(['**/*.alignment.json', '**/afterclap.json', '**/*.otio']));
  });
});

describe('a client that waits to be told', () => {
  it('is told at once on opening, with the version, and again after a change, never with an empty set in between', async () => {
    await connect(PUSHED_CLIENT);
    const uri = workspace.uri('interview.edl');
    const first = client.nextNotification('textDocument/publishDiagnostics');
    await openFile('interview.edl', 'afterclap-edl');
    expect(await first).toMatchObject({ uri, version: 1 });
    const top = { line: 0, character: 0 };
    const contentChanges = [{ range: { start: top, end: top }, text: '* A REMARK\n' }];
    const second = client.nextNotification('textDocument/publishDiagnostics');
    client.notify('textDocument/didChange', { textDocument: { uri, version: 2 }, contentChanges });
    expect(await second).toMatchObject({ version: 2 });
    const counts = client.all('textDocument/publishDiagnostics').map(({ params }) => params.diagnostics.length);
    expect(counts).toEqual([2, 2]);
  });

  it('is told once for many key presses in a row, about the last', async () => {
    await connect(PUSHED_CLIENT);
    const uri = await openFile('interview.edl', 'afterclap-edl');
    await client.nextNotification('textDocument/publishDiagnostics');
    const top = { line: 0, character: 0 };
    const last = client.nextNotification('textDocument/publishDiagnostics', ({ version }) => version === 11);
    for (let version = 2; version <= 11; version += 1) {
      const contentChanges = [{ range: { start: top, end: top }, text: '*' }];
      client.notify('textDocument/didChange', { textDocument: { uri, version }, contentChanges });
    }
    await last;
    const versions = client.all('textDocument/publishDiagnostics').map(({ params }) => params.version);
    expect(versions).toEqual([1, 11]);
  });

  it('is told about open timelines when their report changes on disk', async () => {
    await connect(PUSHED_CLIENT);
    await openFile('interview.otio');
    await client.nextNotification('textDocument/publishDiagnostics');
    const again = client.nextNotification('textDocument/publishDiagnostics');
    await workspace.remove('day1.alignment.json');
    client.notify('workspace/didChangeWatchedFiles', { changes: [{ uri: workspace.uri('day1.alignment.json'), type: 3 }] });
    expect(codesOf((await again).diagnostics)).not.toContain('sound-leads');
  });

  it('is told that a closed document has nothing', async () => {
    await connect(PUSHED_CLIENT);
    const uri = await openFile('interview.otio');
    await client.nextNotification('textDocument/publishDiagnostics');
    const cleared = client.nextNotification('textDocument/publishDiagnostics');
    client.notify('textDocument/didClose', { textDocument: { uri } });
    expect(await cleared).toEqual({ uri, diagnostics: [] });
  });

  it('gets no more than it says it can show', async () => {
    await connect({});
    await openFile('interview.otio');
    const { diagnostics, version } = await client.nextNotification('textDocument/publishDiagnostics');
    expect(version).toBeUndefined();
    expect(Object.keys(diagnostics[0]).sort()).toEqual(['code', 'message', 'range', 'severity', 'source']);
  });
});

describe('columns', () => {
  it.each([
    ['utf-8', 4],
    ['utf-16', 2],
    ['utf-32', 1],
  ])('count an emoji before the place as %s does', async (unit, width) => {
    await connect({ ...PULLING_CLIENT, general: { positionEncodings: [unit] } });
    const uri = workspace.uri('interview.otio');
    // The whole timeline on one line, a clapper in its name before everything else.
    const text = JSON.stringify(JSON.parse((await workspace.read('interview.otio')).replace('Workshop interview', '🎬')));
    client.open(uri, 'otio', text);
    const { items } = await pull(uri);
    const place = text.indexOf('"value":241') + '"value":'.length;
    expect(items[0].range.start).toEqual({ line: 0, character: place - 2 + width });
    const hover = await client.result('textDocument/hover', { textDocument: { uri }, position: items[0].range.start });
    expect(hover.range).toEqual(items[0].range);
  });

  it('outside the text are taken for its end', async () => {
    await connect(PULLING_CLIENT);
    const uri = await openFile('interview.otio');
    const far = { line: 4_000_000, character: 4_000_000 };
    expect(await client.result('textDocument/hover', { textDocument: { uri }, position: far })).toBeNull();
    const range = { start: { line: -1, character: -1 }, end: far };
    const context = { diagnostics: [] };
    expect((await client.result('textDocument/codeAction', { textDocument: { uri }, range, context })).length).toBeGreaterThan(0);
  });
});

describe('a timeline with more findings than an editor shows', () => {
  it('gets a thousand diagnostics, the first of which says what was left out', async () => {
    await connect(PULLING_CLIENT);
    const uri = workspace.uri('many.edl');
    // Second after second of picture and sound, each sound one frame early.
    const label = (frame: number): string =>
      [frame / 86400, (frame / 1440) % 60, (frame / 24) % 60, frame % 24]
        .map((field) => String(Math.floor(field)).padStart(2, '0'))
        .join(':');
    const stamp = 24 * (14 * 3600 + 3 * 60 + 20);
    const events = Array.from({ length: 1500 }, (_, index) => {
      const [source, record] = [2 * index, 24 * index];
      const times = (start: number): string => `${label(start)} ${label(start + 24)} ${label(record)} ${label(record + 24)}`;
      return `${2 * index + 1}  CAMA0001 V  C  ${times(stamp + source)}\n${2 * index + 2}  DECK0001 A  C  ${times(source + 1)}`;
    });
    client.open(uri, 'afterclap-edl', `TITLE: MANY\nFCM: NON-DROP FRAME\n${events.join('\n')}\n`);
    const { items } = await pull(uri);
    expect(items).toHaveLength(1000);
    expect(items[0]).toMatchObject({ severity: 3, message: expect.stringMatching(/only the 999 gravest are shown/) });
  });
});
