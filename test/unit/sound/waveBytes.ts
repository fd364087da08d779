/**
 * Writes wave files byte by byte, for tests.
 *
 * Deliberately separate from the reader and dumber: every field can be made to lie.
 */

export interface Chunk {
  readonly id: string;
  readonly body: Uint8Array;
  /** The size written in the chunk header, where it should differ from the truth. */
  readonly claimedSize?: number;
  /** False leaves out the pad byte after an odd chunk, as some writers do. */
  readonly hasPad?: boolean;
}

export function waveFile(chunks: readonly Chunk[], container = 'RIFF', claimedFormSize?: number): Uint8Array {
  const parts = chunks.map((chunk) => {
    const isPadded = chunk.body.length % 2 === 1 && chunk.hasPad !== false;
    const bytes = new Uint8Array(8 + chunk.body.length + (isPadded ? 1 : 0));
    bytes.set(ascii(chunk.id), 0);
    new DataView(bytes.buffer).setUint32(4, chunk.claimedSize ?? chunk.body.length, true);
    bytes.set(chunk.body, 8);
    return bytes;
  });
  const length = parts.reduce((sum, part) => sum + part.length, 12);
  const file = new Uint8Array(length);
  file.set(ascii(container), 0);
  new DataView(file.buffer).setUint32(4, claimedFormSize ?? (container === 'RIFF' ? length - 8 : 0xffffffff), true);
  file.set(ascii('WAVE'), 8);
  let offset = 12;
  for (const part of parts) {
    file.set(part, offset);
    offset += part.length;
  }
  return file;
}

export interface FormatFields {
  readonly tag?: number;
  readonly channels?: number;
  readonly sampleRate?: number;
  readonly bits?: number;
  readonly blockBytes?: number;
  readonly bytesPerSecond?: number;
}

export function formatChunk(fields: FormatFields = {}): Chunk {
  const body = new Uint8Array(16);
  writeFormat(new DataView(body.buffer), fields.tag ?? 1, fields);
  return { id: 'fmt ', body };
}

/** WAVE_FORMAT_EXTENSIBLE: 40 bytes, tag 0xFFFE, cbSize 22 (ITU-R BS.2088; published WAVEFORMATEXTENSIBLE documentation). */
export function extensibleFormatChunk(
  fields: FormatFields & { readonly validBits?: number; readonly subformat?: number } = {},
): Chunk {
  const body = new Uint8Array(40);
  const view = new DataView(body.buffer);
  writeFormat(view, 0xfffe, fields);
  view.setUint16(16, 22, true);
  view.setUint16(18, fields.validBits ?? fields.bits ?? 24, true);
  view.setUint32(20, 0, true);
  body.set([fields.subformat ?? 1, 0, 0, 0, 0, 0, 0x10, 0, 0x80, 0, 0, 0xaa, 0, 0x38, 0x9b, 0x71], 24);
  return { id: 'fmt ', body };
}

function writeFormat(view: DataView, tag: number, fields: FormatFields): void {
  const channels = fields.channels ?? 1;
  const bits = fields.bits ?? 24;
  const sampleRate = fields.sampleRate ?? 48000;
  const blockBytes = fields.blockBytes ?? (channels * bits) / 8;
  view.setUint16(0, tag, true);
  view.setUint16(2, channels, true);
  view.setUint32(4, sampleRate, true);
  view.setUint32(8, fields.bytesPerSecond ?? blockBytes * sampleRate, true);
  view.setUint16(12, blockBytes, true);
  view.setUint16(14, bits, true);
}

export function dataChunk(body: Uint8Array, claimedSize?: number): Chunk {
  return claimedSize === undefined ? { id: 'data', body } : { id: 'data', body, claimedSize };
}

/** ds64: form size, data size, sample count, table length (EBU Tech 3306 annex A.2), low byte first. */
export function ds64Chunk(formSize: number, dataSize: number, sampleCount: number): Chunk {
  const body = new Uint8Array(28);
  const view = new DataView(body.buffer);
  view.setBigUint64(0, BigInt(formSize), true);
  view.setBigUint64(8, BigInt(dataSize), true);
  view.setBigUint64(16, BigInt(sampleCount), true);
  return { id: 'ds64', body };
}

export type SampleKind = 'u8' | 's16' | 's24' | 's32' | 'f32' | 'f64';

/** Interleaves channels and encodes them; values of full scale 1, clipped at the format's limits. */
export function encodeSamples(kind: SampleKind, ...channels: readonly ArrayLike<number>[]): Uint8Array {
  const size = { u8: 1, s16: 2, s24: 3, s32: 4, f32: 4, f64: 8 }[kind];
  const count = channels[0]?.length ?? 0;
  const bytes = new Uint8Array(count * channels.length * size);
  const view = new DataView(bytes.buffer);
  let offset = 0;
  for (let index = 0; index < count; index += 1) {
    for (const channel of channels) {
      const value = channel[index] as number;
      const scaled = (bits: number): number =>
        Math.max(-(2 ** (bits - 1)), Math.min(2 ** (bits - 1) - 1, Math.round(value * 2 ** (bits - 1))));
      if (kind === 'u8') view.setUint8(offset, scaled(8) + 128);
      else if (kind === 's16') view.setInt16(offset, scaled(16), true);
      else if (kind === 's32') view.setInt32(offset, scaled(32), true);
      else if (kind === 'f32') view.setFloat32(offset, value, true);
      else if (kind === 'f64') view.setFloat64(offset, value, true);
      else {
        const integer = scaled(24);
        view.setUint16(offset, integer & 0xffff, true);
        view.setUint8(offset + 2, (integer >> 16) & 0xff);
      }
      offset += size;
    }
  }
  return bytes;
}

export function ascii(text: string): Uint8Array {
  return Uint8Array.from(text, (letter) => letter.charCodeAt(0));
}
