/**
 * The lag chart as text over the wire: offered to editors that show documents of a server, under URIs that lead back to the timeline,
 * and asked for again when the timeline or its report changes. The cut is in test/fixtures/editor: its sound is one frame early in the
 * first clip and three late in the third, at 24000/1001, where a frame is 1001/24000 s (SMPTE ST 12-1 rate).
 *
 * Source of the messages: Language Server Protocol 3.18, 'Text Document Content Request' and 'Text Document Content Refresh Request'.
 */

import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { textIn } from './features.ts';
import { WireClient } from './wireClient.ts';
import { makeWorkspace, PULLING_CLIENT, type Workspace } from './workspace.ts';

const REQUEST = 'workspace/textDocumentContent';
const REFRESH = 'workspace/textDocumentContent/refresh';
const INVALID_PARAMS = -32602;
const METHOD_NOT_FOUND = -32601;
const SHOWING_CLIENT = { ...PULLING_CLIENT, workspace: { ...PULLING_CLIENT.workspace, textDocumentContent: {} } };

let workspace: Workspace;
let client: WireClient;

beforeEach(async () => {
  workspace = await makeWorkspace();
  client = await WireClient.ready({ capabilities: SHOWING_CLIENT });
});

afterEach(async () => {
  client.kill();
  await workspace.discard();
});

function textUri(name: string): string {
  return `afterclap-lags:${workspace.uri(name)}.txt`;
}

async function lags(uri: string): Promise<readonly string[]> {
  const { text } = await client.result(REQUEST, { uri });
  return text.split('\n');
}

async function openTimeline(name = 'interview.edl'): Promise<string> {
  const uri = workspace.uri(name);
  client.open(uri, 'any', await workspace.read(name));
  return uri;
}

/** Resolves when the server asks for a text to be asked for again. */
async function refreshed(uri: string): Promise<void> {
  await client.next(({ method, params }) => method === REFRESH && params?.uri === uri, `a refresh of ${uri}`);
}

/** Replaces the only `before` of the fixture's text. */
async function edit(uri: string, before: string, after: string, version: number): Promise<void> {
  const text = await workspace.read('interview.edl');
  const lines = text.slice(0, text.indexOf(before)).split('\n');
  const start = { line: lines.length - 1, character: lines.at(-1)?.length ?? 0 };
  const range = { start, end: { ...start, character: start.character + before.length } };
  expect(textIn(text, range)).toBe(before);
  client.notify('textDocument/didChange', { textDocument: { uri, version }, contentChanges: [{ range, text: after }] });
}

describe('the lags of a timeline as text', () => {
  it.each(['interview.edl', 'interview.otio', 'interview.timeline.xml'])(
    'of %s are those of its chart, a line each',
    async (name) => {
      const uri = await openTimeline(name);
      const { chart } = await client.result('afterclap/lagChart', { uri, isFollowed: false });
      const [summary, report, blank, head, ...rows] = await lags(textUri(name));
      const lenses = await client.result('textDocument/codeLens', { textDocument: { uri } });
      expect(summary?.endsWith(lenses[0].command.title)).toBe(true);
      expect(report).toMatch(/^day1\.alignment\.json is used/);
      expect(blank).toBe('');
      expect(head?.split(/ {2,}/).slice(0, 6)).toEqual([
        'RECORD TIME',
        'SOUND CLIP',
        'PICTURE CLIP',
        'PICTURE/RECORDING',
        'VERDICT',
        'LAG',
      ]);
      expect(rows.pop()).toBe('');
      expect(rows).toHaveLength(chart.comparisons.length);
      for (const [index, { at, verdict, words }] of chart.comparisons.entries()) {
        expect(rows[index]?.split(/ {2,}/)).toEqual(expect.arrayContaining([at, verdict, words]));
      }
      // One frame early, three frames late: 2002 samples of 48 kHz a frame.
      expect(rows.join('\n')).toMatch(/leads {3,}leads by 41\.7 ms, 1 frame, 2002 samples +none/);
      expect(rows.join('\n')).toMatch(/lags {3,}lags by 125\.1 ms, 3 frames, 6006 samples +none/);
    },
  );

  it('stand in columns, beside wide characters too', async () => {
    const text = await workspace.read('interview.edl');
    await workspace.write('interview.edl', text.replace('INTERVIEW, QUESTION SOUND', '対談、質問の音'));
    const [, , , head = '', ...rows] = await lags(textUri('interview.edl'));
    expect(rows.join()).toContain('対談、質問の音');
    // A character of these scripts takes two columns (Unicode UAX #11, East Asian Wide).
    const columns = (line: string): string => line.replace(/[\u3000-\u9fff]/g, '$&$&');
    const verdictAt = head.indexOf('VERDICT');
    for (const row of rows.filter((each) => each !== '')) {
      expect(columns(row).slice(verdictAt - 2)).toMatch(/^ {2}(in|leads|lags|drifts) /);
    }
  });

  it('say by how much they drift', async () => {
    const report = await workspace.read('day1.alignment.json');
    const drifting = report.replace('"at":', '"driftPpm": 1000, "at":');
    expect(drifting).not.toBe(report);
    await workspace.write('day1.alignment.json', drifting);
    const rows = await lags(textUri('interview.edl'));
    // A clock 0.1 % fast asks for sound ever further into its file, so what is cut at the nominal rate is heard ever later: in 120
    // frames of 1001/24000 s, which are 5.005 s, by 5.005 ms.
    expect(rows[4]).toMatch(/ at the head and .* at the tail +5 ms later at the tail/);
  });

  it('are read from the disk for a timeline that is not open, and say why where they are not', async () => {
    expect((await lags(textUri('interview.edl'))).join('\n')).toContain('leads by 41.7 ms');
    expect(await lags(textUri('lost.edl'))).toEqual([`${workspace.uri('lost.edl')} can't be read.`, '']);
    expect(await lags(textUri('day1.alignment.json'))).toEqual([`${workspace.uri('day1.alignment.json')} is no timeline.`, '']);
    await workspace.remove('day1.alignment.json');
    client.notify('workspace/didChangeWatchedFiles', { changes: [{ uri: workspace.uri('day1.alignment.json'), type: 3 }] });
    expect((await lags(textUri('interview.edl'))).join('\n')).toMatch(
      /nothing compared: no alignment report\n\nThere is no alignment report to hold this timeline against\./,
    );
  });

  it('take an editor that escapes the colon of the inner URI', async () => {
    const uri = textUri('interview.edl');
    const escaped = uri.replace('afterclap-lags:file:', 'afterclap-lags:file%3A');
    expect(escaped).not.toBe(uri);
    expect(await lags(escaped)).toEqual(await lags(uri));
  });

  it.each(['afterclap-lags:', 'afterclap-lags:file:///a.edl', 'other:file:///a.edl.txt', 'afterclap-lags:a.edl.txt'])(
    'are not to be had as %s',
    async (uri) => {
      const { error } = await client.request(REQUEST, { uri });
      expect(error).toMatchObject({ code: INVALID_PARAMS });
      expect(error?.message).toContain("It has to be 'afterclap-lags:', the URI of a timeline, '.txt'.");
    },
  );

  it('are no timeline when the editor opens them', async () => {
    const uri = textUri('interview.edl');
    client.open(uri, 'plaintext', (await lags(uri)).join('\n'));
    const { items } = await client.result('textDocument/diagnostic', { textDocument: { uri } });
    expect(items).toEqual([]);
  });
});

describe('the text is asked for again', () => {
  it('when the timeline changes, once for a burst of keys, with what stands there then', async () => {
    const timeline = await openTimeline();
    const uri = textUri('interview.edl');
    const before = await lags(uri);
    const refresh = refreshed(uri);
    await edit(timeline, '00:00:10:01', '00:00:10:02', 2);
    await edit(timeline, '00:00:10:01', '00:00:10:00', 3);
    await refresh;
    const after = await lags(uri);
    expect(client.all(REFRESH)).toHaveLength(1);
    expect(before.join('\n')).toContain('leads by 41.7 ms');
    expect(after.join('\n')).not.toContain('leads by 41.7 ms');
    expect(after).toHaveLength(before.length);
  });

  it('when the report changes, and when the timeline is closed with what was not saved', async () => {
    const timeline = await openTimeline();
    const uri = textUri('interview.edl');
    await lags(uri);
    const byReport = refreshed(uri);
    await workspace.remove('day1.alignment.json');
    client.notify('workspace/didChangeWatchedFiles', { changes: [{ uri: workspace.uri('day1.alignment.json'), type: 3 }] });
    await byReport;
    expect((await lags(uri))[0]).toContain('no alignment report');
    const byClosing = refreshed(uri);
    client.notify('textDocument/didClose', { textDocument: { uri: timeline } });
    await byClosing;
  });

  it('never once it is closed, nor a text that nobody asked for', async () => {
    const timeline = await openTimeline();
    const uri = textUri('interview.edl');
    client.open(uri, 'plaintext', (await lags(uri)).join('\n'));
    client.notify('textDocument/didClose', { textDocument: { uri } });
    await edit(timeline, '00:00:10:01', '00:00:10:00', 2);
    const other = refreshed(textUri('interview.otio'));
    await lags(textUri('interview.otio'));
    client.notify('workspace/didChangeWatchedFiles', { changes: [{ uri: workspace.uri('day1.alignment.json'), type: 2 }] });
    await other;
    expect(client.all(REFRESH).map(({ params }) => params.uri)).toEqual([textUri('interview.otio')]);
  });
});

describe('an editor', () => {
  it('is told of the scheme if it shows documents of a server, and else neither told nor answered', async () => {
    const offered = async (capabilities: object): Promise<unknown> => {
      const other = await WireClient.start();
      const { capabilities: server } = await other.result('initialize', { processId: null, rootUri: null, capabilities });
      other.notify('initialized', {});
      const { error } = await other.request(REQUEST, { uri: textUri('interview.edl') });
      await other.stop();
      return [server.workspace.textDocumentContent, error?.code];
    };
    expect(await offered(SHOWING_CLIENT)).toEqual([{ schemes: ['afterclap-lags'] }, undefined]);
    expect(await offered(PULLING_CLIENT)).toEqual([undefined, METHOD_NOT_FOUND]);
  });
});
