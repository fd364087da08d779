/**
 * Finds slate claps in a recording, in one pass and in memory that does not depend on its length.
 *
 * Every channel is listened to by itself, because mixing cancels where one channel is inverted and halves the level where one
 * is dead. A clap heard in several channels is reported once, with the earliest edge: that microphone was nearest.
 *
 * Cost: one subtraction, multiplication and addition per sample; everything else runs on some strikes per minute.
 */

import { listInWords } from '../../core/text/words.ts';
import type { Fourier } from '../fourier/fourier.ts';
import type { SoundSource } from '../soundSource.ts';
import type { ClapCandidate, ClapReading } from './clap.ts';
import { findStrikes, HOPS_AFTER, HOPS_BEFORE, isEcho, largestEnergy, type Strike } from './findStrikes.ts';
import { type HopClock, hopClock, hopEnergies } from './hopEnergy.ts';
import { type HeardStrike, judgeInContext, NEIGHBOUR_SECONDS, type Neighbour } from './judgeContext.ts';
import { type Judgement, judgeStrike } from './judgeStrike.ts';
import { measureStrike } from './measureStrike.ts';

export interface FindClapsOptions {
  /** Channels to listen to, counted from 0; all of them when left out. */
  readonly channels?: readonly number[];
  /** Told how many samples of `total` were heard, about every three seconds of sound. */
  readonly onProgress?: (heard: number, total: number) => void;
  /** Asked between blocks; true ends the search early, and the reading says so. */
  readonly isCancelled?: () => boolean;
}

const BLOCK_HOPS = 2720;
/** Strikes kept for judging, per channel; beyond it the weakest are only counted. */
const MOST_STRIKES = 4000;
const MOST_REFUSED_LISTED = 40;
/** Strikes with something as loud just before are speech or series: they are not measured, only counted. */
const HOPELESS_BEFORE = 0.4;
const ACCEPTED = 0.5;

interface Channel {
  readonly channel: number;
  readonly samples: Float32Array;
  readonly energies: Float32Array;
  readonly histogram: Float64Array;
  strikes: GrowingStrike[];
  /** Strikes of the last second or two. */
  recent: Neighbour[];
  uncounted: number;
  lastPeakHop: number;
  lastEnergy: number;
  peak: number;
}

export async function findClaps(source: SoundSource, fourier: Fourier, options: FindClapsOptions = {}): Promise<ClapReading> {
  const clock = hopClock(source.sampleRate);
  const keptHops = HOPS_BEFORE + HOPS_AFTER;
  const numbers = options.channels ?? Array.from({ length: source.channelCount }, (_, index) => index);
  const channels = numbers.map(
    (channel): Channel => ({
      channel,
      samples: new Float32Array((keptHops + BLOCK_HOPS) * clock.hop),
      energies: new Float32Array(keptHops + BLOCK_HOPS),
      histogram: new Float64Array(2048),
      strikes: [],
      recent: [],
      uncounted: 0,
      lastPeakHop: Number.NEGATIVE_INFINITY,
      lastEnergy: 0,
      peak: 0,
    }),
  );
  const remarks: string[] = [];
  let nonFiniteCount = 0;
  let baseHop = 0;
  let filledHops = 0;
  let nextHop = 0;
  let position = 0;
  for (;;) {
    if (options.isCancelled?.() === true) {
      remarks.push(`The search was stopped after ${seconds(position, source.sampleRate)}.`);
      break;
    }
    const drop = Math.max(0, filledHops - keptHops);
    for (const channel of channels) {
      channel.samples.copyWithin(0, drop * clock.hop, filledHops * clock.hop);
      channel.energies.copyWithin(0, drop, filledHops);
    }
    baseHop += drop;
    filledHops -= drop;
    const room = channels.map((channel) =>
      channel.samples.subarray(filledHops * clock.hop, (filledHops + BLOCK_HOPS) * clock.hop),
    );
    const read = await source.read(position, numbers, room);
    nonFiniteCount += read.nonFiniteCount;
    const hops = Math.floor(read.count / clock.hop);
    const isEnd = read.count < BLOCK_HOPS * clock.hop;
    for (const channel of channels) {
      const from = filledHops * clock.hop;
      hopEnergies(channel.samples, from, from + hops * clock.hop, clock, channel.energies, filledHops);
      countEnergies(channel, filledHops, filledHops + hops);
    }
    position += read.count;
    filledHops += hops;
    const until = baseHop + filledHops - (isEnd ? 0 : HOPS_AFTER);
    for (const channel of channels)
      judgeBlock(channel, nextHop - baseHop, until - baseHop, filledHops, baseHop, clock, source.sampleRate, fourier);
    nextHop = Math.max(nextHop, until);
    options.onProgress?.(position, source.sampleCount);
    if (isEnd) break;
  }
  if (nonFiniteCount > 0) remarks.push(`${nonFiniteCount} samples are not numbers; they were taken as silence.`);
  if (position < source.sampleCount && options.isCancelled?.() !== true) {
    remarks.push(`The recording ended after ${position} of ${source.sampleCount} samples.`);
  }
  return conclude(channels, source, position, remarks);
}

function judgeBlock(
  channel: Channel,
  from: number,
  to: number,
  filledHops: number,
  baseHop: number,
  clock: HopClock,
  sampleRate: number,
  fourier: Fourier,
): void {
  const energies = channel.energies.subarray(0, filledHops);
  const samples = channel.samples.subarray(0, filledHops * clock.hop);
  for (const strike of findStrikes(energies, from, to)) {
    const energy = energies[strike.peakHop] as number;
    const hop = baseHop + strike.peakHop;
    if (isEcho(hop - channel.lastPeakHop, energy, channel.lastEnergy)) continue;
    channel.lastPeakHop = hop;
    channel.lastEnergy = energy;
    const isHopeless = largestEnergy(energies, strike.firstHop - 250, strike.firstHop - 5) > HOPELESS_BEFORE * energy;
    const heard = isHopeless ? null : hear(channel, samples, energies, strike, energy, baseHop, clock, sampleRate, fourier);
    meet(channel, { sample: hop * clock.hop, energy, octaves: heard?.measure.octaves ?? null }, sampleRate);
    if (heard === null) channel.uncounted += 1;
    else keep(channel, heard);
  }
}

/** Makes neighbours of a strike and of those before it. Only the last few can be near. */
function meet(channel: Channel, neighbour: Neighbour, sampleRate: number): void {
  const isNear = (sample: number): boolean => neighbour.sample - sample <= NEIGHBOUR_SECONDS * sampleRate;
  for (let index = channel.strikes.length - 1; index >= 0 && isNear(channel.strikes[index]?.sample ?? 0); index -= 1) {
    channel.strikes[index]?.around.push(neighbour);
  }
  channel.recent = [...channel.recent.filter((one) => isNear(one.sample)), neighbour];
}

/** A strike that still collects its neighbours. */
interface GrowingStrike extends HeardStrike {
  readonly around: Neighbour[];
}

function hear(
  channel: Channel,
  samples: Float32Array,
  energies: Float32Array,
  strike: Strike,
  energy: number,
  baseHop: number,
  clock: HopClock,
  sampleRate: number,
  fourier: Fourier,
): GrowingStrike {
  const measure = measureStrike(samples, energies, strike, clock.hop, sampleRate, fourier);
  const offset = baseHop * clock.hop;
  return {
    sample: offset + measure.edge.sample,
    crossing: offset + measure.edge.crossing,
    channel: channel.channel,
    measure,
    own: judgeStrike(measure),
    energy,
    around: [...channel.recent],
  };
}

/** When there are too many, the half least like a clap is dropped: memory stays bounded, whatever is recorded. */
function keep(channel: Channel, strike: GrowingStrike): void {
  channel.strikes.push(strike);
  if (channel.strikes.length <= MOST_STRIKES) return;
  const ranked = [...channel.strikes].sort((left, right) => right.own.score - left.own.score).slice(0, MOST_STRIKES / 2);
  channel.uncounted += channel.strikes.length - ranked.length;
  channel.strikes = ranked.sort((left, right) => left.sample - right.sample);
}

/** Counts hop energies by the upper bits of their floating-point form: four bins per octave. */
function countEnergies(channel: Channel, from: number, to: number): void {
  const bits = new Uint32Array(channel.energies.buffer, channel.energies.byteOffset, channel.energies.length);
  for (let hop = from; hop < to; hop += 1) {
    const bin = (bits[hop] as number) >>> 21;
    channel.histogram[bin] = (channel.histogram[bin] as number) + 1;
  }
}

function energyExceededBy(histogram: Float64Array, share: number): number {
  const total = histogram.reduce((sum, count) => sum + count, 0);
  let above = 0;
  for (let bin = histogram.length - 1; bin >= 0; bin -= 1) {
    above += histogram[bin] as number;
    if (above >= share * total) return new Float32Array(new Uint32Array([bin << 21]).buffer)[0] as number;
  }
  return 0;
}

function conclude(channels: readonly Channel[], source: SoundSource, heard: number, remarks: string[]): ClapReading {
  const judged: { strike: HeardStrike; judgement: Judgement }[] = [];
  const silent: number[] = [];
  let uncounted = 0;
  for (const channel of channels) {
    const loudEnergy = energyExceededBy(channel.histogram, 0.02);
    if (heard > 0 && energyExceededBy(channel.histogram, 1e-9) < 1e-12) silent.push(channel.channel + 1);
    const facts = { sampleRate: source.sampleRate, sampleCount: heard, loudEnergy };
    const judgements = judgeInContext(channel.strikes, facts);
    channel.strikes.forEach((strike, index) => {
      judged.push({ strike, judgement: judgements[index] as Judgement });
    });
    uncounted += channel.uncounted;
  }
  if (silent.length > 0) remarks.push(silenceOf(silent, channels.length));
  const all = mergeChannels(judged, source.sampleRate).map(({ strike, judgement }) =>
    candidateOf(strike, judgement, source, heard),
  );
  const claps = all.filter((candidate) => candidate.verdict === 'clap');
  const refused = all
    .filter((candidate) => candidate.verdict === 'refused')
    .sort((left, right) => right.score - left.score || left.sample - right.sample);
  const listed = [...claps, ...refused.slice(0, MOST_REFUSED_LISTED)].sort((left, right) => left.sample - right.sample);
  return { candidates: listed, unlistedCount: uncounted + Math.max(0, refused.length - MOST_REFUSED_LISTED), remarks };
}

/** One clap in several channels becomes one: judged where it is clearest, placed where it arrives first. */
function mergeChannels(
  judged: readonly { strike: HeardStrike; judgement: Judgement }[],
  sampleRate: number,
): { strike: HeardStrike; judgement: Judgement }[] {
  const apart = 0.03 * sampleRate;
  const merged: { strike: HeardStrike; judgement: Judgement }[] = [];
  for (const one of [...judged].sort((left, right) => left.strike.sample - right.strike.sample)) {
    const last = merged.at(-1);
    if (last === undefined || one.strike.channel === last.strike.channel || one.strike.sample - last.strike.sample > apart) {
      merged.push(one);
      continue;
    }
    // The earlier edge stands if that channel, too, takes it for a clap; noise in a bad channel must not move it.
    if (one.judgement.score > last.judgement.score && last.judgement.score < ACCEPTED) merged[merged.length - 1] = one;
  }
  return merged;
}

function candidateOf(strike: HeardStrike, judgement: Judgement, source: SoundSource, heard: number): ClapCandidate {
  const { measure } = strike;
  const isClap = judgement.score >= ACCEPTED;
  const place = strike.sample / Math.max(1, heard);
  return {
    sample: strike.sample,
    crossing: strike.crossing,
    edgeUncertainty: measure.edge.uncertainty,
    channel: strike.channel,
    peak: measure.edge.peak,
    sharpness: measure.riseDb,
    aboveRoomDb: measure.aboveRoomDb,
    score: judgement.score,
    position: place < 1 / 3 ? 'head' : place > 2 / 3 ? 'tail' : 'middle',
    verdict: isClap ? 'clap' : 'refused',
    reason: isClap
      ? praise(strike, judgement, source.sampleRate)
      : `Refused: ${judgement.objection ?? 'several traits are doubtful'}.`,
  };
}

function silenceOf(channels: readonly number[], channelCount: number): string {
  if (channels.length === channelCount) return channelCount === 1 ? 'The recording is silent.' : 'All channels are silent.';
  if (channels.length === 1) return `Channel ${channels[0]} is silent.`;
  return `Channels ${listInWords(channels.map(String))} are silent.`;
}

function praise(strike: HeardStrike, judgement: Judgement, sampleRate: number): string {
  const { measure } = strike;
  // A rise of a sample or two would read as none at all.
  const rise = Math.max((measure.edge.riseSamples / sampleRate) * 1000, 0.1).toFixed(1);
  const clipped = measure.isClipped ? ' It is clipped.' : '';
  const doubt = judgement.objection === null ? '' : ` In doubt: ${judgement.objection}.`;
  return `One sharp sound that rises within ${rise} ms, ${measure.aboveRoomDb.toFixed(0)} dB above the room, and stops.${clipped}${doubt}`;
}

function seconds(samples: number, sampleRate: number): string {
  return `${(samples / sampleRate).toFixed(1)} s`;
}
