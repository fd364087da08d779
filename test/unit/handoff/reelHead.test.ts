/**
 * What stands before the samples of a reel, byte by byte: bext against EBU Tech 3285, RF64 against EBU Tech 3306, coding history against
 * EBU R 98, iXML against the open specification.
 */

import { describe, expect, test } from 'vitest';
import { validateXML } from 'xmllint-wasm';
import { byteSourceOf } from '../../../server/src/sound/byteSource.ts';
import { broadcastChunk } from '../../../server/src/sound/reel/broadcastChunk.ts';
import { codingHistory } from '../../../server/src/sound/reel/codingHistory.ts';
import type { ReelLayout } from '../../../server/src/sound/reel/reel.ts';
import { type ReelIxml, reelIxml } from '../../../server/src/sound/reel/reelIxml.ts';
import { waveHead } from '../../../server/src/sound/reel/waveHead.ts';
import { type IxmlNode, readIxml, textAt } from '../../../server/src/sound/wave/ixml.ts';
import { readWaveHeader } from '../../../server/src/sound/wave/readWaveHeader.ts';

const STEREO_24: ReelLayout = {
  format: { encoding: 'integer', validBits: 24, containerBytes: 3 },
  channelCount: 2,
  sampleRate: 48000,
  sampleCount: 1001,
};

const FIELDS = {
  description: 'Sync reel: DECK_0012.wav for CAM_A_0007.mov',
  originator: 'Afterclap 0.1.0',
  originatorReference: 'AFTERCLAP-0123456789abcdef',
  originationDate: '2026-03-04',
  originationTime: '10:20:30',
  timeReference: 172_972_800,
  codingHistory: 'A=PCM,F=48000,W=24,M=stereo,T=one\r\n',
};

describe('the bext chunk (field offsets of EBU Tech 3285 version 2, 2011, as quoted elsewhere)', () => {
  const bytes = Buffer.from(broadcastChunk(FIELDS));
  const text = (offset: number, length: number): string => bytes.toString('latin1', offset, offset + length).replace(/\0+$/, '');

  test('every field stands at its offset', () => {
    expect(text(0, 256)).toBe(FIELDS.description);
    expect(text(256, 32)).toBe(FIELDS.originator);
    expect(text(288, 32)).toBe(FIELDS.originatorReference);
    expect(text(320, 10)).toBe('2026-03-04');
    expect(text(330, 8)).toBe('10:20:30');
    // 01:00:00:00 at 24000/1001 is 172,972,800 samples at 48 kHz.
    expect([bytes.readUInt32LE(338), bytes.readUInt32LE(342)]).toEqual([172_972_800, 0]);
    expect(bytes.readUInt16LE(346)).toBe(1);
    // UMID and what is reserved are empty.
    expect(bytes.subarray(348, 602).every((byte) => byte === 0)).toBe(true);
    expect(bytes.toString('latin1', 602)).toBe(FIELDS.codingHistory);
  });

  test('a stamp beyond 32 bits goes into both words (24 h at 96 kHz is 8,294,400,000 samples)', () => {
    const late = Buffer.from(broadcastChunk({ ...FIELDS, timeReference: 8_294_400_000 }));
    expect(late.readUInt32LE(338) + late.readUInt32LE(342) * 2 ** 32).toBe(8_294_400_000);
    expect(late.readUInt32LE(342)).toBe(1);
  });

  test('fields are cut to their length and kept to ASCII', () => {
    const long = Buffer.from(broadcastChunk({ ...FIELDS, description: 'é'.repeat(300), originator: 'Ω'.repeat(40) }));
    expect(long.toString('latin1', 0, 256)).toBe('e'.repeat(256));
    expect(long.toString('latin1', 256, 288)).toBe('?'.repeat(32));
  });
});

describe('the coding history (EBU R 98-1999)', () => {
  test('one line for each step, the recorder in front, commas only between fields', () => {
    const history = codingHistory('A=PCM,F=48000,W=24,M=stereo,T=recorder\r\n\0\0', STEREO_24, ['Afterclap', 'reel of A, B']);
    expect(history).toBe('A=PCM,F=48000,W=24,M=stereo,T=recorder\r\nA=PCM,F=48000,W=24,M=stereo,T=Afterclap; reel of A  B\r\n');
  });

  test('a mode only where the recommendation has a word for it', () => {
    expect(codingHistory('', { ...STEREO_24, channelCount: 1 }, ['x'])).toContain('M=mono');
    expect(codingHistory('', { ...STEREO_24, channelCount: 8 }, ['x'])).toBe('A=PCM,F=48000,W=24,T=x\r\n');
  });
});

describe('RIFF, and RF64 beyond 4 GiB (EBU Tech 3306)', () => {
  const head = (layout: Partial<ReelLayout>) =>
    waveHead({
      layout: { ...STEREO_24, ...layout },
      broadcast: broadcastChunk(FIELDS),
      ixml: new TextEncoder().encode('<BWFXML/>'),
    });

  test('sizes add up, chunks have even lengths', () => {
    const { bytes, padBytes, fileBytes } = head({ channelCount: 1 });
    const buffer = Buffer.from(bytes);
    expect(buffer.toString('latin1', 0, 4)).toBe('RIFF');
    expect(padBytes).toBe(1);
    expect(buffer.readUInt32LE(4)).toBe(fileBytes - 8);
    expect(fileBytes).toBe(bytes.length + 3003 + 1);
    expect(buffer.toString('latin1', bytes.length - 8, bytes.length - 4)).toBe('data');
    expect(buffer.readUInt32LE(bytes.length - 4)).toBe(3003);
  });

  test('beyond 4 GiB: RF64, ds64 first, true sizes in 64 bits, the old ones at their largest', () => {
    const sampleCount = 1_000_000_000;
    const { bytes, fileBytes } = head({ sampleCount });
    const buffer = Buffer.from(bytes);
    expect(buffer.toString('latin1', 0, 4)).toBe('RF64');
    expect(buffer.readUInt32LE(4)).toBe(0xffffffff);
    expect(buffer.toString('latin1', 8, 16)).toBe('WAVEds64');
    expect(buffer.readUInt32LE(16)).toBe(28);
    expect(buffer.readBigUInt64LE(20)).toBe(BigInt(fileBytes - 8));
    expect(buffer.readBigUInt64LE(28)).toBe(BigInt(sampleCount * 6));
    expect(buffer.readBigUInt64LE(36)).toBe(BigInt(sampleCount));
    expect(buffer.readUInt32LE(44)).toBe(0);
    expect(buffer.readUInt32LE(bytes.length - 4)).toBe(0xffffffff);
  });

  test('the step from one to the other is where 32 bits end', () => {
    const headBytes = head({}).bytes.length;
    const last = Math.floor((0xfffffffe + 8 - headBytes) / 6);
    expect(Buffer.from(head({ sampleCount: last }).bytes).toString('latin1', 0, 4)).toBe('RIFF');
    expect(Buffer.from(head({ sampleCount: last + 1 }).bytes).toString('latin1', 0, 4)).toBe('RF64');
  });

  test('a long reel is read again as it was meant', async () => {
    const layout = { sampleCount: 1_000_000_000 };
    const { bytes, fileBytes } = head(layout);
    const source = byteSourceOf(bytes);
    const { header, problems } = await readWaveHeader({ ...source, size: fileBytes });
    expect(problems).toEqual([]);
    expect(header).toMatchObject({ container: 'RF64', sampleCount: layout.sampleCount, channelCount: 2, sampleRate: 48000 });
    expect(header?.broadcast?.timeReference).toBe(172_972_800);
  });

  test('float samples come with their fact chunk', () => {
    const float = Buffer.from(head({ format: { encoding: 'float', validBits: 32, containerBytes: 4 } }).bytes);
    expect(float.readUInt16LE(20)).toBe(3);
    const fact = float.indexOf('fact');
    expect([float.readUInt32LE(fact + 4), float.readUInt32LE(fact + 8)]).toEqual([4, 1001]);
  });
});

describe('iXML (open specification; every tag optional)', () => {
  const RECORDIST = `<?xml version="1.0" encoding="UTF-8"?>
<BWFXML><IXML_VERSION>2.10</IXML_VERSION><PROJECT>Millrace</PROJECT><SCENE>4A &amp; B</SCENE><TAKE>2</TAKE><TAPE>3</TAPE><NOTE>wind</NOTE><UBITS>12345678</UBITS>
<FILE_UID>REC-1</FILE_UID><SPEED><TIMECODE_RATE>25/1</TIMECODE_RATE><DIGITIZER_SAMPLE_RATE>48048</DIGITIZER_SAMPLE_RATE><TIMESTAMP_SAMPLES_SINCE_MIDNIGHT_LO>5</TIMESTAMP_SAMPLES_SINCE_MIDNIGHT_LO></SPEED>
<TRACK_LIST><TRACK_COUNT>2</TRACK_COUNT><TRACK><CHANNEL_INDEX>1</CHANNEL_INDEX><NAME>Boom</NAME></TRACK><TRACK><CHANNEL_INDEX>2</CHANNEL_INDEX><NAME>Müllerin</NAME></TRACK></TRACK_LIST>
<BEXT><BWF_DESCRIPTION>old</BWF_DESCRIPTION></BEXT><LOUDNESS><LOUDNESS_VALUE>-23</LOUDNESS_VALUE></LOUDNESS><USER>ours</USER></BWFXML>`;
  const source = readIxml(new TextEncoder().encode(RECORDIST), []).tree;

  const made = (
    options: Partial<ReelIxml> = {},
  ): { readonly text: string; readonly tree: IxmlNode | null; readonly at: (path: string) => string | null } => {
    const text = reelIxml({
      source,
      layout: STEREO_24,
      timeReference: 5_000_000_000,
      frameRate: '24000/1001',
      isDropFrame: false,
      fileUid: 'AFTERCLAP-1',
      parentFileName: 'DECK_0012.wav',
      syncPoints: [{ function: 'SLATE_GENERIC', isAbsolute: false, sample: 4_294_967_300, comment: 'clap 1' }],
      note: 'Sync reel',
      ...options,
    });
    const { tree } = readIxml(new TextEncoder().encode(text), []);
    return { text, tree, at: (path) => textAt(tree, path) };
  };

  test("the picture's timecode in place of the recorder's", () => {
    const { at } = made();
    expect(at('SPEED/TIMECODE_RATE')).toBe('24000/1001');
    expect(at('SPEED/TIMECODE_FLAG')).toBe('NDF');
    expect(made({ isDropFrame: true, frameRate: '30000/1001' }).at('SPEED/TIMECODE_FLAG')).toBe('DF');
    expect(
      Number(at('SPEED/TIMESTAMP_SAMPLES_SINCE_MIDNIGHT_HI')) * 2 ** 32 + Number(at('SPEED/TIMESTAMP_SAMPLES_SINCE_MIDNIGHT_LO')),
    ).toBe(5_000_000_000);
    expect([at('SPEED/FILE_SAMPLE_RATE'), at('SPEED/TIMESTAMP_SAMPLE_RATE'), at('SPEED/AUDIO_BIT_DEPTH')]).toEqual([
      '48000',
      '48000',
      '24',
    ]);
  });

  test('that the recorder was pulled stays known', () => {
    expect(made().at('SPEED/DIGITIZER_SAMPLE_RATE')).toBe('48048');
    expect(made({ source: null }).at('SPEED/DIGITIZER_SAMPLE_RATE')).toBe('48000');
  });

  test('what the recordist wrote is kept, letters and all', () => {
    const { at, text } = made();
    expect([at('PROJECT'), at('SCENE'), at('TAKE'), at('TAPE'), at('NOTE'), at('UBITS'), at('USER')]).toEqual([
      'Millrace',
      '4A & B',
      '2',
      '3',
      'wind',
      '12345678',
      'ours',
    ]);
    expect(readIxml(new TextEncoder().encode(text), []).trackNames).toEqual(['Boom', 'Müllerin']);
  });

  test('what belongs to another file is not', () => {
    const { at, text } = made();
    expect(at('FILE_UID')).toBe('AFTERCLAP-1');
    expect(text).not.toContain('LOUDNESS');
    expect(text).not.toContain('BWF_DESCRIPTION');
    expect([at('HISTORY/ORIGINAL_FILENAME'), at('HISTORY/PARENT_FILENAME'), at('HISTORY/PARENT_UID')]).toEqual([
      'DECK_0012.wav',
      'DECK_0012.wav',
      'REC-1',
    ]);
  });

  test('the clap stands in the published place for one, in samples of the reel', () => {
    const { tree } = made();
    const { syncPoints } = readIxml(new TextEncoder().encode(made().text), []);
    expect(tree).not.toBeNull();
    expect(syncPoints).toEqual([{ function: 'SLATE_GENERIC', isAbsolute: false, sample: 4_294_967_300, comment: 'clap 1' }]);
  });

  test('without a word from the recordist it is still whole', () => {
    const { at, text } = made({ source: null, parentFileName: null, syncPoints: [] });
    expect(at('NOTE')).toBe('Sync reel');
    expect(text).not.toContain('SYNC_POINT');
    expect(made({ source: '' }).at('NOTE')).toBe('Sync reel');
  });

  test('is well-formed whatever names hold (checked by libxml2)', async () => {
    const { text } = made({
      parentFileName: 'a<b>&"c"\u0000\u0001\ud800.wav',
      note: ']]>',
      source: { NOTE: ['  '], PROJECT: ['\u0007'] },
    });
    const result = await validateXML({ xml: [{ fileName: 'reel.xml', contents: text }], normalization: 'format' });
    expect(result.errors).toEqual([]);
    expect(result.valid).toBe(true);
    const broken = await validateXML({
      xml: [{ fileName: 'broken.xml', contents: text.replace('</SPEED>', '') }],
      normalization: 'format',
    });
    expect(broken.valid).toBe(false);
  });
});
