/**
 * Swatches beside the colours of markers, and the names offered for another: each an edit of that word and of nothing else.
 *
 * Sources: Language Server Protocol 3.17, 'Document Color Request' and 'Color Presentation Request' (values from 0 to 1); names and
 * values of RED and GREEN from the OpenTimelineIO library.
 */

import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { FULL_CLIENT, startEditor, textIn } from './features.ts';
import type { Wire, WireClient } from './wireClient.ts';
import { makeWorkspace, type Workspace } from './workspace.ts';

const RED = { red: 1, green: 0, blue: 0, alpha: 1 };
const GREEN = { red: 0, green: 1, blue: 0, alpha: 1 };
const LOCATOR = '* LOC: 01:00:01:00 RED     \u{1F3AC} MORE AIR\n';

let workspace: Workspace;
let client: WireClient;

beforeEach(async () => {
  workspace = await makeWorkspace();
});

afterEach(async () => {
  client.kill();
  await workspace.discard();
});

/** The interview with a marker on its first clip, whose name holds a character of four bytes on the line of the colour. */
async function markedOtio(): Promise<string> {
  const time = { OTIO_SCHEMA: 'RationalTime.1', rate: 24, value: 0 };
  const range = { OTIO_SCHEMA: 'TimeRange.1', start_time: time, duration: time };
  const marker = { OTIO_SCHEMA: 'Marker.2', name: '\u{1F3AC}', color: 'RED', marked_range: range };
  const text = await workspace.read('interview.otio');
  return text.replace(/"OTIO_SCHEMA": "Clip\.\d"/, `$&, "markers": [${JSON.stringify(marker)}]`);
}

async function markedEdl(): Promise<string> {
  return (await workspace.read('interview.edl')).replace(/(?=^003)/m, LOCATOR);
}

const colours = (uri: string): Promise<Wire> => client.result('textDocument/documentColor', { textDocument: { uri } });
const names = (uri: string, range: Wire, color: object): Promise<Wire> =>
  client.result('textDocument/colorPresentation', { textDocument: { uri }, range, color });

const TEXTS = [
  ['interview.otio', markedOtio],
  ['interview.edl', markedEdl],
] as const;

describe.each(TEXTS)('the colours in %s', (name, make) => {
  it.each(['utf-8', 'utf-16', 'utf-32'])('stand on their words, and are changed there alone, in %s columns', async (unit) => {
    client = await startEditor(workspace, {}, { ...FULL_CLIENT, general: { positionEncodings: [unit] } });
    const uri = workspace.uri(name);
    const text = await make();
    client.open(uri, 'any', text);
    const found = await colours(uri);
    expect(found).toHaveLength(1);
    const [{ range, color }] = found;
    expect(color).toEqual(RED);
    const line = text.split('\n')[range.start.line] as string;
    const before = line.slice(0, line.indexOf('RED'));
    const columns = { 'utf-8': Buffer.byteLength(before), 'utf-16': before.length, 'utf-32': [...before].length }[unit];
    expect(range).toEqual({
      start: { line: range.start.line, character: columns },
      end: { line: range.start.line, character: Number(columns) + 3 },
    });
    const offered = await names(uri, range, GREEN);
    expect(offered).toHaveLength(11);
    expect(offered[0]).toEqual({ label: 'GREEN', textEdit: { range, newText: 'GREEN' } });
  });

  it('follow the text as it is typed, and are offered nothing where none stands any more', async () => {
    client = await startEditor(workspace);
    const uri = workspace.uri(name);
    const text = await make();
    client.open(uri, 'any', text);
    const [{ range }] = await colours(uri);
    const change = (version: number, newText: string, place: Wire = range): void =>
      client.notify('textDocument/didChange', {
        textDocument: { uri, version },
        contentChanges: [{ range: place, text: newText }],
      });
    change(2, 'GREEN');
    const [changed] = await colours(uri);
    expect(changed.color).toEqual(GREEN);
    expect(textIn(text.replace('RED', 'GREEN'), changed.range)).toBe('GREEN');
    expect(await names(uri, range, RED)).toEqual([]);
    change(3, 'TEAL', changed.range);
    expect(await colours(uri)).toEqual([]);
    expect(await names(uri, changed.range, RED)).toEqual([]);
  });
});

describe('files without colours', () => {
  it.each(['interview.otio', 'interview.edl', 'interview.timeline.xml', 'day1.alignment.json'])(
    'such as %s have none',
    async (name) => {
      client = await startEditor(workspace);
      const uri = workspace.uri(name);
      client.open(uri, 'any', await workspace.read(name));
      expect(await colours(uri)).toEqual([]);
      const start = { line: 0, character: 0 };
      expect(await names(uri, { start, end: { line: 0, character: 5 } }, RED)).toEqual([]);
    },
  );

  it('and those that are not open neither', async () => {
    client = await startEditor(workspace);
    expect(await colours(workspace.uri('interview.otio'))).toEqual([]);
  });
});
