/**
 * A reel read back by programs that are not ours: ffprobe, sox and mediainfo where they are installed (Debian's), and by hand at the
 * offsets of EBU Tech 3285. What is not installed is said and passed over; the reading by hand always runs.
 */

import { execFileSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { waveFields } from '../../support/waveFields.ts';
import { buildCli, makeWorkspace, type Workspace } from '../cli/runCli.ts';
import { FRAME, layOut } from './shoot.ts';

const IXML = `<?xml version="1.0" encoding="UTF-8"?>
<BWFXML><PROJECT>Millrace</PROJECT><SCENE>7</SCENE><TAKE>2</TAKE><TAPE>R3</TAPE>
<SYNC_POINT_LIST><SYNC_POINT_COUNT>1</SYNC_POINT_COUNT><SYNC_POINT><SYNC_POINT_TYPE>RELATIVE</SYNC_POINT_TYPE><SYNC_POINT_FUNCTION>MARKER_GENERIC</SYNC_POINT_FUNCTION><SYNC_POINT_COMMENT>plane</SYNC_POINT_COMMENT><SYNC_POINT_LOW>96000</SYNC_POINT_LOW><SYNC_POINT_HIGH>0</SYNC_POINT_HIGH></SYNC_POINT></SYNC_POINT_LIST>
<TRACK_LIST><TRACK_COUNT>2</TRACK_COUNT><TRACK><CHANNEL_INDEX>1</CHANNEL_INDEX><NAME>Boom</NAME></TRACK><TRACK><CHANNEL_INDEX>2</CHANNEL_INDEX><NAME>Lav</NAME></TRACK></TRACK_LIST></BWFXML>`;
const FRAMES = 240;
/** 01:00:00:00 at 24000/1001 in samples at 48 kHz (computed: 86,400 frames of 2,002 samples). */
const STAMP = 172_972_800;

let work: Workspace;
let reel: string;

beforeAll(async () => {
  work = makeWorkspace('empty');
  const cli = await buildCli();
  try {
    layOut(
      work,
      'for other readers',
      { offset: 48_000, driftPpm: 30, frames: FRAMES },
      { timeReference: 2_430_602_400, ixml: IXML },
    );
    const { exitCode, stderr } = await cli.run(['handoff', 'cut.otio', '--out', 'mix'], work.folder);
    expect({ exitCode, stderr }).toEqual({ exitCode: 0, stderr: '' });
    reel = work.path('mix/reels/cam--deck.wav');
  } finally {
    cli.dispose();
  }
});
afterAll(() => work.dispose());

/** What a program prints; null, with a line on the console, where it is not installed. */
function ask(program: string, ...words: readonly string[]): string | null {
  try {
    return execFileSync(program, words, { encoding: 'utf8', stdio: ['ignore', 'pipe', 'ignore'] });
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== 'ENOENT') throw error;
    console.log(`skipped: ${program} is not installed here`);
    return null;
  }
}

describe('ffprobe', () => {
  test('reads stamp, history, form and length', (context) => {
    const printed = ask('ffprobe', '-v', 'error', '-print_format', 'json', '-show_format', '-show_streams', reel);
    if (printed === null) return context.skip('ffprobe is not installed');
    const { format, streams } = JSON.parse(printed) as {
      format: { tags: Record<string, string> };
      streams: readonly Record<string, string | number>[];
    };
    expect(format.tags).toMatchObject({
      time_reference: String(STAMP),
      encoded_by: expect.stringMatching(/^Afterclap /),
      date: '2026-03-04',
      creation_time: '09:12:00',
    });
    expect(format.tags['comment']).toContain('Sync reel: deck.wav for cam.mov, first sample at 01:00:00:00');
    expect(format.tags['coding_history']).toContain('T=invented recorder');
    expect(format.tags['coding_history']).toMatch(
      /A=PCM,F=48000,W=24,M=stereo,T=Afterclap [^,]*drift taken out[^,]*threshold 1 sample/,
    );
    expect(streams[0]).toMatchObject({ codec_name: 'pcm_s24le', channels: 2, sample_rate: '48000', duration_ts: FRAMES * FRAME });
  });
});

describe('sox', () => {
  test('reads form and length, to the sample', (context) => {
    const printed = ask('sox', '--info', reel);
    if (printed === null) return context.skip('sox is not installed');
    expect(printed).toMatch(/Channels\s*: 2/);
    expect(printed).toMatch(/Sample Rate\s*: 48000/);
    expect(printed).toMatch(/Precision\s*: 24-bit/);
    expect(printed).toContain(`= ${FRAMES * FRAME} samples`);
  });
});

describe('mediainfo', () => {
  test('reads form, stamp and who made it', (context) => {
    const printed = ask('mediainfo', '--Output=JSON', reel);
    if (printed === null) return context.skip('mediainfo is not installed');
    const { media } = JSON.parse(printed) as { media: { track: readonly Record<string, unknown>[] } };
    const general = media.track.find((track) => track['@type'] === 'General');
    const audio = media.track.find((track) => track['@type'] === 'Audio');
    expect(audio).toMatchObject({ Channels: '2', SamplingRate: '48000', BitDepth: '24', SamplingCount: String(FRAMES * FRAME) });
    // Its delay is the stamp in seconds: 3603.6 for 01:00:00:00 at 24000/1001.
    expect(Number(audio?.['Delay'])).toBeCloseTo(3603.6, 3);
    expect(JSON.stringify(general)).toContain('Sync reel: deck.wav for cam.mov');
  });
});

describe('by hand', () => {
  test('bext at the offsets of EBU Tech 3285', () => {
    const bext = waveFields(readFileSync(reel)).body('bext');
    const text = (offset: number, length: number): string => bext.toString('latin1', offset, offset + length).replace(/\0+$/, '');
    expect(text(0, 256)).toBe('Sync reel: deck.wav for cam.mov, first sample at 01:00:00:00, 23.976 frames per second');
    expect(text(320, 10)).toBe('2026-03-04');
    expect(text(330, 8)).toBe('09:12:00');
    expect(bext.readUInt32LE(338) + bext.readUInt32LE(342) * 2 ** 32).toBe(STAMP);
    expect(
      text(602, 5000)
        .split('\r\n')
        .filter((line) => line !== ''),
    ).toHaveLength(2);
  });

  test("iXML: the recordist's words, the picture's timecode, marks where they are heard now", () => {
    const ixml = waveFields(readFileSync(reel)).body('iXML').toString('utf8');
    const tag = (name: string): string | undefined => new RegExp(`<${name}>([^<]*)</${name}>`).exec(ixml)?.[1];
    expect([tag('PROJECT'), tag('SCENE'), tag('TAKE'), tag('TAPE')]).toEqual(['Millrace', '7', '2', 'R3']);
    expect([tag('TIMECODE_RATE'), tag('TIMECODE_FLAG'), tag('FILE_SAMPLE_RATE'), tag('AUDIO_BIT_DEPTH')]).toEqual([
      '24000/1001',
      'NDF',
      '48000',
      '24',
    ]);
    expect(Number(tag('TIMESTAMP_SAMPLES_SINCE_MIDNIGHT_LO'))).toBe(STAMP);
    expect(tag('PARENT_FILENAME')).toBe('deck.wav');
    expect([...ixml.matchAll(/<NAME>([^<]*)</g)].map(([, name]) => name)).toEqual(['Boom', 'Lav']);
    // The plane was at 96,000 in the recording, which began 48,000 samples before the camera, at 30 ppm (1.4 samples here).
    const marks = [...ixml.matchAll(/<SYNC_POINT_FUNCTION>(\w+)<.*?<SYNC_POINT_LOW>(\d+)</gs)].map(([, name, low]) => [
      name,
      Number(low),
    ]);
    expect(marks).toEqual([
      ['MARKER_GENERIC', 47_999],
      ['SLATE_GENERIC', 100 * FRAME],
    ]);
  });
});
