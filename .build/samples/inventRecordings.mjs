/**
 * The recordings of the demo, computed: nobody speaks in them and no such place exists.
 *
 * One recorder runs through. Somebody murmurs, claps once in view of camera A and once in view of camera B, and murmurs on. Camera A
 * records no sound. Camera B does, from three metres away, duller, noisier and upside down. Every number is the same on every
 * machine, so what measuring should find is known beforehand.
 */

export const SAMPLE_RATE = 48000;
/** Frames per second of both cameras, as numerator and denominator. */
export const FRAME_RATE = [24000, 1001];

const SECONDS = 16;
const CLAP_SECONDS = [3.2, 6.4];
const CAMERA_METRES = 3;
/** Metres per second at 20 degrees Celsius (ISO 9613-1). */
const SPEED_OF_SOUND = 343.2;

/** Recorder seconds at the first frame of each camera. */
const CAMERA_A_STARTS = 0.9;
const CAMERA_B_STARTS = 1.7;

/** Samples of the recorder, in which the claps begin at `claps`; what camera B heard; where the cameras started. */
export function inventRecordings() {
  const random = randomFrom(2025);
  const deck = murmur(random, SECONDS * SAMPLE_RATE);
  const claps = CLAP_SECONDS.map((seconds) => Math.round(seconds * SAMPLE_RATE));
  for (const clap of claps) addClap(random, deck, clap);
  const air = Math.round((CAMERA_METRES / SPEED_OF_SOUND) * SAMPLE_RATE);
  const startB = Math.round(CAMERA_B_STARTS * SAMPLE_RATE);
  return {
    deck,
    claps,
    cameraB: hear(random, deck, startB - air),
    cameraBMetres: CAMERA_METRES,
    startA: Math.round(CAMERA_A_STARTS * SAMPLE_RATE),
    startB,
  };
}

/** A WAV file of 24 bits. Chunks as in the published RIFF/WAVE documentation. */
export function waveFile(samples) {
  const bytes = Buffer.alloc(44 + samples.length * 3);
  bytes.write('RIFF', 0, 'latin1');
  bytes.writeUInt32LE(bytes.length - 8, 4);
  bytes.write('WAVEfmt ', 8, 'latin1');
  bytes.writeUInt32LE(16, 16);
  bytes.writeUInt16LE(1, 20);
  bytes.writeUInt16LE(1, 22);
  bytes.writeUInt32LE(SAMPLE_RATE, 24);
  bytes.writeUInt32LE(SAMPLE_RATE * 3, 28);
  bytes.writeUInt16LE(3, 32);
  bytes.writeUInt16LE(24, 34);
  bytes.write('data', 36, 'latin1');
  bytes.writeUInt32LE(samples.length * 3, 40);
  samples.forEach((sample, index) => {
    bytes.writeIntLE(Math.round(Math.max(-1, Math.min(1, sample)) * 8388607), 44 + index * 3, 3);
  });
  return bytes;
}

/** Bursts of filtered noise with pauses, and a quiet room; silent around the claps, as people are. */
function murmur(random, length) {
  const samples = new Float64Array(length);
  const isQuiet = (second) => CLAP_SECONDS.some((clap) => second > clap - 0.6 && second < clap + 0.9);
  let level = 0;
  let wanted = 0;
  let smooth = 0;
  for (let index = 0; index < length; index += 1) {
    if (index % 4800 === 0) wanted = isQuiet(index / SAMPLE_RATE) || random() < 0.25 ? 0 : 0.05 + 0.25 * random();
    level += (wanted - level) * 0.002;
    smooth += (random() - 0.5 - smooth) * 0.35;
    samples[index] = smooth * level + (random() - 0.5) * 0.0006;
  }
  return samples;
}

/** Hands: up within half a millisecond, gone within some ten. */
function addClap(random, samples, at) {
  let low = 0;
  let soft = 0;
  for (let index = 0; index < 0.06 * SAMPLE_RATE; index += 1) {
    const seconds = index / SAMPLE_RATE;
    soft += (random() - 0.5 - soft) * 0.35;
    low += (soft - low) * 0.05;
    const rise = Math.min(1, seconds / 0.0004);
    samples[at + index] += 2 * (soft - low) * rise * (Math.exp(-seconds / 0.0035) + 0.04 * Math.exp(-seconds / 0.015));
  }
}

function hear(random, deck, from) {
  const samples = new Float64Array(Math.round(11 * SAMPLE_RATE));
  let dull = 0;
  for (let index = 0; index < samples.length; index += 1) {
    dull += ((deck[from + index] ?? 0) - dull) * 0.6;
    samples[index] = -0.4 * dull + (random() - 0.5) * 0.004;
  }
  return samples;
}

/** A linear congruential generator (Numerical Recipes' constants, from memory), from 0 to 1. */
function randomFrom(seed) {
  let state = seed >>> 0;
  return () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return state / 2 ** 32;
  };
}
