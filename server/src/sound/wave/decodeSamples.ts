/**
 * Bytes to samples: the innermost loop of every measurement.
 *
 * Full scale is 1, so a 24-bit sample is exact in a 32-bit float. 8-bit wave samples are unsigned with silence at 128, all
 * others signed. Cost matters here and nowhere else in this folder: mono 24-bit sound goes through 32-bit words, four samples
 * to three words, which is ten times faster than three bytes per sample.
 *
 * Words are read in the machine's byte order; every machine we run on stores the low byte first, as the format does.
 */

import type { SampleFormat } from './waveHeader.ts';

/**
 * Decodes `count` samples of one channel into `into` from `at` on.
 *
 * Answers how many were not finite numbers (float formats only); those are written as 0.
 */
export function decodeSamples(
  bytes: Uint8Array,
  format: SampleFormat,
  channelCount: number,
  channel: number,
  into: Float32Array,
  at: number,
  count: number,
): number {
  const { encoding, containerBytes } = format;
  if (encoding === 'float') return decodeFloats(bytes, containerBytes, channelCount, channel, into, at, count);
  switch (containerBytes) {
    case 1:
      for (let index = 0, place = channel; index < count; index += 1, place += channelCount) {
        into[at + index] = ((bytes[place] as number) - 128) / 128;
      }
      return 0;
    case 2:
      decode16(bytes, channelCount, channel, into, at, count);
      return 0;
    case 3:
      if (channelCount === 1) decode24Mono(bytes, into, at, count);
      else decode24(bytes, channelCount, channel, into, at, count);
      return 0;
    default:
      decode32(bytes, channelCount, channel, into, at, count);
      return 0;
  }
}

const SCALE_16 = 1 / 2 ** 15;
const SCALE_32 = 1 / 2 ** 31;

function decode16(bytes: Uint8Array, step: number, channel: number, into: Float32Array, at: number, count: number): void {
  const aligned = alignedTo(bytes, 2);
  const words = new Int16Array(aligned.buffer, aligned.byteOffset, aligned.byteLength >> 1);
  for (let index = 0, place = channel; index < count; index += 1, place += step)
    into[at + index] = (words[place] as number) * SCALE_16;
}

function decode32(bytes: Uint8Array, step: number, channel: number, into: Float32Array, at: number, count: number): void {
  const aligned = alignedTo(bytes, 4);
  const words = new Int32Array(aligned.buffer, aligned.byteOffset, aligned.byteLength >> 2);
  for (let index = 0, place = channel; index < count; index += 1, place += step)
    into[at + index] = (words[place] as number) * SCALE_32;
}

function decode24(bytes: Uint8Array, channelCount: number, channel: number, into: Float32Array, at: number, count: number): void {
  const step = channelCount * 3;
  for (let index = 0, place = channel * 3; index < count; index += 1, place += step) {
    const value = ((bytes[place] as number) << 8) | ((bytes[place + 1] as number) << 16) | ((bytes[place + 2] as number) << 24);
    into[at + index] = value * SCALE_32;
  }
}

/** Four samples in three words: |aaab|bbcc|cddd|, low byte first. The low byte of each result is zero. */
function decode24Mono(bytes: Uint8Array, into: Float32Array, at: number, count: number): void {
  const aligned = alignedTo(bytes, 4);
  const words = new Int32Array(aligned.buffer, aligned.byteOffset, aligned.byteLength >> 2);
  const whole = Math.min(count >> 2, Math.floor(words.length / 3));
  let target = at;
  for (let index = 0, place = 0; index < whole; index += 1, place += 3, target += 4) {
    const first = words[place] as number;
    const second = words[place + 1] as number;
    const third = words[place + 2] as number;
    into[target] = (first << 8) * SCALE_32;
    into[target + 1] = (((first >>> 16) & 0xff00) | (second << 16)) * SCALE_32;
    into[target + 2] = (((second >>> 8) & 0xffff00) | (third << 24)) * SCALE_32;
    into[target + 3] = (third & 0xffffff00) * SCALE_32;
  }
  const done = whole * 4;
  if (done < count) decode24(aligned.subarray(done * 3), 1, 0, into, at + done, count - done);
}

function decodeFloats(
  bytes: Uint8Array,
  containerBytes: number,
  channelCount: number,
  channel: number,
  into: Float32Array,
  at: number,
  count: number,
): number {
  const aligned = alignedTo(bytes, containerBytes);
  const values =
    containerBytes === 4
      ? new Float32Array(aligned.buffer, aligned.byteOffset, aligned.byteLength >> 2)
      : new Float64Array(aligned.buffer, aligned.byteOffset, aligned.byteLength >> 3);
  let nonFiniteCount = 0;
  for (let index = 0, place = channel; index < count; index += 1, place += channelCount) {
    const value = values[place] as number;
    // The difference of a number with itself is NaN for NaN and both infinities, 0 for everything else.
    if (value - value === 0) into[at + index] = value;
    else {
      into[at + index] = 0;
      nonFiniteCount += 1;
    }
  }
  return nonFiniteCount;
}

/**
 * A view that may be read in words of `size` bytes; copies only when the bytes begin at an odd place.
 *
 * Not with `slice`: a Node buffer's `slice` shares memory instead of copying it.
 */
function alignedTo(bytes: Uint8Array, size: number): Uint8Array {
  return bytes.byteOffset % size === 0 ? bytes : new Uint8Array(bytes);
}
