/**
 * Bytes to samples in double precision, and back to bytes.
 *
 * Measuring is content with 32-bit floats; a reel is not: 32-bit integers and 64-bit floats have to come through whole. Full scale is
 * 1. Integers stand left-justified in their containers, 8-bit ones are unsigned with silence at 128.
 */

import type { SampleFormat } from '../wave/waveHeader.ts';

/** `count` samples of one channel into `into` from `at` on. Numbers that are not finite become 0. */
export function decodeDoubles(
  bytes: Uint8Array,
  { encoding, containerBytes }: SampleFormat,
  channelCount: number,
  channel: number,
  into: Float64Array,
  at: number,
  count: number,
): void {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const step = containerBytes * channelCount;
  let place = containerBytes * channel;
  if (encoding === 'float') {
    for (let index = 0; index < count; index += 1, place += step) {
      const value = containerBytes === 4 ? view.getFloat32(place, true) : view.getFloat64(place, true);
      into[at + index] = Number.isFinite(value) ? value : 0;
    }
    return;
  }
  switch (containerBytes) {
    case 1:
      for (let index = 0; index < count; index += 1, place += step) into[at + index] = ((bytes[place] as number) - 128) / 128;
      return;
    case 2:
      for (let index = 0; index < count; index += 1, place += step) into[at + index] = view.getInt16(place, true) / 2 ** 15;
      return;
    case 3:
      for (let index = 0; index < count; index += 1, place += step) {
        const value =
          ((bytes[place] as number) << 8) | ((bytes[place + 1] as number) << 16) | ((bytes[place + 2] as number) << 24);
        into[at + index] = value / 2 ** 31;
      }
      return;
    default:
      for (let index = 0; index < count; index += 1, place += step) into[at + index] = view.getInt32(place, true) / 2 ** 31;
  }
}

/**
 * One channel of doubles into the bytes of interleaved samples. Answers how many had to be held at full scale.
 *
 * A value that is a whole number of steps is written as it is. Any other loses bits, and gets `noise` (in steps) before it is
 * rounded; floats lose nothing a recorder could have heard and get none.
 */
export function encodeDoubles(
  samples: Float64Array,
  { encoding, containerBytes, validBits }: SampleFormat,
  channelCount: number,
  channel: number,
  bytes: Uint8Array,
  count: number,
  noise: () => number,
): number {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const step = containerBytes * channelCount;
  let place = containerBytes * channel;
  if (encoding === 'float') {
    for (let index = 0; index < count; index += 1, place += step) {
      if (containerBytes === 4) view.setFloat32(place, samples[index] as number, true);
      else view.setFloat64(place, samples[index] as number, true);
    }
    return 0;
  }
  const scale = 2 ** (validBits - 1);
  const highest = scale - 1;
  const spare = 2 ** (containerBytes * 8 - validBits);
  let clippedCount = 0;
  for (let index = 0; index < count; index += 1, place += step) {
    const exact = (samples[index] as number) * scale;
    let value = Number.isInteger(exact) ? exact : Math.round(exact + noise());
    if (value > highest || value < -scale) {
      value = value < 0 ? -scale : highest;
      clippedCount += 1;
    }
    writeInteger(view, place, containerBytes, value * spare);
  }
  return clippedCount;
}

function writeInteger(view: DataView, place: number, containerBytes: number, value: number): void {
  switch (containerBytes) {
    case 1:
      view.setUint8(place, value + 128);
      return;
    case 2:
      view.setInt16(place, value, true);
      return;
    case 3:
      view.setUint16(place, value & 0xffff, true);
      view.setUint8(place + 2, (value >> 16) & 0xff);
      return;
    default:
      view.setInt32(place, value, true);
  }
}
