/**
 * What the editor draws into and beside one document: hints, lens, outline, colours, folds, selections. Over the bundled server.
 * The fixtures hold a lead of one frame and a lag of three at 24000/1001: 1001/24000 s = 41.7 ms a frame (SMPTE ST 12-1).
 */

import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { type DisplaySettings, FULL_CLIENT, openFile, positionIn, startEditor, textIn, WHOLE } from './features.ts';
import type { Wire, WireClient } from './wireClient.ts';
import { makeWorkspace, type Workspace } from './workspace.ts';

let workspace: Workspace;
let client: WireClient;

beforeEach(async () => {
  workspace = await makeWorkspace();
});

afterEach(async () => {
  client.kill();
  await workspace.discard();
});

const FILES = ['interview.otio', 'interview.edl', 'interview.timeline.xml'];

describe('inlay hints', () => {
  const hints = (uri: string): Promise<Wire> => client.result('textDocument/inlayHint', { textDocument: { uri }, range: WHOLE });

  it.each(FILES)('of %s tell the two that are out, and the tooltip comes on resolve', async (name) => {
    client = await startEditor(workspace);
    const uri = await openFile(client, workspace, name);
    const found = await hints(uri);
    expect(found.map(({ label }: Wire) => label)).toEqual(['leads 41.7 ms, 1 f', 'lags 125.1 ms, 3 f']);
    expect(found[0].tooltip).toBeUndefined();
    const { tooltip } = await client.result('inlayHint/resolve', found[0]);
    expect(tooltip.value).toContain('leads cam\\-a\\-01'.replaceAll('\\-', '-'));
    const lines = (await workspace.read(name)).split('\n');
    const { line, character } = found[0].position;
    const before = lines[line]?.slice(0, character) ?? '';
    expect(before).toMatch(name.endsWith('.edl') ? /^002 .*01:00:05:00$/ : /(241|482482)$/);
  });

  it('are all of them, or none, as the editor is set; a changed setting is heard', async () => {
    const display: DisplaySettings = { inlayHints: 'all' };
    client = await startEditor(workspace, display);
    const uri = await openFile(client, workspace, 'interview.edl');
    expect(await hints(uri)).toHaveLength(4);
    display.inlayHints = 'off';
    const refresh = client.next(({ method }) => method === 'workspace/inlayHint/refresh', 'a refresh');
    client.notify('workspace/didChangeConfiguration', { settings: null });
    await refresh;
    expect(await hints(uri)).toEqual([]);
  });

  it('follow the settings that an editor sends which can not be asked', async () => {
    client = await startEditor(workspace, {}, { general: { positionEncodings: ['utf-8'] } });
    const uri = await openFile(client, workspace, 'interview.edl');
    expect(await hints(uri)).toHaveLength(2);
    client.notify('workspace/didChangeConfiguration', { settings: { afterclap: { inlayHints: 'all' } } });
    expect(await hints(uri)).toHaveLength(4);
  });

  it('hold to the default when the settings are nonsense', async () => {
    client = await startEditor(workspace, { inlayHints: 17, codeLens: 'yes' });
    const uri = await openFile(client, workspace, 'interview.edl');
    expect(await hints(uri)).toHaveLength(2);
  });
});

describe('the lens', () => {
  const lenses = (uri: string): Promise<Wire> => client.result('textDocument/codeLens', { textDocument: { uri } });

  it.each(FILES)('of %s says what became of its comparisons and opens the report', async (name) => {
    client = await startEditor(workspace);
    const [lens, ...others] = await lenses(await openFile(client, workspace, name));
    expect(lens.command).toEqual({ title: '2 in, 1 leads, 1 lags', command: 'afterclap.openReport' });
    expect(others).toEqual([]);
  });

  it('is gone when switched off, and is none on a report', async () => {
    client = await startEditor(workspace, { codeLens: false });
    expect(await lenses(await openFile(client, workspace, 'interview.edl'))).toEqual([]);
    expect(await lenses(await openFile(client, workspace, 'day1.alignment.json'))).toEqual([]);
  });
});

describe('the outline', () => {
  const symbols = (uri: string): Promise<Wire> => client.result('textDocument/documentSymbol', { textDocument: { uri } });

  it.each(FILES)('of %s holds the clips with their timecode, names inside their ranges', async (name) => {
    client = await startEditor(workspace);
    const text = await workspace.read(name);
    const all: Wire[] = [];
    const walk = (level: Wire): void => {
      for (const symbol of level) {
        all.push(symbol);
        walk(symbol.children ?? []);
      }
    };
    walk(await symbols(await openFile(client, workspace, name)));
    const answer = all.find((symbol) => /answer \(?sound/i.test(symbol.name));
    expect(answer.detail).toContain('01:00:05:00 to 01:00:09:00');
    expect(textIn(text, answer.range)).toContain(textIn(text, answer.selectionRange));
    expect(textIn(text, answer.selectionRange)).toMatch(/answer \(?sound/i);
  });

  it('is a list for an editor that takes no tree', async () => {
    client = await startEditor(workspace, {}, {});
    const list = await symbols(await openFile(client, workspace, 'interview.timeline.xml'));
    expect(list.find(({ name }: Wire) => name === 'Interview, answer')).toMatchObject({ containerName: 'V1' });
  });

  it('of a report holds its files and pairs', async () => {
    client = await startEditor(workspace);
    const names = (await symbols(await openFile(client, workspace, 'day1.alignment.json'))).map(({ name }: Wire) => name);
    expect(names).toEqual(['cam-a-01', 'deck-01', 'cam-a-01 with deck-01']);
  });
});

describe('colours by meaning', () => {
  it('name their types in the legend, for the whole text and for a part of it', async () => {
    client = await startEditor(workspace);
    const uri = await openFile(client, workspace, 'interview.edl');
    const text = await workspace.read('interview.edl');
    const whole = await client.result('textDocument/semanticTokens/full', { textDocument: { uri } });
    const meanings = ['in', 'leads', 'lags', 'drifts', 'unmeasured'];
    const decode = ({ data }: Wire): string[] => {
      const tokens: string[] = [];
      let [line, character] = [0, 0];
      for (let at = 0; at < data.length; at += 5) {
        character = data[at] === 0 ? character + data[at + 1] : data[at + 1];
        line += data[at];
        const end = character + data[at + 2];
        tokens.push(`${textIn(text, { start: { line, character }, end: { line, character: end } })} ${meanings[data[at + 3]]}`);
      }
      return tokens;
    };
    expect(decode(whole).slice(0, 3)).toEqual(['00:00:10:01 leads', 'INTERVIEW, QUESTION SOUND leads', '00:00:25:00 in']);
    const range = { start: positionIn(text, '006 ', 0), end: positionIn(text, '007 ', 0) };
    const part = await client.result('textDocument/semanticTokens/range', { textDocument: { uri }, range });
    expect(decode(part)).toEqual(['00:00:37:09 lags', 'HANDS ON THE LATHE SOUND lags']);
  });
});

describe('folds and selections', () => {
  it.each(FILES)('of %s follow clips', async (name) => {
    client = await startEditor(workspace);
    const uri = await openFile(client, workspace, name);
    const text = await workspace.read(name);
    const folds = await client.result('textDocument/foldingRange', { textDocument: { uri } });
    expect(folds.length).toBeGreaterThanOrEqual(8);
    for (const { startLine, endLine } of folds) expect(endLine).toBeGreaterThan(startLine);
    const mark = name.endsWith('.edl') ? '00:00:10:01' : name.endsWith('.xml') ? '482482' : '241\n';
    const [chain] = await client.result('textDocument/selectionRange', {
      textDocument: { uri },
      positions: [positionIn(text, mark)],
    });
    expect(textIn(text, chain.range)).toBe(mark.trim());
    expect(textIn(text, chain.parent.range)).toMatch(/question/i);
  });

  it('answer for every position, also outside the text', async () => {
    client = await startEditor(workspace);
    const uri = await openFile(client, workspace, 'interview.edl');
    const positions = [
      { line: 0, character: 0 },
      { line: 9999, character: 9999 },
    ];
    expect(await client.result('textDocument/selectionRange', { textDocument: { uri }, positions })).toHaveLength(2);
  });
});

describe('columns', () => {
  it.each(['utf-8', 'utf-16', 'utf-32'])('are counted in %s units, behind an emoji', async (unit) => {
    client = await startEditor(workspace, {}, { ...FULL_CLIENT, general: { positionEncodings: [unit] } });
    const uri = workspace.uri('wide.timeline.xml');
    const text = (await workspace.read('interview.timeline.xml'))
      .replace(/\n\s*/g, '')
      .replace('<ContentTitle>', '<ContentTitle>\u{1F3AC}\u00e9');
    client.open(uri, 'afterclap-xml', text);
    const [hint] = await client.result('textDocument/inlayHint', { textDocument: { uri }, range: WHOLE });
    const before = text.slice(0, text.indexOf('482482') + 6);
    const expected = { 'utf-8': Buffer.byteLength(before), 'utf-16': before.length, 'utf-32': [...before].length }[unit];
    expect(hint.position).toEqual({ line: 0, character: expected });
  });
});
