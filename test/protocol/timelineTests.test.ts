/**
 * Timelines as tests over the wire: which there are, and what a check of one says, open or not.
 *
 * The cut is in test/fixtures/editor: its sound is one frame early in the first clip and three late in the third.
 */

import { cp, mkdir } from 'node:fs/promises';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { openFile, startEditor } from './features.ts';
import type { Wire, WireClient } from './wireClient.ts';
import { makeWorkspace, type Workspace } from './workspace.ts';

const TIMELINES = 'afterclap/timelines';
const CHECK = 'afterclap/checkTimeline';
const REQUEST_CANCELLED = -32800;
const CUTS = ['interview.edl', 'interview.otio', 'interview.timeline.xml'];

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

function check(name: string): Promise<Wire> {
  return client.result(CHECK, { uri: workspace.uri(name) });
}

describe('the list of timelines', () => {
  it('has those of the workspace, in every folder, and neither reports nor other files', async () => {
    await mkdir(join(workspace.folder, 'reels', 'one'), { recursive: true });
    await cp(join(workspace.folder, 'interview.edl'), join(workspace.folder, 'reels', 'one', 'cut.edl'));
    await workspace.write('notes.txt', 'no timeline');
    expect(await client.result(TIMELINES, {})).toEqual([...CUTS, 'reels/one/cut.edl'].map(workspace.uri));
  });

  it('is looked up anew each time', async () => {
    await workspace.remove('interview.otio');
    expect(await client.result(TIMELINES, {})).not.toContain(workspace.uri('interview.otio'));
  });

  it('can be taken back', async () => {
    const { id, answer } = client.ask(TIMELINES, {});
    client.notify('$/cancelRequest', { id });
    const { error, result } = await answer;
    if (error === undefined) expect(result).toHaveLength(CUTS.length);
    else expect(error.code).toBe(REQUEST_CANCELLED);
  });
});

describe('the check of a timeline', () => {
  it.each(CUTS)('of %s finds what its diagnostics say, and how much was compared', async (name) => {
    const closed = await check(name);
    expect(closed).toMatchObject({ isRead: true, summary: '2 in, 1 leads, 1 lags', status: { comparisonCount: 4 } });
    const uri = await openFile(client, workspace, name);
    const { items } = await client.result('textDocument/diagnostic', { textDocument: { uri } });
    expect(closed.findings).toEqual(items);
    expect((await check(name)).findings).toEqual(items);
  });

  it('takes the text as it stands in the editor', async () => {
    const text = await workspace.read('interview.edl');
    const uri = workspace.uri('interview.edl');
    // One frame of 24: the sound of the first clip leads by none.
    client.open(uri, 'afterclap-edl', text.replace('00:00:10:01', '00:00:10:00'));
    expect((await check('interview.edl')).summary).toBe('3 in, 1 lags');
    client.notify('textDocument/didClose', { textDocument: { uri } });
    expect((await check('interview.edl')).summary).toBe('2 in, 1 leads, 1 lags');
  });

  it('says that nothing was compared, and why, without a report', async () => {
    await workspace.remove('day1.alignment.json');
    const { status, summary, findings } = await check('interview.edl');
    expect(summary).toBe('nothing compared: no alignment report');
    expect(status).toMatchObject({ comparisonCount: 0, reports: [] });
    expect(status.reportReason).toMatch(/^No report is used: .*\.$/s);
    expect(findings.filter(({ severity }: Wire) => severity === 1)).toEqual([]);
  });

  it('says of a file that is gone, or no text, or no timeline, that it was not read', async () => {
    await workspace.write('gone.edl', '');
    await workspace.remove('gone.edl');
    await workspace.write('bytes.edl', '\0'.repeat(64));
    for (const name of ['gone.edl', 'bytes.edl', 'day1.alignment.json']) {
      const answer = await check(name);
      expect(answer.isRead, name).toBe(false);
      expect(answer.reason, name).toMatch(/^\w[^.]+$/);
    }
  });
});
