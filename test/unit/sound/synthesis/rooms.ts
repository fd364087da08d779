/**
 * Invented rooms: what a microphone hears of a single sharp sound.
 *
 * Two kinds. A shoebox by image sources (the method of Allen & Berkley 1979) gives early reflections at places that physics
 * dictates; an exponentially decaying noise gives the late part. The direct sound has height 1 at `directDelay` samples, fractions
 * included, so that truth about first arrivals is known exactly.
 */

import type { Random } from './random.ts';
import { lowPass } from './signal.ts';

export interface Room {
  readonly name: string;
  /** Seconds for a decay by 60 dB. */
  readonly reverberationTime: number;
  readonly metres: readonly [number, number, number];
}

export const ROOMS: readonly Room[] = [
  { name: 'open air', reverberationTime: 0, metres: [50, 50, 50] },
  { name: 'dead studio', reverberationTime: 0.15, metres: [4, 3.5, 2.6] },
  { name: 'living room', reverberationTime: 0.45, metres: [5.5, 4.2, 2.5] },
  { name: 'office', reverberationTime: 0.8, metres: [9, 7, 3] },
  { name: 'tiled hall', reverberationTime: 1.6, metres: [14, 10, 5] },
];

export const SPEED_OF_SOUND = 343;

/** Response from a source to a microphone `distance` metres away; the direct sound falls `distance / 343` seconds in. */
export function roomResponse(room: Room, distance: number, random: Random, sampleRate: number): Float64Array {
  const seconds = distance / SPEED_OF_SOUND + Math.min(1.2, room.reverberationTime) + 0.02;
  const response = new Float64Array(Math.ceil(seconds * sampleRate) + 64);
  addPulse(response, (distance / SPEED_OF_SOUND) * sampleRate, 1);
  if (room.reverberationTime === 0) {
    // Out of doors the ground still answers.
    const ground = Math.hypot(distance, 2 * 1.4);
    addPulse(response, (ground / SPEED_OF_SOUND) * sampleRate, (0.35 * distance) / ground);
    return response;
  }
  addImages(response, room, distance, random, sampleRate);
  addTail(response, room, distance, random, sampleRate);
  return response;
}

function addImages(response: Float64Array, room: Room, distance: number, random: Random, sampleRate: number): void {
  const volume = room.metres[0] * room.metres[1] * room.metres[2];
  const surface = 2 * (room.metres[0] * room.metres[1] + room.metres[1] * room.metres[2] + room.metres[0] * room.metres[2]);
  // Sabine: T = 0.161 V / (a S).
  const absorption = Math.min(0.95, (0.161 * volume) / (room.reverberationTime * surface));
  const reflection = Math.sqrt(1 - absorption);
  const { source, microphone, metres } = placeInside(room.metres, distance, random);
  for (let x = -2; x <= 2; x += 1) {
    for (let y = -2; y <= 2; y += 1) {
      for (let z = -2; z <= 2; z += 1) {
        const bounces = Math.abs(x) + Math.abs(y) + Math.abs(z);
        if (bounces === 0 || bounces > 3) continue;
        const image = [x, y, z].map((order, axis) => {
          const side = metres[axis] as number;
          const place = source[axis] as number;
          return order % 2 === 0 ? order * side + place : (order + 1) * side - place;
        });
        const path = Math.hypot(...image.map((place, axis) => place - (microphone[axis] as number)));
        if (path <= distance) continue;
        addPulse(response, (path / SPEED_OF_SOUND) * sampleRate, reflection ** bounces * (distance / path));
      }
    }
  }
}

/** A source and a microphone `distance` apart, both well inside the room; a room too small for that is made larger. */
function placeInside(
  sides: readonly number[],
  distance: number,
  random: Random,
): { readonly source: number[]; readonly microphone: number[]; readonly metres: readonly number[] } {
  let metres = sides;
  for (let attempt = 1; ; attempt += 1) {
    const source = metres.map((side) => side * random.uniform(0.15, 0.85));
    const direction = random.uniform(0, 2 * Math.PI);
    const rise = random.uniform(-0.3, 0.3) * Math.min(1, distance);
    const flat = Math.sqrt(distance * distance - rise * rise);
    const step = [flat * Math.cos(direction), flat * Math.sin(direction), rise];
    const microphone = source.map((place, axis) => place + (step[axis] as number));
    if (microphone.every((place, axis) => place > 0.3 && place < (metres[axis] as number) - 0.3))
      return { source, microphone, metres };
    if (attempt % 50 === 0) metres = metres.map((side) => side * 1.2);
  }
}

function addTail(response: Float64Array, room: Room, distance: number, random: Random, sampleRate: number): void {
  const volume = room.metres[0] * room.metres[1] * room.metres[2];
  // Critical distance: 0.057 sqrt(V / T); there direct and reverberant energy are equal.
  const critical = 0.057 * Math.sqrt(volume / room.reverberationTime);
  const start = Math.round((distance / SPEED_OF_SOUND + 0.012) * sampleRate);
  const decay = 6.9078 / (room.reverberationTime * sampleRate);
  const energy = (distance / critical) ** 2;
  const scale = Math.sqrt(energy * 2 * decay);
  const noise = new Float64Array(response.length);
  for (let index = start; index < response.length; index += 1) {
    const build = Math.min(1, (index - start) / (0.02 * sampleRate));
    noise[index] = random.normal() * build * scale * Math.exp(-decay * (index - start));
  }
  const dulled = lowPass(noise, 7000, sampleRate);
  for (let index = 0; index < response.length; index += 1)
    response[index] = (response[index] as number) + (dulled[index] as number);
}

/** A pulse of `height` between samples, as a sinc of 32 zero crossings under a raised cosine. */
function addPulse(response: Float64Array, place: number, height: number): void {
  const centre = Math.floor(place);
  for (let tap = Math.max(0, centre - 15); tap <= Math.min(response.length - 1, centre + 16); tap += 1) {
    const distance = tap - place;
    const sinc = Math.abs(distance) < 1e-9 ? 1 : Math.sin(Math.PI * distance) / (Math.PI * distance);
    response[tap] = (response[tap] as number) + height * sinc * (0.5 + 0.5 * Math.cos((Math.PI * distance) / 16.5));
  }
}
