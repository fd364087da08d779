/**
 * One invented scene heard twice: close by a recorder, from further away by a camera with a clock, a gain and a codec of its own.
 *
 * Truth: what the camera holds at its sample `c` is at the recorder's sample `offset + c * recorderRate / cameraRate * (1 + ppm / 1e6)`.
 * Sound is compared with sound: the way through the air from scene to camera is part of the offset, as it is in life.
 */

import { CLAP_KINDS, clapSound } from './claps.ts';
import { DISTRACTOR_KINDS, distractorSound } from './distractors.ts';
import type { Random } from './random.ts';
import { ROOMS, type Room, roomResponse, SPEED_OF_SOUND } from './rooms.ts';
import { activeLevel, convolve, highPass, lowPass, mixInto, normalised, peakOf, pinkNoise, resampleExactly } from './signal.ts';
import { speechLike } from './speech.ts';

export interface SceneOptions {
  readonly seconds: number;
  readonly recorderRate: number;
  readonly cameraRate: number;
  /** How much faster the recorder's clock counts than the camera's. */
  readonly ppm: number;
  /** Seconds from the recorder's start to the camera's; negative when the camera starts first. */
  readonly startDifference: number;
  /** Seconds for which the camera runs. */
  readonly cameraSeconds: number;
  readonly distance: number;
  readonly room: Room;
  /** Speech above the camera's noise, decibels. */
  readonly cameraNoiseDb: number;
  readonly isInverted: boolean;
  readonly hasGainControl: boolean;
  /** Band of the camera's microphone, Hz; null for all of it. */
  readonly band: readonly [number, number] | null;
  /** Samples of the camera that are dropped, and after which share of its length; negative ones are put in. */
  readonly drop: { readonly samples: number; readonly share: number } | null;
  readonly bits: number;
  readonly hasSpeech: boolean;
}

export const PLAIN_SCENE: SceneOptions = {
  seconds: 17,
  recorderRate: 48000,
  cameraRate: 48000,
  ppm: 12,
  startDifference: 3.3,
  cameraSeconds: 11,
  distance: 2.5,
  room: ROOMS[2] as Room,
  cameraNoiseDb: 30,
  isInverted: false,
  hasGainControl: true,
  band: null,
  drop: null,
  bits: 16,
  hasSpeech: true,
};

export interface Scene {
  readonly recorder: Float32Array;
  readonly camera: Float32Array;
  readonly options: SceneOptions;
  /** Recorder samples at camera sample 0. */
  readonly offset: number;
  /** Seconds of air between the scene and the camera; it is in the offset. */
  readonly airSeconds: number;
}

export function inventScene(random: Random, options: SceneOptions): Scene {
  const rate = options.recorderRate;
  const dry = sceneSound(random.branch('scene'), options.seconds, rate, options.hasSpeech);
  const close = 0.4;
  const recorderRoom = roomResponse(options.room, close, random.branch('recorder room'), rate);
  const cameraRoom = roomResponse(options.room, options.distance, random.branch('camera room'), rate);
  const recorder = convolve(dry, recorderRoom).subarray(0, dry.length);
  mixInto(recorder, pinkNoise(random.branch('recorder noise'), dry.length, 0.0006), 0);

  // The far sound on the recorder's clock, then as the camera's clock samples it.
  const far = convolve(dry, cameraRoom);
  const step = (rate / options.cameraRate) * (1 + options.ppm / 1e6);
  const start = options.startDifference * rate;
  const length = Math.floor(options.cameraSeconds * options.cameraRate);
  let camera = resampleExactly(far, start, step, length);
  const noise = pinkNoise(
    random.branch('camera noise'),
    length,
    activeLevel(camera, options.cameraRate) * 10 ** (-options.cameraNoiseDb / 20),
  );
  mixInto(camera, noise, 0);
  if (options.hasGainControl) rideGain(camera, options.cameraRate);
  if (options.band !== null) {
    camera = lowPass(lowPass(camera, options.band[1], options.cameraRate), options.band[1], options.cameraRate);
    camera = highPass(camera, options.band[0], options.cameraRate);
  }
  if (options.drop !== null) camera = withDrop(camera, options.drop.samples, Math.round(options.drop.share * length));
  const peak = peakOf(camera);
  const gain = ((options.isInverted ? -1 : 1) * 0.5) / peak;
  const scale = 2 ** (options.bits - 1);
  const air = (options.distance - close) / SPEED_OF_SOUND;
  return {
    recorder: Float32Array.from(normalised(recorder, 0.6)),
    camera: Float32Array.from(camera, (value) => Math.round(value * gain * scale) / scale),
    options,
    // The far response is late by the whole way, the close one by the short way: a sound reaches the camera's file that much later.
    offset: start - air * rate,
    airSeconds: air,
  };
}

function sceneSound(random: Random, seconds: number, rate: number, hasSpeech: boolean): Float64Array {
  const dry = new Float64Array(Math.round(seconds * rate));
  let time = 0.5;
  while (time < seconds - 1) {
    const length = Math.min(seconds - time - 0.5, random.uniform(1.5, 5));
    if (hasSpeech)
      mixInto(dry, speechLike(random, rate, Math.max(0.3, length)), Math.round(time * rate), random.uniform(0.3, 0.7));
    time += length + random.uniform(0.2, 1.2);
    if (random.uniform(0, 1) < 0.4) {
      const sound =
        random.uniform(0, 1) < 0.4
          ? clapSound(random.pick(CLAP_KINDS), random, rate)
          : distractorSound(random.pick(DISTRACTOR_KINDS.filter((kind) => kind !== 'applause' && kind !== 'tone')), random, rate);
      mixInto(dry, sound, Math.round(time * rate), random.uniform(0.2, 0.8));
      time += Math.min(1.5, sound.length / rate) + random.uniform(0.1, 0.6);
    }
  }
  return dry;
}

/** An automatic gain control that turns down within 10 ms and up within a second. */
function rideGain(signal: Float64Array, rate: number): void {
  const target = 0.5 * activeLevel(signal, rate);
  let level = target;
  for (let index = 0; index < signal.length; index += 1) {
    const magnitude = Math.abs(signal[index] as number);
    level += (magnitude - level) * (magnitude > level ? 1 / (0.01 * rate) : 1 / (1 * rate));
    signal[index] = (signal[index] as number) * Math.min(8, target / Math.max(level, 1e-6));
  }
}

function withDrop(signal: Float64Array, samples: number, at: number): Float64Array {
  const output = new Float64Array(signal.length - samples);
  output.set(signal.subarray(0, at));
  output.set(signal.subarray(Math.max(at, at + samples)), samples >= 0 ? at : at - samples);
  return output;
}
