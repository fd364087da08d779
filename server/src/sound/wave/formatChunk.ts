/**
 * The `fmt ` chunk: how bytes become samples.
 *
 * 16, 18 or 40 bytes (ITU-R BS.2088; published WAVEFORMATEXTENSIBLE documentation). The fields repeat each other, and recorders
 * and converters get some of them wrong; the block size decides, because it alone moves us from sample to sample.
 */

import type { SoundProblem } from '../soundProblem.ts';
import type { SampleFormat } from './waveHeader.ts';

export interface FormatChunk {
  readonly format: SampleFormat;
  readonly channelCount: number;
  readonly sampleRate: number;
  readonly blockBytes: number;
  readonly problems: readonly SoundProblem[];
  /** Why no sample can be read; null when they can. */
  readonly refusal: string | null;
}

const FORMAT_NAMES: Readonly<Record<number, string>> = {
  2: 'ADPCM',
  6: 'A-law',
  7: 'mu-law',
  17: 'ADPCM',
  80: 'MPEG audio',
  85: 'MPEG layer 3',
};
const TAG_INTEGER = 1;
const TAG_FLOAT = 3;
const TAG_EXTENSIBLE = 0xfffe;
/** Bytes 2 to 15 of the sub-format identifier that carries a plain tag in its first two bytes. */
const SUBFORMAT_TAIL = [0, 0, 0, 0, 0x10, 0, 0x80, 0, 0, 0xaa, 0, 0x38, 0x9b, 0x71];

/** Null when the chunk is too short to mean anything. */
export function readFormatChunk(chunk: Uint8Array): FormatChunk | null {
  if (chunk.length < 14) return null;
  const view = new DataView(chunk.buffer, chunk.byteOffset, chunk.byteLength);
  const problems: SoundProblem[] = [];
  const channelCount = view.getUint16(2, true);
  const sampleRate = view.getUint32(4, true);
  const writtenBlock = view.getUint16(12, true);
  let bits = chunk.length >= 16 ? view.getUint16(14, true) : 0;
  let tag = view.getUint16(0, true);
  let validBits = bits;
  if (tag === TAG_EXTENSIBLE && chunk.length >= 26) {
    validBits = view.getUint16(18, true) || bits;
    tag = view.getUint16(24, true);
    const isPlainSubformat = chunk.length < 40 || SUBFORMAT_TAIL.every((byte, index) => chunk[26 + index] === byte);
    if (!isPlainSubformat) tag = 0;
  }
  const refuse = (refusal: string): FormatChunk => ({
    format: { encoding: 'integer', validBits: 16, containerBytes: 2 },
    channelCount,
    sampleRate,
    blockBytes: 1,
    problems,
    refusal,
  });
  if (tag !== TAG_INTEGER && tag !== TAG_FLOAT) {
    const name = FORMAT_NAMES[tag] ?? `format 0x${tag.toString(16).padStart(4, '0')}`;
    return refuse(`The sound is coded as ${name}; only PCM and float are read here. Convert it to PCM first.`);
  }
  if (channelCount === 0) return refuse('The header gives 0 channels.');
  if (sampleRate === 0) return refuse('The header gives a sample rate of 0 Hz.');

  const encoding = tag === TAG_FLOAT ? 'float' : 'integer';
  let containerBytes = writtenBlock / channelCount;
  if (!isContainer(encoding, containerBytes)) {
    const fromBits = Math.ceil(bits / 8);
    if (!isContainer(encoding, fromBits)) {
      return refuse(
        `The header gives ${bits} bits and ${writtenBlock} bytes per block for ${channelCount} channels of ${encoding} samples, which fits no known format.`,
      );
    }
    problems.push({
      severity: 'warning',
      message: `The header gives blocks of ${writtenBlock} bytes; ${channelCount} channels of ${bits} bits take ${fromBits * channelCount}, which was used.`,
    });
    containerBytes = fromBits;
  } else if (bits > containerBytes * 8 || bits === 0 || (encoding === 'float' && bits !== containerBytes * 8)) {
    problems.push({
      severity: 'warning',
      message: `The header gives ${bits} bits, but its blocks have room for ${containerBytes * 8}; ${containerBytes * 8} was used.`,
    });
    bits = containerBytes * 8;
    validBits = bits;
  }
  const blockBytes = containerBytes * channelCount;
  const bytesPerSecond = view.getUint32(8, true);
  if (bytesPerSecond !== blockBytes * sampleRate) {
    problems.push({
      severity: 'information',
      message: `The header gives ${bytesPerSecond} bytes per second; its other fields make ${blockBytes * sampleRate}.`,
    });
  }
  return {
    format: { encoding, validBits: Math.min(validBits, containerBytes * 8), containerBytes },
    channelCount,
    sampleRate,
    blockBytes,
    problems,
    refusal: null,
  };
}

function isContainer(encoding: SampleFormat['encoding'], bytes: number): boolean {
  return encoding === 'float' ? bytes === 4 || bytes === 8 : bytes === 1 || bytes === 2 || bytes === 3 || bytes === 4;
}
