/**
 * The lag chart over the wire: asked for, followed, sent again with each change of the text or of the report, and left alone when
 * it is closed. The cut is in test/fixtures/editor: its sound is one frame early in the first clip and three late in the third, at
 * 24000/1001, where a frame is 1001/24000 s (SMPTE ST 12-1 rate).
 */

import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { type Wire, WireClient } from './wireClient.ts';
import { makeWorkspace, PULLING_CLIENT, type Workspace } from './workspace.ts';

const REQUEST = 'afterclap/lagChart';
const CHANGED = 'afterclap/lagChartChanged';
const CLOSED = 'afterclap/lagChartClosed';

let workspace: Workspace;
let client: WireClient;

beforeEach(async () => {
  workspace = await makeWorkspace();
  client = await WireClient.ready({ capabilities: PULLING_CLIENT });
});

afterEach(async () => {
  client.kill();
  await workspace.discard();
});

async function openTimeline(name = 'interview.edl', language = 'afterclap-edl'): Promise<string> {
  const uri = workspace.uri(name);
  client.open(uri, language, await workspace.read(name));
  return uri;
}

function lagsOf({ chart }: Wire): readonly string[] {
  return chart.comparisons.map(({ sound, head }: Wire) => `${chart.clips[sound].name} ${head}`);
}

/** Replaces the first `before` of the text that was opened. */
function edit(uri: string, text: string, before: string, after: string, version: number): void {
  const lines = text.slice(0, text.indexOf(before)).split('\n');
  const start = { line: lines.length - 1, character: (lines.at(-1) as string).length };
  const range = { start, end: { ...start, character: start.character + before.length } };
  client.notify('textDocument/didChange', { textDocument: { uri, version }, contentChanges: [{ range, text: after }] });
}

describe('a chart that is asked for', () => {
  it.each([
    ['interview.edl', 'afterclap-edl'],
    ['interview.otio', 'otio'],
    ['interview.timeline.xml', 'afterclap-xml'],
  ])('of %s has the lags of the cut, exactly', async (name, language) => {
    const uri = await openTimeline(name, language);
    const answer = await client.result(REQUEST, { uri, isFollowed: false });
    expect(answer).toMatchObject({ uri, version: 1 });
    expect(answer.chart.comparisons.map(({ head }: Wire) => head)).toEqual(expect.arrayContaining(['-1001/24000', '1001/8000']));
    expect(answer.chart.comparisons.map(({ words }: Wire) => words)).toContain('leads by 41.7 ms, 1 frame, 2002 samples');
  });

  it('says where each clip stands: on the number that slips it', async () => {
    const uri = await openTimeline();
    const text = await workspace.read('interview.edl');
    const { chart, places } = await client.result(REQUEST, { uri, isFollowed: false });
    expect(places).toHaveLength(chart.clips.length);
    for (const { number } of places) {
      const [line, character, endLine, endCharacter] = number;
      expect(endLine).toBe(line);
      expect((text.split(/\r?\n/)[line] as string).slice(character, endCharacter)).toMatch(/^\d\d:\d\d:\d\d[:;]\d\d$/);
    }
  });

  it('is null for what is no open timeline', async () => {
    expect(await client.result(REQUEST, { uri: workspace.uri('interview.edl'), isFollowed: true })).toBeNull();
    const report = workspace.uri('day1.alignment.json');
    client.open(report, 'json', await workspace.read('day1.alignment.json'));
    expect(await client.result(REQUEST, { uri: report, isFollowed: true })).toBeNull();
  });

  it('is said to be empty, and why, without a report', async () => {
    await workspace.remove('day1.alignment.json');
    const { chart } = await client.result(REQUEST, { uri: await openTimeline(), isFollowed: false });
    expect(chart.empty).toMatch(/^There is no alignment report to hold this timeline against\./);
  });

  it('changes nothing for a client that never follows one', async () => {
    const uri = await openTimeline();
    await client.result(REQUEST, { uri, isFollowed: false });
    edit(uri, await workspace.read('interview.edl'), '00:00:10:01', '00:00:10:00', 2);
    await client.result('textDocument/diagnostic', { textDocument: { uri } });
    expect(client.all(CHANGED)).toEqual([]);
  });
});

describe('a chart that is followed', () => {
  it('is sent again when the text changes, with the version it was made from', async () => {
    const uri = await openTimeline();
    const before = await client.result(REQUEST, { uri, isFollowed: true });
    const changed = client.nextNotification(CHANGED);
    edit(uri, await workspace.read('interview.edl'), '00:00:10:01', '00:00:10:00', 2);
    const after = await changed;
    expect(after).toMatchObject({ uri, version: 2 });
    expect(lagsOf(after)).toEqual(lagsOf(before).map((line) => line.replace('-1001/24000', '0')));
  });

  it('is sent once for a burst of keys, for the last of them', async () => {
    const uri = await openTimeline();
    await client.result(REQUEST, { uri, isFollowed: true });
    const changed = client.nextNotification(CHANGED);
    let text = await workspace.read('interview.edl');
    for (const [at, next] of ['00:00:10:02', '00:00:10:03', '00:00:10:00'].entries()) {
      const before = ['00:00:10:01', '00:00:10:02', '00:00:10:03'][at] as string;
      edit(uri, text, before, next, at + 2);
      text = text.replace(before, next);
    }
    expect(await changed).toMatchObject({ version: 4 });
    expect(client.all(CHANGED)).toHaveLength(1);
  });

  it('is sent again when the report changes, in the editor or on disk', async () => {
    const uri = await openTimeline();
    await client.result(REQUEST, { uri, isFollowed: true });
    const report = workspace.uri('day1.alignment.json');
    const opened = client.nextNotification(CHANGED, ({ chart }: Wire) => chart.empty !== null);
    client.open(report, 'json', '{ "alignment": 1, "pictures": {}, "sounds": {}, "pairs": [] }');
    expect((await opened).chart.empty).toContain('knows none of the media of this timeline');
    const back = client.nextNotification(CHANGED, ({ chart }: Wire) => chart.empty === null);
    client.notify('textDocument/didClose', { textDocument: { uri: report } });
    await back;
    const gone = client.nextNotification(CHANGED, ({ chart }: Wire) => chart.empty !== null);
    await workspace.remove('day1.alignment.json');
    client.notify('workspace/didChangeWatchedFiles', { changes: [{ uri: report, type: 3 }] });
    expect((await gone).chart.empty).toMatch(/^There is no alignment report/);
  });

  it('is left alone once it is closed, or its timeline is', async () => {
    const uri = await openTimeline();
    await client.result(REQUEST, { uri, isFollowed: true });
    client.notify(CLOSED, { uri });
    edit(uri, await workspace.read('interview.edl'), '00:00:10:01', '00:00:10:00', 2);
    await client.result('textDocument/diagnostic', { textDocument: { uri } });
    await client.result(REQUEST, { uri, isFollowed: true });
    client.notify('textDocument/didClose', { textDocument: { uri } });
    client.notify('workspace/didChangeWatchedFiles', { changes: [{ uri: workspace.uri('day1.alignment.json'), type: 2 }] });
    // Longer than any pause the server makes before it sends.
    await new Promise((resolve) => setTimeout(resolve, 1500));
    expect(client.all(CHANGED)).toEqual([]);
  });
});
