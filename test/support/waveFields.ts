/**
 * A wave file taken apart by hand: chunks where the published layouts put them, and samples as plain numbers.
 *
 * It shares nothing with the product, so that writer and reader can't agree on a mistake.
 */

export interface WaveFields {
  readonly form: string;
  readonly formSize: number;
  readonly chunks: readonly { readonly id: string; readonly offset: number; readonly size: number }[];
  readonly body: (id: string) => Buffer;
  readonly channels: number;
  readonly sampleRate: number;
  readonly bits: number;
  readonly tag: number;
  /** Samples of one channel; integers as they are stored. */
  readonly samples: (channel: number) => Float64Array;
}

export function waveFields(file: Uint8Array): WaveFields {
  const bytes = Buffer.from(file.buffer, file.byteOffset, file.byteLength);
  const chunks: { id: string; offset: number; size: number }[] = [];
  for (let at = 12; at + 8 <= bytes.length; ) {
    const size = bytes.readUInt32LE(at + 4);
    chunks.push({ id: bytes.toString('latin1', at, at + 4), offset: at + 8, size });
    at += 8 + size + (size % 2);
  }
  const body = (id: string): Buffer => {
    const chunk = chunks.find((candidate) => candidate.id === id);
    if (chunk === undefined) throw new Error(`there is no ${id} chunk`);
    return bytes.subarray(chunk.offset, chunk.offset + chunk.size);
  };
  const format = body('fmt ');
  const channels = format.readUInt16LE(2);
  const bits = format.readUInt16LE(14);
  const tag = format.readUInt16LE(0);
  return {
    form: bytes.toString('latin1', 0, 4),
    formSize: bytes.readUInt32LE(4),
    chunks,
    body,
    channels,
    sampleRate: format.readUInt32LE(4),
    bits,
    tag,
    samples: (channel) => {
      const data = body('data');
      const width = bits / 8;
      return Float64Array.from({ length: Math.floor(data.length / (width * channels)) }, (_, index) => {
        const at = (index * channels + channel) * width;
        if (tag === 3) return width === 4 ? data.readFloatLE(at) : data.readDoubleLE(at);
        return width === 1 ? data.readUInt8(at) : data.readIntLE(at, width);
      });
    },
  };
}
