/** Wave headers against the layouts of EBU Tech 3285, EBU Tech 3306 / ITU-R BS.2088 and the open iXML specification. */

import { describe, expect, test } from 'vitest';
import { type ByteSource, byteSourceOf } from '../../../server/src/sound/byteSource.ts';
import { readWaveHeader, type WaveReading } from '../../../server/src/sound/wave/readWaveHeader.ts';
import type { WaveHeader } from '../../../server/src/sound/wave/waveHeader.ts';
import {
  ascii,
  type Chunk,
  dataChunk,
  ds64Chunk,
  encodeSamples,
  extensibleFormatChunk,
  formatChunk,
  waveFile,
} from './waveBytes.ts';

const read = (bytes: Uint8Array): Promise<WaveReading> => readWaveHeader(byteSourceOf(bytes));
const silence = (count: number): Chunk => dataChunk(encodeSamples('s24', new Float32Array(count)));
const messages = (reading: WaveReading): string => reading.problems.map((problem) => problem.message).join('\n');

function headerOf(reading: WaveReading): WaveHeader {
  if (reading.header === null) throw new Error(messages(reading));
  return reading.header;
}

describe('a plain file', () => {
  test('48 kHz, 24 bit, mono', async () => {
    const reading = await read(waveFile([formatChunk(), silence(480)]));
    expect(reading.problems).toEqual([]);
    expect(headerOf(reading)).toMatchObject({
      container: 'RIFF',
      format: { encoding: 'integer', validBits: 24, containerBytes: 3 },
      channelCount: 1,
      sampleRate: 48000,
      dataOffset: 44,
      dataBytes: 1440,
      sampleCount: 480,
    });
  });

  // Block align is channels x bits / 8: 24 bytes for 8 channels of 24 bits (computed).
  test('8 channels of 24 bits take 24 bytes a block', async () => {
    const reading = await read(waveFile([formatChunk({ channels: 8 }), dataChunk(new Uint8Array(240))]));
    expect(headerOf(reading)).toMatchObject({ blockBytes: 24, sampleCount: 10 });
  });

  test('WAVE_FORMAT_EXTENSIBLE with 20 valid bits in 24', async () => {
    const reading = await read(waveFile([extensibleFormatChunk({ validBits: 20 }), silence(4)]));
    expect(reading.problems).toEqual([]);
    expect(headerOf(reading).format).toEqual({ encoding: 'integer', validBits: 20, containerBytes: 3 });
  });

  test('WAVE_FORMAT_EXTENSIBLE with a float sub-format', async () => {
    const reading = await read(waveFile([extensibleFormatChunk({ bits: 32, subformat: 3 }), dataChunk(new Uint8Array(16))]));
    expect(headerOf(reading)).toMatchObject({ format: { encoding: 'float', containerBytes: 4 }, sampleCount: 4 });
  });
});

describe('bext (EBU Tech 3285 v2: offsets from the first byte of the chunk)', () => {
  function bextChunk(low: number, high: number): Chunk {
    // 602 fixed bytes and 13 of coding history: 0x267 = 615, odd, so RIFF adds a pad byte.
    const body = new Uint8Array(602 + 13);
    body.set(ascii('clap test'), 0);
    body.set(ascii('recorder'), 256);
    body.set(ascii('REF'), 288);
    body.set(ascii('2024-05-06'), 320);
    body.set(ascii('07:08:09'), 330);
    const view = new DataView(body.buffer);
    view.setUint32(338, low, true);
    view.setUint32(342, high, true);
    view.setUint16(346, 2, true);
    body.set(ascii('A=PCM,F=48000'), 602);
    return { id: 'bext', body };
  }

  test('fields stand at 0, 256, 288, 320, 330, 338, 346 and 602', async () => {
    const reading = await read(waveFile([bextChunk(12345, 0), formatChunk(), silence(2)]));
    expect(reading.problems).toEqual([]);
    expect(headerOf(reading).broadcast).toEqual({
      description: 'clap test',
      originator: 'recorder',
      originatorReference: 'REF',
      originationDate: '2024-05-06',
      originationTime: '07:08:09',
      timeReference: 12345,
      version: 2,
      codingHistory: 'A=PCM,F=48000',
    });
  });

  // 64-bit join of the two words (computed): low 1, high 1 is 2^32 + 1.
  test('the time stamp joins both words', async () => {
    const reading = await read(waveFile([bextChunk(1, 1), formatChunk(), silence(2)]));
    expect(headerOf(reading).broadcast?.timeReference).toBe(4294967297);
  });

  test('a chunk after the samples is found too', async () => {
    const reading = await read(waveFile([formatChunk(), silence(1), bextChunk(7, 0)]));
    expect(headerOf(reading).broadcast?.timeReference).toBe(7);
  });

  test('a chunk too short for the stamp is said to be so', async () => {
    const reading = await read(waveFile([{ id: 'bext', body: new Uint8Array(300) }, formatChunk(), silence(2)]));
    expect(headerOf(reading).broadcast).toBeNull();
    expect(messages(reading)).toContain('time stamp ends at byte 346');
  });
});

describe('RF64 and BW64 (EBU Tech 3306 v1.1, ITU-R BS.2088)', () => {
  test.each(['RF64', 'BW64'])('%s takes the data size from ds64', async (container) => {
    const data = dataChunk(new Uint8Array(300), 0xffffffff);
    const file = waveFile([ds64Chunk(0, 300, 100), formatChunk(), data], container);
    const view = new DataView(file.buffer);
    view.setBigUint64(20, BigInt(file.length - 8), true);
    const reading = await read(file);
    expect(reading.problems).toEqual([]);
    expect(headerOf(reading)).toMatchObject({ container, sampleCount: 100 });
  });

  // The first field with value 4886718336 is stored 80 67 45 23 01 00 00 00: low word first. Some readers swap the words.
  test('sizes are low word first, and a file over 4 GiB is walked without reading its samples', async () => {
    const dataSize = 4886718336;
    const chunk = ds64Chunk(0, dataSize, dataSize / 3);
    expect([...chunk.body.subarray(8, 16)]).toEqual([0x80, 0x67, 0x45, 0x23, 1, 0, 0, 0]);
    const head = waveFile([chunk, formatChunk(), dataChunk(new Uint8Array(0), 0xffffffff)], 'RF64');
    const tail = ixmlChunk('<BWFXML><SCENE>9</SCENE></BWFXML>');
    new DataView(head.buffer).setBigUint64(20, BigInt(head.length + dataSize + tail.length - 8), true);
    const source = sparseSource(head, dataSize, tail);
    const reading = await readWaveHeader(source);
    expect(reading.problems).toEqual([]);
    expect(headerOf(reading)).toMatchObject({ dataBytes: dataSize, sampleCount: dataSize / 3, ixml: { scene: '9' } });
    expect(source.bytesRead).toBeLessThan(1000);
  });

  test('without ds64 the sound is read to the end of the file, and that is said', async () => {
    const reading = await read(waveFile([formatChunk(), dataChunk(new Uint8Array(30), 0xffffffff)], 'RF64'));
    expect(headerOf(reading).sampleCount).toBe(10);
    expect(messages(reading)).toContain('no ds64 chunk');
    expect(messages(reading)).toContain('read to the end of the file');
  });
});

describe('iXML (open specification; every tag optional)', () => {
  // Numbers of the specification's own sample file (v1.52).
  const sample = `<?xml version="1.0" encoding="UTF-8"?><BWFXML><IXML_VERSION>1.5</IXML_VERSION><PROJECT>Invented</PROJECT>
    <SCENE>12</SCENE><TAKE>3</TAKE><TAPE>day 1</TAPE><SPEED><TIMECODE_RATE>24000/1001</TIMECODE_RATE><TIMECODE_FLAG>NDF</TIMECODE_FLAG>
    <FILE_SAMPLE_RATE>48000</FILE_SAMPLE_RATE><DIGITIZER_SAMPLE_RATE>48048</DIGITIZER_SAMPLE_RATE>
    <TIMESTAMP_SAMPLES_SINCE_MIDNIGHT_HI>0</TIMESTAMP_SAMPLES_SINCE_MIDNIGHT_HI>
    <TIMESTAMP_SAMPLES_SINCE_MIDNIGHT_LO>48048000</TIMESTAMP_SAMPLES_SINCE_MIDNIGHT_LO></SPEED>
    <SYNC_POINT_LIST><SYNC_POINT_COUNT>1</SYNC_POINT_COUNT><SYNC_POINT><SYNC_POINT_TYPE>RELATIVE</SYNC_POINT_TYPE>
    <SYNC_POINT_FUNCTION>SLATE_GENERIC</SYNC_POINT_FUNCTION><SYNC_POINT_LOW>6544645</SYNC_POINT_LOW><SYNC_POINT_HIGH>0</SYNC_POINT_HIGH>
    </SYNC_POINT></SYNC_POINT_LIST><TRACK_LIST><TRACK_COUNT>2</TRACK_COUNT><TRACK><NAME>boom</NAME></TRACK><TRACK><NAME>lapel</NAME></TRACK>
    </TRACK_LIST></BWFXML>`;

  test('scene, rate, stamp, marks and track names', async () => {
    const reading = await read(withIxml(sample));
    expect(headerOf(reading).ixml).toMatchObject({
      project: 'Invented',
      scene: '12',
      take: '3',
      tape: 'day 1',
      timecodeRate: '24000/1001',
      isDropFrame: false,
      timestamp: 48048000,
      trackNames: ['boom', 'lapel'],
      syncPoints: [{ function: 'SLATE_GENERIC', isAbsolute: false, sample: 6544645 }],
    });
    expect(messages(reading)).toBe(
      'iXML says that the converter ran at 48048 Hz and the file is labelled 48000 Hz: the sound was pulled by 0.10 %.',
    );
  });

  test.each([
    ['an empty root', '<BWFXML/>'],
    ['a root without what we look for', '<BWFXML><OTHER a="1">x</OTHER></BWFXML>'],
  ])('%s is fine', async (_name, text) => {
    const reading = await read(withIxml(text));
    expect(reading.problems).toEqual([]);
    expect(headerOf(reading).ixml?.scene).toBeNull();
  });

  test.each([
    ['cut short', '<BWFXML><SCENE>1'],
    ['not XML', 'hello'],
    ['empty', ''],
    ['with a DOCTYPE', '<!DOCTYPE x [<!ENTITY a "b">]><BWFXML>&a;</BWFXML>'],
  ])('%s: the text is kept, the tags are not read, the sound is', async (_name, text) => {
    const reading = await read(withIxml(text));
    expect(headerOf(reading)).toMatchObject({ sampleCount: 3, ixml: { text, tree: null } });
    expect(messages(reading)).toContain('its tags were not read');
  });

  test('one byte per letter is read where the text is not UTF-8', async () => {
    const reading = await read(withIxml('<BWFXML><SCENE>caf\u00e9</SCENE></BWFXML>'));
    expect(headerOf(reading).ixml?.scene).toBe('caf\u00e9');
  });

  test('a stamp that contradicts bext is said, and bext is believed', async () => {
    const bext: Chunk = { id: 'bext', body: new Uint8Array(602) };
    const reading = await read(waveFile([bext, formatChunk(), silence(1), { id: 'iXML', body: ascii(sample) }]));
    expect(headerOf(reading).broadcast?.timeReference).toBe(0);
    expect(messages(reading)).toContain('iXML gives a time stamp of 48048000 samples, the bext chunk 0');
  });

  function withIxml(text: string): Uint8Array {
    return waveFile([formatChunk(), silence(3), { id: 'iXML', body: ascii(text) }]);
  }
});

describe('headers that lie are read as far as the file goes', () => {
  test('a recording cut short', async () => {
    const reading = await read(
      waveFile([formatChunk(), { ...dataChunk(new Uint8Array(301), 9000), hasPad: false }], 'RIFF', 9036),
    );
    expect(headerOf(reading).sampleCount).toBe(100);
    expect(messages(reading)).toContain('claims 9000 bytes, but the file ends after 301 of them');
    expect(messages(reading)).toContain('the last 1 byte');
  });

  test('a recorder that never wrote the size', async () => {
    const reading = await read(waveFile([formatChunk(), dataChunk(new Uint8Array(300).fill(9), 0)]));
    expect(headerOf(reading).sampleCount).toBe(100);
    expect(messages(reading)).toContain('claims 0 bytes, but 300 bytes follow');
  });

  test('an odd chunk with its pad byte, and one without', async () => {
    const odd = (hasPad: boolean): Chunk => ({ id: 'note', body: ascii('odd'), hasPad });
    const padded = await read(waveFile([odd(true), formatChunk(), silence(5)]));
    expect(padded.problems).toEqual([]);
    expect(headerOf(padded).sampleCount).toBe(5);
    const unpadded = await read(waveFile([odd(false), formatChunk(), silence(5)]));
    expect(headerOf(unpadded).sampleCount).toBe(5);
    expect(messages(unpadded)).toContain('no pad byte');
  });

  test('a wrong form size, a wrong byte rate, a wrong block size', async () => {
    const reading = await read(waveFile([formatChunk({ bytesPerSecond: 1, blockBytes: 7 }), silence(9)], 'RIFF', 4));
    expect(headerOf(reading)).toMatchObject({ sampleCount: 9, format: { containerBytes: 3 } });
    expect(messages(reading)).toContain('blocks of 7 bytes');
    expect(messages(reading)).toContain('1 bytes per second');
    expect(messages(reading)).toContain('The header gives the file 12 bytes');
  });

  test('garbage between chunks ends the walk, not the reading', async () => {
    const file = waveFile([formatChunk(), silence(4), { id: '\u0001\u0002\u0003\u0004', body: new Uint8Array(6) }]);
    const reading = await read(file);
    expect(headerOf(reading).sampleCount).toBe(4);
    expect(messages(reading)).toContain('a chunk should begin');
  });
});

describe('what cannot be read is refused in one sentence', () => {
  test.each([
    ['an empty file', new Uint8Array(0), 'The file is empty (0 bytes).'],
    ['a text', ascii('This is a letter, not a recording.'), 'not a WAV file'],
    ['a stub', ascii('RIFF'), 'not a WAV file'],
    ['high byte first', ascii('RIFX0000WAVE'), 'high byte first'],
    ['no format', waveFile([silence(2)]), 'no usable fmt chunk'],
    ['no samples chunk', waveFile([formatChunk()]), 'no data chunk'],
    ['a lossy format', waveFile([formatChunk({ tag: 85 }), silence(2)]), 'MPEG layer 3'],
    ['no channels', waveFile([formatChunk({ channels: 0 }), silence(2)]), '0 channels'],
    ['no sample rate', waveFile([formatChunk({ sampleRate: 0 }), silence(2)]), 'sample rate of 0 Hz'],
    ['impossible bits', waveFile([formatChunk({ bits: 99, blockBytes: 77 }), silence(2)]), 'fits no known format'],
  ])('%s', async (_name, bytes, expected) => {
    const reading = await read(bytes);
    expect(reading.header).toBeNull();
    expect(reading.problems.at(-1)?.severity).toBe('error');
    expect(reading.problems.at(-1)?.message).toContain(expected);
  });

  test('zero samples are a file without sound, not an error', async () => {
    const reading = await read(waveFile([formatChunk(), silence(0)]));
    expect(headerOf(reading).sampleCount).toBe(0);
    expect(messages(reading)).toContain('The file holds no samples.');
  });
});

function ixmlChunk(text: string): Uint8Array {
  const body = ascii(text);
  const bytes = new Uint8Array(8 + body.length);
  bytes.set(ascii('iXML'), 0);
  new DataView(bytes.buffer).setUint32(4, body.length, true);
  bytes.set(body, 8);
  return bytes;
}

/** Head and tail around a hole of zeros that takes no memory; counts what is read. */
function sparseSource(head: Uint8Array, hole: number, tail: Uint8Array): ByteSource & { bytesRead: number } {
  const source = {
    bytesRead: 0,
    size: head.length + hole + tail.length,
    read: (offset: number, length: number): Promise<Uint8Array> => {
      const block = new Uint8Array(Math.max(0, Math.min(length, source.size - offset)));
      source.bytesRead += block.length;
      for (let index = 0; index < block.length; index += 1) {
        const at = offset + index;
        block[index] = head[at] ?? tail[at - head.length - hole] ?? 0;
      }
      return Promise.resolve(block);
    },
  };
  return source;
}
