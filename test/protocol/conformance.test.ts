/**
 * Everything the server says it can do, done on every kind of file: each answer is held against the protocol's declarations (by the
 * client, as in every test here), every place against the text it stands in, and what the declarations can't say is held to the words
 * of the protocol. What is announced nowhere is refused.
 *
 * Source: Language Server Protocol 3.17, the page of each method.
 */

import { mkdir } from 'node:fs/promises';
import { join } from 'node:path';
import { afterEach, describe, expect, it } from 'vitest';
import { writeCpl } from '../support/cplCut.ts';
import { type TestCut, writeEdl, writeOtio, writeXml } from '../support/cut.ts';
import { writeTestReport } from '../support/report.ts';
import { FULL_CLIENT } from './features.ts';
import { protocolModel } from './model/protocolModel.ts';
import { type ColumnUnit, offsetOf, type Place, strayPlaces } from './placesIn.ts';
import { type Wire, WireClient } from './wireClient.ts';
import { makeWorkspace, type Workspace } from './workspace.ts';

const METHOD_NOT_FOUND = -32601;
const RENAME_REFUSED = -32803;
const REQUEST_CANCELLED = -32800;
const UNITS: readonly ColumnUnit[] = ['utf-8', 'utf-16', 'utf-32'];

/** Names with characters of one to four bytes; the sound of the first shot one frame early, of the third three late. */
const CUT: TestCut = {
  rate: [24, 1],
  media: [
    { file: 'cam.mov', stampFrames: 0, lengthFrames: 4000 },
    { file: 'deck.wav', stampFrames: 0, lengthFrames: 4000 },
  ],
  shots: [100, 300, 600].flatMap((sourceIn, at) => {
    const [name, slip] =
      (
        [
          ['\u{1F3AC} Frage', 1],
          ['Antwort \u00e9\u20ac', 0],
          ['Werkst\u00e4tte \u{1F1E6}\u{1F1F9}', -3],
        ] as const
      )[at] ?? [];
    const shot = { recordIn: at * 60, length: 50, name: String(name) };
    return [
      { ...shot, track: 'V1', media: 'cam.mov', sourceIn },
      { ...shot, track: 'A1', media: 'deck.wav', sourceIn: sourceIn + Number(slip) },
    ];
  }),
};

const REPORT = writeTestReport({
  pictures: { '\u{1F3A5} cam': { names: ['cam.mov'], rate: '24', frames: 4000 } },
  sounds: { 'd\u00e9ck': { names: ['deck.wav'], sampleRate: 48000, samples: 8_000_000, claps: [48000] } },
  pairs: [{ picture: '\u{1F3A5} cam', sound: 'd\u00e9ck', frame: 24, sample: 48000 }],
});

const INSTANT = { OTIO_SCHEMA: 'RationalTime.1', rate: 24, value: 0 };
const MARKER = {
  OTIO_SCHEMA: 'Marker.2',
  name: '\u{1F3AC}',
  color: 'RED',
  marked_range: { OTIO_SCHEMA: 'TimeRange.1', start_time: INSTANT, duration: INSTANT },
};

/** Each format as its writers leave it, and those that may be on one line. */
const TEXTS: Readonly<Record<string, string>> = {
  'cut.otio': writeOtio(CUT),
  'line.otio': JSON.stringify(JSON.parse(writeOtio(CUT))),
  'cut.timeline.xml': writeXml(CUT),
  'line.timeline.xml': writeXml(CUT).replace(/>\s+</g, '><'),
  'cut.edl': writeEdl(CUT),
  'untidy.edl': writeEdl(CUT).replaceAll('     C        ', ' C '),
  'crlf.edl': writeEdl(CUT).replaceAll('\n', '\r\n'),
  'cut.cpl.xml': writeCpl(CUT),
  'markers.otio': writeOtio(CUT).replace('"OTIO_SCHEMA": "Clip.2"', `$&, "markers": ${JSON.stringify([MARKER, MARKER])}`),
  'markers.edl': `${writeEdl(CUT)}* LOC: 00:00:01:00 green \u{1F3AC}\n`,
  'day.alignment.json': REPORT,
  'afterclap.json': '{ "alignment": ["day.alignment.json"], "rules": { "no-sound": "warning" }, "note": "\u{1F3AC}" }\n',
  'broken.otio': `{ "name": "\u{1F3AC}", ${writeOtio(CUT).slice(2, 3000)}`,
  'broken.edl': writeEdl(CUT).replaceAll('00:00', '0\u{1F3AC}:00'),
  'empty.timeline.xml': '',
};

const model = protocolModel();
/** Methods that were used, and requests that were answered with something. */
const tried = new Set<string>();
const answered = new Set<string>();
let workspace: Workspace;
let client: WireClient;

afterEach(async () => {
  client.kill();
  await workspace.discard();
});

const RESOLVING = {
  ...FULL_CLIENT.textDocument.codeAction,
  dataSupport: true,
  resolveSupport: { properties: ['edit'] },
};

async function start(unit: ColumnUnit): Promise<Wire> {
  workspace = await makeWorkspace();
  for (const name of ['interview.otio', 'interview.edl', 'interview.timeline.xml', 'day1.alignment.json'])
    await workspace.remove(name);
  for (const [name, text] of Object.entries(TEXTS)) await workspace.write(name, text);
  await mkdir(join(workspace.folder, 'media'));
  await workspace.write('media/cam.mov', '');
  client = await WireClient.start();
  client.answers.set('workspace/configuration', ({ items }) => items.map(() => ({ inlayHints: 'all' })));
  client.answers.set('workspace/applyEdit', () => ({ applied: true }));
  const { capabilities } = await client.result('initialize', {
    processId: process.pid,
    rootUri: null,
    capabilities: {
      ...FULL_CLIENT,
      textDocument: { ...FULL_CLIENT.textDocument, codeAction: RESOLVING },
      general: { positionEncodings: [unit] },
      window: { workDoneProgress: true },
    },
    workspaceFolders: [{ uri: workspace.uri(''), name: 'cut' }],
  });
  tell('initialized', {});
  return capabilities;
}

function tell(method: string, params: object): void {
  tried.add(method);
  client.notify(method, params);
}

async function ask(method: string, params: object): Promise<Wire> {
  tried.add(method);
  const result = await client.result(method, params);
  if (!isEmpty(result)) answered.add(method);
  return result;
}

function isEmpty(result: Wire): boolean {
  return result === null || (result.items ?? result.data ?? result).length === 0;
}

function textOf(uri: string): string | undefined {
  return TEXTS[decodeURIComponent(uri.slice(uri.lastIndexOf('/') + 1))];
}

/** The starts of words and numbers, evenly picked: enough to meet every kind of place. */
function placesOf(text: string, unit: ColumnUnit): readonly Place[] {
  const offsets = [...text.matchAll(/[\p{L}\p{N}\p{S}]+/gu)].map(({ index }) => index);
  const step = Math.max(1, Math.floor(offsets.length / 16));
  return offsets.filter((_, at) => at % step === 0).map((offset) => placeAt(text, offset, unit));
}

function placeAt(text: string, offset: number, unit: ColumnUnit): Place {
  const before = text.slice(0, offset).split(/\r\n|\n|\r/);
  const last = before.at(-1) ?? '';
  const character = { 'utf-8': Buffer.byteLength(last), 'utf-16': last.length, 'utf-32': [...last].length }[unit];
  return { line: before.length - 1, character };
}

describe.each(UNITS)('everything that is announced, in %s columns', (unit) => {
  it('is answered on every kind of file as the protocol says', async () => {
    const capabilities = await start(unit);
    expect(capabilities.positionEncoding).toBe(unit);
    for (const [name, text] of Object.entries(TEXTS)) {
      const uri = workspace.uri(name);
      tell('textDocument/didOpen', { textDocument: { uri, languageId: 'any', version: 1, text } });
      await tryDocument(uri, text, unit, capabilities.semanticTokensProvider.legend.tokenTypes);
    }
    await tryWorkspace(unit);
    for (const name of Object.keys(TEXTS)) {
      const textDocument = { uri: workspace.uri(name) };
      tell('textDocument/didChange', { textDocument: { ...textDocument, version: 2 }, contentChanges: [{ text: TEXTS[name] }] });
      tell('textDocument/didSave', { textDocument });
      tell('textDocument/didClose', { textDocument });
    }
    expect(await client.stop()).toBe(0);
    expect(client.check.unanswered()).toEqual([]);
    const announced = announcedIn(capabilities);
    expect(announced.filter((method) => !tried.has(method))).toEqual([]);
    // Answers of nothing would be right about everything.
    const requests = announced.filter((method) => model.methods.get(method)?.isRequest === true);
    expect(requests.filter((method) => !answered.has(method))).toEqual([]);
    expect(announced.length).toBeGreaterThan(20);
  });
});

describe('what is asked with a token', () => {
  it('comes whole or in parts, and is the same', async () => {
    const capabilities = await start('utf-16');
    const uri = workspace.uri('line.otio');
    client.open(uri, 'otio', TEXTS['line.otio'] as string);
    const inParts = announcedIn(capabilities).filter((method) => model.methods.get(method)?.partialResult !== null);
    const requests = inParts.filter((method) => model.methods.get(method)?.isRequest === true);
    expect(requests).toEqual(expect.arrayContaining(['textDocument/references', 'workspace/diagnostic', 'workspace/symbol']));
    for (const method of requests) {
      const whole = await client.result(method, questionAbout(uri));
      const tokens = { partialResultToken: `parts of ${method}`, workDoneToken: `work for ${method}` };
      const rest = await client.result(method, { ...questionAbout(uri), ...tokens });
      const parts = client
        .all('$/progress')
        .filter(({ params }) => params.token === tokens.partialResultToken)
        .map(({ params }) => params.value);
      const kinds = client
        .all('$/progress')
        .filter(({ params }) => params.token === tokens.workDoneToken)
        .map(({ params }) => params.value.kind);
      const list = (each: Wire): Wire => each?.items ?? each;
      if (parts.length > 0) expect([...parts.flatMap(list), ...list(rest)], method).toEqual(list(whole));
      else expect(rest, method).toEqual(whole);
      if (kinds.length > 0) expect([kinds[0], kinds.at(-1)], method).toEqual(['begin', 'end']);
    }
  });
});

describe('everything at once', () => {
  it('is answered, and what is taken back is answered too, with a result or the error for it', async () => {
    const capabilities = await start('utf-16');
    const uri = workspace.uri('line.otio');
    client.open(uri, 'otio', TEXTS['line.otio'] as string);
    const requests = announcedIn(capabilities).filter((method) => model.methods.get(method)?.isRequest === true);
    const whatTheyGave: Readonly<Record<string, object>> = {
      'inlayHint/resolve': (await client.result('textDocument/inlayHint', questionAbout(uri)))[0],
      'codeAction/resolve': { title: 'all of this code', data: { code: 'sound-leads' } },
    };
    const asked = [false, true, false].flatMap((isTakenBack) =>
      requests.map((method) => {
        const { id, answer } = client.ask(method, whatTheyGave[method] ?? questionAbout(uri));
        if (isTakenBack) client.notify('$/cancelRequest', { id });
        return { method, isTakenBack, answer };
      }),
    );
    for (const { method, isTakenBack, answer } of asked) {
      const { error } = await answer;
      const others = method === 'textDocument/rename' ? [RENAME_REFUSED] : [];
      expect([undefined, ...others, ...(isTakenBack ? [REQUEST_CANCELLED] : [])], `${method}: ${error?.message}`).toContain(
        error?.code,
      );
    }
    expect(client.check.unanswered()).toEqual([]);
  });
});

/** Beyond the last line, beyond a line's end, before the first, between two, and more than any editor counts. */
const NOWHERE: readonly Place[] = [
  { line: 9999, character: 0 },
  { line: 0, character: 9_999_999 },
  { line: -1, character: -1 },
  { line: 0.5, character: 1.5 },
  { line: 2 ** 31 - 1, character: 2 ** 31 - 1 },
  { line: 1e300, character: -1e300 },
];

describe('places outside the text', () => {
  it('are answered by every method as a place in it, or with nothing', async () => {
    const capabilities = await start('utf-8');
    const requests = announcedIn(capabilities).filter((method) => model.methods.get(method)?.isRequest === true);
    for (const name of ['line.otio', 'cut.edl', 'cut.timeline.xml', 'day.alignment.json', 'empty.timeline.xml']) {
      const uri = workspace.uri(name);
      client.open(uri, 'any', TEXTS[name] as string);
      for (const place of NOWHERE) {
        const range = { start: place, end: { line: -place.line, character: -place.character } };
        const question = { ...questionAbout(uri), position: place, positions: [place], range };
        for (const method of requests.filter((each) => each.startsWith('textDocument/'))) {
          const { result, error } = await client.request(method, question);
          const allowed = method === 'textDocument/rename' ? [undefined, RENAME_REFUSED] : [undefined];
          expect(allowed, `${method} at ${JSON.stringify(place)} of ${name}: ${error?.message}`).toContain(error?.code);
          expect(strayPlaces(result, uri, textOf, 'utf-8')).toEqual([]);
        }
      }
    }
  });

  it('may be typed at: the text is then what it is when they are taken for its nearest place', async () => {
    await start('utf-16');
    const uri = workspace.uri('cut.edl');
    client.open(uri, 'any', TEXTS['cut.edl'] as string);
    for (const [at, place] of NOWHERE.entries()) {
      const contentChanges = [{ range: { start: place, end: place }, text: '* REMARK\n' }];
      client.notify('textDocument/didChange', { textDocument: { uri, version: at + 2 }, contentChanges });
    }
    const symbols = await client.result('textDocument/documentSymbol', { textDocument: { uri } });
    expect(JSON.stringify(symbols)).toContain('Werkst\u00e4tte');
    const { items } = await client.result('textDocument/diagnostic', { textDocument: { uri } });
    expect(items.map(({ code }: Wire) => code)).toContain('sound-lags');
  });
});

/** Parameters that any request about a document or the workspace can be made of. */
function questionAbout(uri: string): object {
  const position = placeAt(TEXTS['line.otio'] as string, (TEXTS['line.otio'] as string).indexOf('deck.wav'), 'utf-16');
  return {
    uri: `afterclap-lags:${uri}.txt`,
    textDocument: { uri },
    position,
    positions: [position],
    range: { start: { line: 0, character: 0 }, end: position },
    context: { diagnostics: [], includeDeclaration: true },
    options: { tabSize: 4, insertSpaces: true },
    newName: 'Another.wav',
    color: { red: 1, green: 0, blue: 0, alpha: 1 },
    item: { uri, name: 'test cut', kind: 2, range: { start: position, end: position } },
    query: 'e',
    previousResultIds: [],
    command: 'afterclap.applySafeFixes',
    arguments: [uri],
  };
}

describe('what is not announced', () => {
  it('is refused', async () => {
    const capabilities = await start('utf-16');
    const announced = announcedIn(capabilities);
    const others = [...model.methods]
      .filter(
        ([method, { isRequest, serverCapability }]) => isRequest && serverCapability !== null && !announced.includes(method),
      )
      .map(([method]) => method)
      .filter((method) => method !== ASKED_BY_THE_SERVER);
    const codes = await Promise.all(others.map(async (method) => (await client.request(method, {})).error?.code));
    expect(others.length).toBeGreaterThan(20);
    expect(new Set(codes)).toEqual(new Set([METHOD_NOT_FOUND]));
  });
});

/** Stands under a server's capability, and is the server's own question. */
const ASKED_BY_THE_SERVER = 'workspace/workspaceFolders';

/** The methods whose capability the server names in its answer. */
function announcedIn(capabilities: Wire): readonly string[] {
  return [...model.methods]
    .filter(([method, { serverCapability }]) => {
      if (serverCapability === null || method === ASKED_BY_THE_SERVER) return false;
      const found = serverCapability.split('.').reduce((current: Wire, name) => current?.[name], capabilities);
      return found !== undefined && found !== false;
    })
    .map(([method]) => method);
}

async function tryDocument(uri: string, text: string, unit: ColumnUnit, tokenTypes: readonly string[]): Promise<void> {
  const textDocument = { uri };
  const end = placeAt(text, text.length, unit);
  const whole = { start: { line: 0, character: 0 }, end };
  const about = (answer: Wire): Wire => {
    expect(strayPlaces(answer, uri, textOf, unit)).toEqual([]);
    return answer;
  };
  const { items } = about(await ask('textDocument/diagnostic', { textDocument }));
  for (const diagnostic of items) {
    const context = { diagnostics: [diagnostic], triggerKind: 1 };
    for (const action of about(await ask('textDocument/codeAction', { textDocument, range: diagnostic.range, context }))) {
      const { edit } = action.data === undefined ? action : about(await ask('codeAction/resolve', action));
      if (edit !== undefined) expectApart(edit, unit);
    }
  }
  for (const hint of about(await ask('textDocument/inlayHint', { textDocument, range: whole }))) {
    const resolved = about(await ask('inlayHint/resolve', hint));
    expect(resolved).toMatchObject({ position: hint.position, label: hint.label });
  }
  about(await ask('textDocument/codeLens', { textDocument }));
  about(await ask('textDocument/documentLink', { textDocument }));
  expectNested(about(await ask('textDocument/documentSymbol', { textDocument })), whole, text, unit);
  for (const fold of (await ask('textDocument/foldingRange', { textDocument })) ?? []) {
    expect(fold.startLine).toBeLessThanOrEqual(fold.endLine);
    expect(fold.endLine).toBeLessThanOrEqual(end.line);
  }
  const colours = expectTokens(await ask('textDocument/semanticTokens/full', { textDocument }), text, unit, tokenTypes);
  const middle = { start: whole.start, end: { line: Math.floor(end.line / 2), character: 0 } };
  const part = expectTokens(
    await ask('textDocument/semanticTokens/range', { textDocument, range: middle }),
    text,
    unit,
    tokenTypes,
  );
  expect(colours).toEqual(expect.arrayContaining([...part]));
  for (const { color, range } of about(await ask('textDocument/documentColor', { textDocument }))) {
    const choices = about(await ask('textDocument/colorPresentation', { textDocument, color, range }));
    for (const { textEdit } of choices) expect(textEdit.range).toEqual(range);
  }
  about(await ask('textDocument/formatting', { textDocument, options: { tabSize: 4, insertSpaces: true } }));
  about(await ask('textDocument/rangeFormatting', { textDocument, range: middle, options: { tabSize: 4, insertSpaces: true } }));
  const positions = placesOf(text, unit);
  const chains = about(await ask('textDocument/selectionRange', { textDocument, positions }));
  for (const [at, chain] of chains.entries()) expectGrowing(chain, positions[at] as Place, text, unit);
  for (const position of positions) {
    const place = { textDocument, position };
    about(await ask('textDocument/hover', place));
    about(await ask('textDocument/definition', place));
    about(await ask('textDocument/completion', place));
    for (const item of about(await ask('textDocument/prepareCallHierarchy', place)) ?? []) {
      expectWithin(item.selectionRange, item.range, text, unit);
      about(await ask('callHierarchy/incomingCalls', { item }));
      about(await ask('callHierarchy/outgoingCalls', { item }));
    }
    const name = about(await ask('textDocument/prepareRename', place));
    if (name === null) continue;
    tried.add('textDocument/rename');
    const { result, error } = await client.request('textDocument/rename', { ...place, newName: 'Another.wav' });
    // A name that stands where it can't be changed with certainty is left alone, with a reason.
    expect([undefined, RENAME_REFUSED]).toContain(error?.code);
    if (result === undefined) continue;
    answered.add('textDocument/rename');
    expectApart(about(result), unit);
  }
  const context = { includeDeclaration: true };
  about(await ask('textDocument/references', { textDocument, position: positions.at(-1) ?? whole.start, context }));
}

async function tryWorkspace(unit: ColumnUnit): Promise<void> {
  const { items } = await ask('workspace/diagnostic', { previousResultIds: [] });
  expect(items).toHaveLength(Object.keys(TEXTS).length);
  expect(strayPlaces(items, '', textOf, unit)).toEqual([]);
  expect(strayPlaces(await ask('workspace/symbol', { query: '' }), '', textOf, unit)).toEqual([]);
  const uri = workspace.uri('line.otio');
  const { message } = await ask('workspace/executeCommand', { command: 'afterclap.applySafeFixes', arguments: [uri] });
  expect(message).toMatch(/safe fix(es)? w/);
  const [asked] = client.all('workspace/applyEdit');
  expect(strayPlaces(asked?.params, uri, textOf, unit)).toEqual([]);
  expect((await ask('workspace/textDocumentContent', { uri: `afterclap-lags:${uri}.txt` })).text).toContain('leads by');
  tell('workspace/didChangeWorkspaceFolders', { event: { added: [], removed: [] } });
}

function offset(text: string, place: Place, unit: ColumnUnit): number {
  return offsetOf(text, place, unit) ?? Number.NaN;
}

/** Edits of one document must not overlap ('TextEdit[]'). */
function expectApart(edit: Wire, unit: ColumnUnit): void {
  for (const { textDocument, edits } of edit.documentChanges) {
    const text = textOf(textDocument.uri) ?? '';
    const spans = edits
      .map(({ range }: Wire) => [offset(text, range.start, unit), offset(text, range.end, unit)])
      .sort((left: number[], right: number[]) => Number(left[0]) - Number(right[0]));
    for (let at = 1; at < spans.length; at += 1) expect(spans[at][0]).toBeGreaterThanOrEqual(spans[at - 1][1]);
  }
}

/** The selected range of a symbol lies in its range ('DocumentSymbol'), and children in their parents, or the outline can't follow. */
function expectNested(symbols: Wire, parent: Wire, text: string, unit: ColumnUnit): void {
  for (const { range, selectionRange, children } of symbols ?? []) {
    expectWithin(selectionRange, range, text, unit);
    expectWithin(range, parent, text, unit);
    expectNested(children, range, text, unit);
  }
}

function expectWithin(inner: Wire, outer: Wire, text: string, unit: ColumnUnit): void {
  expect(offset(text, inner.start, unit)).toBeGreaterThanOrEqual(offset(text, outer.start, unit));
  expect(offset(text, inner.end, unit)).toBeLessThanOrEqual(offset(text, outer.end, unit));
}

/** Each range contains the place, and the one before ('SelectionRange'). */
function expectGrowing(chain: Wire, place: Place, text: string, unit: ColumnUnit): void {
  expectWithin({ start: place, end: place }, chain.range, text, unit);
  for (let current = chain; current.parent !== undefined; current = current.parent) {
    expectWithin(current.range, current.parent.range, text, unit);
  }
}

/** Five numbers a token, types out of the legend, none over a line's end or over another ('Semantic Tokens'). */
function expectTokens(answer: Wire, text: string, unit: ColumnUnit, tokenTypes: readonly string[]): readonly string[] {
  const tokens: string[] = [];
  const data: readonly number[] = answer?.data ?? [];
  expect(data.length % 5).toBe(0);
  let [line, character, lastEnd] = [0, 0, 0];
  for (let at = 0; at < data.length; at += 5) {
    const [lines, characters, length, type] = data.slice(at) as [number, number, number, number];
    character = lines === 0 ? character + characters : characters;
    line += lines;
    const [start, end] = [offset(text, { line, character }, unit), offset(text, { line, character: character + length }, unit)];
    expect(start).toBeGreaterThanOrEqual(lastEnd);
    expect(end).toBeGreaterThan(start);
    expect(tokenTypes[type]).toBeDefined();
    lastEnd = end;
    tokens.push(`${line}:${character}+${length} ${tokenTypes[type]}`);
  }
  return tokens;
}
