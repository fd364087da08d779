/**
 * The clap desk over the wire: a report's pairs, its recordings read by ranges, their claps, and the edit that writes a pair.
 *
 * The recording is computed (test/unit/desk/scene.ts), so where its claps are is known beforehand, and what it holds is read here a second
 * time, by the published layout of a RIFF/WAVE file with 24-bit samples.
 */

import { mkdir, readFile, rename, rm, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { TextDocument } from 'vscode-languageserver-textdocument';
import { CLAP, REPORT, REPORT_NAME, SECOND_CLAP, writeRecording } from '../unit/desk/scene.ts';
import { positionIn } from './features.ts';
import { type Wire, WireClient } from './wireClient.ts';
import { makeWorkspace, PULLING_CLIENT, type Workspace } from './workspace.ts';

const DESK = 'afterclap/clapDesk';
const MEDIA = 'afterclap/clapDeskMedia';
const PEAKS = 'afterclap/clapDeskPeaks';
const SOUND = 'afterclap/clapDeskSound';
const CLAPS = 'afterclap/clapDeskClaps';
const WRITE = 'afterclap/clapDeskWrite';
const REPORTS = 'afterclap/clapDeskReports';
const DECK = { role: 'sound', key: 'deck-20', names: ['DECK_0020.wav'], file: null };

let workspace: Workspace;
let client: WireClient;
let report: string;
let recording: string;

beforeEach(async () => {
  workspace = await makeWorkspace();
  await writeRecording(workspace.folder);
  client = await WireClient.ready({ capabilities: PULLING_CLIENT });
  report = workspace.uri(REPORT_NAME);
  recording = workspace.uri('DECK_0020.wav');
});

afterEach(async () => {
  client.kill();
  await workspace.discard();
});

/** Samples of the recording, read straight from its bytes: 44 of header, then three for each sample, low byte first. */
async function samplesOf(): Promise<readonly number[]> {
  const bytes = await readFile(join(workspace.folder, 'DECK_0020.wav'));
  return Array.from({ length: (bytes.length - 44) / 3 }, (_, at) => bytes.readIntLE(44 + 3 * at, 3) / 2 ** 23);
}

function floats(base64: string): Float32Array {
  const bytes = Uint8Array.from(Buffer.from(base64, 'base64'));
  return new Float32Array(bytes.buffer);
}

describe('the report', () => {
  it('comes with exact numbers, and with the pair at the caret', async () => {
    client.open(report, 'json', REPORT);
    const answer = await client.result(DESK, { uri: report, position: positionIn(REPORT, '"frame": 58') });
    expect(answer).toMatchObject({ uri: report, version: 1, pairAtCaret: 0 });
    expect(answer.report.pairs).toEqual([
      {
        picture: 'cam-a-20',
        sound: 'deck-20',
        frame: '58',
        sample: String(CLAP),
        driftPpm: '0',
        early: '209/10000',
        late: '209/10000',
        by: 'eye',
        clap: 1,
        note: 'read off a phone',
      },
    ]);
    expect(answer.report.pictures[0]).toMatchObject({ rate: '24000/1001', rateLabel: '23.976', frameCount: '144' });
  });

  it('leads from an entry to the first pair that names it, and from elsewhere to none', async () => {
    client.open(report, 'json', REPORT);
    const on = async (mark: string): Promise<unknown> =>
      (await client.result(DESK, { uri: report, position: positionIn(REPORT, mark) })).pairAtCaret;
    expect(await on('DECK_0020.wav')).toBe(0);
    expect(await on('CAM_B_0020.mov')).toBeNull();
    expect(await on('"alignment"')).toBeNull();
  });

  it('is read from disk where it is not open, and is null for what is no report', async () => {
    expect(await client.result(DESK, { uri: report, position: null })).toMatchObject({ report: { name: REPORT_NAME } });
    expect(await client.result(DESK, { uri: workspace.uri('interview.edl'), position: null })).toBeNull();
    expect(await client.result(DESK, { uri: workspace.uri('nothing.alignment.json'), position: null })).toBeNull();
  });

  it('says why there is nothing to look at', async () => {
    client.open(report, 'json', '{ "alignment": 1, "pictures": {}, "sounds": {}, "pairs": [] }');
    const { report: shown } = await client.result(DESK, { uri: report, position: null });
    expect(shown.empty).toContain('names no picture and no sound yet');
  });
});

describe('a recording', () => {
  it('is found beside the report, with what its header says', async () => {
    const answer = await client.result(MEDIA, { uri: report, ...DECK });
    expect(answer).toEqual({
      file: recording,
      name: 'DECK_0020.wav',
      words: '',
      recording: { sampleRate: 48000, sampleCount: 768_000, channelCount: 1 },
    });
  });

  it('that is missing is said to be, and where it was looked for', async () => {
    await rm(join(workspace.folder, 'DECK_0020.wav'));
    const answer = await client.result(MEDIA, { uri: report, ...DECK });
    const folder = workspace.folder.split('/').at(-1);
    expect(answer).toMatchObject({
      file: null,
      words: `DECK_0020.wav is not there: it was looked for beside ${REPORT_NAME}, in the folder ${folder}.`,
    });
  });

  it('in another case, or in a folder below, is found all the same', async () => {
    await rename(join(workspace.folder, 'DECK_0020.wav'), join(workspace.folder, 'deck_0020.WAV'));
    expect(await client.result(MEDIA, { uri: report, ...DECK })).toMatchObject({ file: workspace.uri('deck_0020.WAV') });
    await mkdir(join(workspace.folder, 'sound', 'day 3'), { recursive: true });
    await rename(join(workspace.folder, 'deck_0020.WAV'), join(workspace.folder, 'sound', 'day 3', 'DECK_0020.bwf'));
    expect(await client.result(MEDIA, { uri: report, ...DECK })).toMatchObject({
      file: workspace.uri('sound/day 3/DECK_0020.bwf'),
      words: 'DECK_0020.wav is not there; DECK_0020.bwf, of the same name, was taken in its place.',
    });
  });

  it('that is no WAV file is refused in words', async () => {
    await writeFile(join(workspace.folder, 'DECK_0020.wav'), 'not a recording');
    const answer = await client.result(MEDIA, { uri: report, ...DECK });
    expect(answer).toMatchObject({ file: null, recording: null });
    expect(answer.words).toBe(
      "DECK_0020.wav can't be shown. This is not a WAV file: it does not begin with RIFF, RF64 or BW64 and WAVE.",
    );
  });

  it('in a folder that nobody reads for the server is refused in words', async () => {
    const answer = await client.result(MEDIA, { uri: report, ...DECK, file: 'vscode-vfs://example/DECK_0020.wav' });
    expect(answer.words).toBe('DECK_0020.wav is not on this machine, and this editor reads no recordings from elsewhere.');
    expect(
      await client.result(PEAKS, { file: 'vscode-vfs://example/a.wav', start: 0, end: 10, columns: 5, channel: null }),
    ).toBeNull();
  });

  it('has the peaks of a straight computation, column by column', async () => {
    const samples = await samplesOf();
    const [start, end, columns] = [CLAP - 5000, CLAP + 7001, 337];
    const answer = await client.result(PEAKS, { file: recording, start, end, columns, channel: null });
    const [lows, highs] = [floats(answer.lows), floats(answer.highs)];
    expect([answer.start, answer.end, answer.isSparse, lows.length]).toEqual([start, end, false, columns]);
    for (let column = 0; column < columns; column += 1) {
      const from = start + Math.floor((column * (end - start)) / columns);
      const to = start + Math.floor(((column + 1) * (end - start)) / columns);
      const part = samples.slice(from, to);
      expect([lows[column], highs[column]], `column ${column}`).toEqual([
        Math.fround(Math.min(...part)),
        Math.fround(Math.max(...part)),
      ]);
    }
  });

  it('gives its samples for listening, to the end and no further', async () => {
    const samples = await samplesOf();
    const answer = await client.result(SOUND, { file: recording, start: 767_990, count: 100, channel: 0 });
    expect([...floats(answer.samples)]).toEqual(samples.slice(767_990).map(Math.fround));
  });
});

describe('the claps', () => {
  const all = { range: null, columns: 100 };

  it('are those that were computed, told with progress, and the wave of all that was heard comes along', async () => {
    const progress = client.nextNotification('afterclap/clapDeskProgress', ({ id, share }) => id === 7 && share === 1);
    const answer = await client.result(CLAPS, { file: recording, ...all, id: 7 });
    const claps = answer.claps.filter(({ isClap }: Wire) => isClap);
    expect(claps).toHaveLength(2);
    // The edge is where a tenth of the peak is reached: within a millisecond of where the clap begins.
    expect(Math.abs(claps[0].sample - CLAP)).toBeLessThan(48);
    expect(Math.abs(claps[1].sample - SECOND_CLAP)).toBeLessThan(48);
    expect(claps[0].reason).toMatch(/^One sharp sound that rises within/);
    expect(floats(answer.peaks.highs)).toHaveLength(100);
    expect(await progress).toEqual({ id: 7, share: 1 });
  });

  it('of a part lie where they lie in the whole', async () => {
    const range = { start: CLAP - 96_000, end: CLAP + 96_000 };
    const answer = await client.result(CLAPS, { file: recording, range, columns: 1, id: 8 });
    const [clap] = answer.claps.filter(({ isClap }: Wire) => isClap);
    expect(Math.abs(clap.sample - CLAP)).toBeLessThan(48);
    expect(answer.peaks).toBeNull();
  });

  it('are looked for no longer once nobody wants them', async () => {
    const { id, answer } = client.ask(CLAPS, { file: recording, ...all, id: 9 });
    client.notify('$/cancelRequest', { id });
    // RequestCancelled, as the protocol has it.
    expect((await answer).error).toMatchObject({ code: -32800 });
  });
});

describe('writing', () => {
  const change = {
    pair: 0,
    picture: 'cam-a-20',
    sound: 'deck-20',
    frame: '561/10',
    sample: String(CLAP),
    early: '1/48000',
    late: '1001/24000',
    by: 'clap',
    clap: 1,
  };

  function applied(edit: Wire): string {
    return TextDocument.applyEdits(TextDocument.create(report, 'json', 1, REPORT), edit.documentChanges[0].edits);
  }

  it('changes the numbers of the pair and leaves every other character', async () => {
    client.open(report, 'json', REPORT);
    const answer = await client.result(WRITE, { uri: report, version: 1, change });
    expect(answer.edit.documentChanges[0].textDocument).toEqual({ uri: report, version: 1 });
    // Uncertainties are rounded up: 1/48 ms and 1001/24 ms.
    expect(applied(answer.edit)).toBe(
      REPORT.replace('"frame": 58', '"frame": 56.1')
        .replace('"early": 20.9, "late": 20.9', '"early": 0.021, "late": 41.709')
        .replace('"by": "eye"', '"by": "clap"'),
    );
  });

  it('changes the very pair that was looked at, though another clap was taken', async () => {
    client.open(report, 'json', REPORT);
    const answer = await client.result(WRITE, {
      uri: report,
      version: 1,
      change: { ...change, sample: String(SECOND_CLAP), clap: 2 },
    });
    const { pairs } = JSON.parse(applied(answer.edit));
    expect(pairs).toHaveLength(1);
    expect(pairs[0]).toMatchObject({ clap: 2, at: { sample: SECOND_CLAP }, note: 'read off a phone' });
  });

  it('takes an uncertainty out, or leaves it out, where none is known', async () => {
    client.open(report, 'json', REPORT);
    const answer = await client.result(WRITE, { uri: report, version: 1, change: { ...change, early: null, late: null } });
    expect(JSON.parse(applied(answer.edit)).pairs[0]).not.toHaveProperty('uncertaintyMs');
  });

  it('adds a pair where there is none', async () => {
    client.open(report, 'json', REPORT);
    const answer = await client.result(WRITE, {
      uri: report,
      version: 1,
      change: { ...change, pair: null, picture: 'cam-b-20' },
    });
    const text = applied(answer.edit);
    expect(JSON.parse(text).pairs.map(({ picture }: Wire) => picture)).toEqual(['cam-a-20', 'cam-b-20']);
    expect(text.startsWith(REPORT.slice(0, REPORT.indexOf('"note"')))).toBe(true);
  });

  it.each([
    ['a text that moved on', { version: 2 }, 'The report changed while you looked at it.'],
    ['a pair that is another one now', { change: { ...change, picture: 'cam-b-20' } }, 'The report changed while'],
    ['a place that is none', { change: { ...change, sample: 'soon' } }, 'is no place in a file'],
    ['a negative uncertainty', { change: { ...change, early: '-1/2' } }, 'is no place in a file'],
  ])('refuses %s', async (_, other, words) => {
    client.open(report, 'json', REPORT);
    const answer = await client.result(WRITE, { uri: report, version: 1, change, ...other });
    expect(answer.edit).toBeNull();
    expect(answer.message).toContain(words);
  });

  it('refuses a report that is not open, and parameters that are none', async () => {
    expect(await client.result(WRITE, { uri: report, version: 1, change })).toMatchObject({ edit: null });
    // InvalidParams, as JSON-RPC has it.
    expect((await client.request(WRITE, { uri: report })).error).toMatchObject({ code: -32602 });
  });
});

describe('the reports of a recording', () => {
  it('are those that name it', async () => {
    expect(await client.result(REPORTS, { uri: recording })).toEqual({
      reports: [{ uri: report, label: REPORT_NAME, role: 'sound', key: 'deck-20' }],
      words: '',
    });
  });

  it('are none for a recording nobody names, and the words say which reports there are', async () => {
    const answer = await client.result(REPORTS, { uri: workspace.uri('ROOM_TONE.wav') });
    expect(answer.reports).toEqual([]);
    expect(answer.words).toContain(`${REPORT_NAME} do not name ROOM_TONE.wav.`);
  });
});

describe('a recording that the client reads for the server', () => {
  const file = 'vscode-vfs://example/DECK_0020.wav';
  let bytes: Buffer;

  /** A client that answers for bytes, and counts how many it was asked for. */
  async function reading(): Promise<{ readonly count: () => number }> {
    client.kill();
    client = await WireClient.ready({ capabilities: PULLING_CLIENT, initializationOptions: { readsBytes: true } });
    bytes = await readFile(join(workspace.folder, 'DECK_0020.wav'));
    let count = 0;
    client.answers.set('afterclap/openBytes', ({ uri }) =>
      uri === file ? { size: bytes.length } : { size: null, refusal: 'was given to the desk by hand. Choose it again.' },
    );
    client.answers.set('afterclap/readBytes', ({ uri, ranges }) => {
      if (uri !== file) return null;
      return ranges.map(({ start, end }: Wire) => {
        count += end - start;
        return bytes.subarray(start, end).toString('base64');
      });
    });
    return { count: () => count };
  }

  it('has the same facts, peaks and claps as on the disk, and few of its bytes are asked for', async () => {
    const far = await reading();
    const params = { start: CLAP - 5000, end: CLAP + 5000, columns: 200, channel: null };
    const answer = await client.result(MEDIA, { uri: report, ...DECK, file });
    expect(answer).toEqual({ ...(await client.result(MEDIA, { uri: report, ...DECK, file: recording })), file });
    expect(await client.result(PEAKS, { file, ...params })).toEqual(await client.result(PEAKS, { file: recording, ...params }));
    // Ten thousand samples of three bytes, and the headers.
    expect(far.count()).toBeLessThan(30_000 + 4000);
    const search = { range: null, id: 1, columns: 500 };
    const { claps } = await client.result(CLAPS, { file, ...search });
    expect(claps).toEqual((await client.result(CLAPS, { file: recording, ...search })).claps);
    expect(claps.filter(({ isClap }: Wire) => isClap)).toHaveLength(2);
  });

  it('is refused in the words of the client', async () => {
    await reading();
    const answer = await client.result(MEDIA, { uri: report, ...DECK, file: 'afterclap-given:/1/DECK_0020.wav' });
    expect(answer).toMatchObject({ file: null, words: 'DECK_0020.wav was given to the desk by hand. Choose it again.' });
  });

  it('that goes away while it is listened to is told, and taken neither for silence nor for one without a clap', async () => {
    await reading();
    const read = client.answers.get('afterclap/readBytes') as (params: Wire) => Wire;
    // The header is read, and nothing after it.
    client.answers.set('afterclap/readBytes', (params) => (params.ranges[0].start < 2000 ? read(params) : null));
    const range = { start: CLAP - 5000, end: CLAP + 5000 };
    expect(await client.result(MEDIA, { uri: report, ...DECK, file })).toMatchObject({ file });
    expect(await client.result(PEAKS, { file, ...range, columns: 200, channel: null })).toBeNull();
    expect(await client.result(SOUND, { file, start: CLAP, count: 100, channel: null })).toBeNull();
    expect(await client.result(CLAPS, { file, range, id: 1, columns: 500 })).toBeNull();
  });

  it('whose bytes end while they are read is no recording, and nothing hangs', async () => {
    await reading();
    client.answers.set('afterclap/readBytes', () => null);
    const answer = await client.result(MEDIA, { uri: report, ...DECK, file });
    expect(answer.recording).toBeNull();
    expect(answer.words).toBe("DECK_0020.wav can't be read: the editor reads it no more.");
  });
});
