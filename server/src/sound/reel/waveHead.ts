/**
 * Everything of a wave file that stands before its samples, and the pad byte that may stand after them.
 *
 * All sizes are known before the first sample is written, so the head is right from the start and the file is written in one go. Below
 * 4 GiB it is RIFF; beyond that RF64 with a `ds64` chunk first (EBU Tech 3306). Order: fmt, bext, iXML, data.
 */

import { blockBytesOf, type Reel, type ReelLayout } from './reel.ts';

/** The largest size that RIFF can say; 0xFFFFFFFF itself means 'see ds64'. */
const LARGEST_RIFF_SIZE = 0xfffffffe;
const UNKNOWN_SIZE = 0xffffffff;
const TAG_INTEGER = 1;
const TAG_FLOAT = 3;
const TAG_EXTENSIBLE = 0xfffe;
/** Bytes 2 to 15 of the sub-format identifier that carries a plain tag in its first two bytes. */
const SUBFORMAT_TAIL = [0, 0, 0, 0, 0x10, 0, 0x80, 0, 0, 0xaa, 0, 0x38, 0x9b, 0x71];

export interface WaveHead {
  readonly bytes: Uint8Array;
  /** 1 when a zero byte has to follow the samples, since chunks have even lengths. */
  readonly padBytes: 0 | 1;
  /** Bytes of the whole file. */
  readonly fileBytes: number;
}

export function waveHead({ layout, broadcast, ixml }: Pick<Reel, 'layout' | 'broadcast' | 'ixml'>): WaveHead {
  const dataBytes = layout.sampleCount * blockBytesOf(layout);
  const padBytes = dataBytes % 2 === 0 ? 0 : 1;
  const chunks = [
    chunk('fmt ', formatBody(layout)),
    ...(layout.format.encoding === 'float' ? [chunk('fact', words(layout.sampleCount))] : []),
    chunk('bext', broadcast),
    chunk('iXML', ixml),
  ];
  const chunkBytes = chunks.reduce((sum, bytes) => sum + bytes.length, 0);
  const formSize = 4 + chunkBytes + 8 + dataBytes + padBytes;
  const isLarge = formSize > LARGEST_RIFF_SIZE;
  const sizes = isLarge ? [chunk('ds64', sizes64(formSize + 36, dataBytes, layout.sampleCount))] : [];
  const bytes = joined([
    letters(isLarge ? 'RF64' : 'RIFF'),
    words(isLarge ? UNKNOWN_SIZE : formSize),
    letters('WAVE'),
    ...sizes,
    ...chunks,
    letters('data'),
    words(isLarge ? UNKNOWN_SIZE : dataBytes),
  ]);
  return { bytes, padBytes, fileBytes: bytes.length + dataBytes + padBytes };
}

/** 64-bit sizes of form and data, the count of samples per channel, and an empty table (EBU Tech 3306, annex A.2). */
function sizes64(formSize: number, dataBytes: number, sampleCount: number): Uint8Array {
  const body = new Uint8Array(28);
  const view = new DataView(body.buffer);
  for (const [index, size] of [formSize, dataBytes, sampleCount].entries()) view.setBigUint64(index * 8, BigInt(size), true);
  return body;
}

/** The plain form wherever it says everything; the extensible one where a container has spare bits. */
function formatBody({ format, channelCount, sampleRate }: ReelLayout): Uint8Array {
  const { encoding, validBits, containerBytes } = format;
  const containerBits = containerBytes * 8;
  const isExtensible = encoding === 'integer' && validBits !== containerBits;
  const isFloat = encoding === 'float';
  const body = new Uint8Array(isExtensible ? 40 : isFloat ? 18 : 16);
  const view = new DataView(body.buffer);
  const tag = isFloat ? TAG_FLOAT : TAG_INTEGER;
  view.setUint16(0, isExtensible ? TAG_EXTENSIBLE : tag, true);
  view.setUint16(2, channelCount, true);
  view.setUint32(4, sampleRate, true);
  view.setUint32(8, sampleRate * containerBytes * channelCount, true);
  view.setUint16(12, containerBytes * channelCount, true);
  view.setUint16(14, containerBits, true);
  if (isExtensible) {
    view.setUint16(16, 22, true);
    view.setUint16(18, validBits, true);
    // No loudspeaker is claimed for any channel: these are microphones.
    view.setUint32(20, 0, true);
    view.setUint16(24, tag, true);
    body.set(SUBFORMAT_TAIL, 26);
  }
  return body;
}

function chunk(id: string, body: Uint8Array): Uint8Array {
  const bytes = new Uint8Array(8 + body.length + (body.length % 2));
  bytes.set(letters(id), 0);
  new DataView(bytes.buffer).setUint32(4, body.length, true);
  bytes.set(body, 8);
  return bytes;
}

/** One 32-bit count, held at its largest where it does not fit. */
function words(value: number): Uint8Array {
  const bytes = new Uint8Array(4);
  new DataView(bytes.buffer).setUint32(0, Math.min(value, UNKNOWN_SIZE), true);
  return bytes;
}

function letters(id: string): Uint8Array {
  return Uint8Array.from(id, (letter) => letter.charCodeAt(0));
}

function joined(parts: readonly Uint8Array[]): Uint8Array {
  const bytes = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let offset = 0;
  for (const part of parts) {
    bytes.set(part, offset);
    offset += part.length;
  }
  return bytes;
}
