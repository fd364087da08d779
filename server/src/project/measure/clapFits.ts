/**
 * Rows of a clap log and the claps they mean, in every recording that heard them.
 *
 * The engine weighs the rows against the main recordings. Two things are added here: a row that names its clap by number stands when
 * somebody heard that clap, and recordings that ran beside the main one get the same clap at their own edge.
 */

import { rational } from '../../core/time/rational.ts';
import {
  assignClaps,
  type ClapAssignment,
  type ClapFit,
  type HeardClap,
  type HeardSound,
  type OpenClap,
  type SeenClap,
} from '../../sound/clapLog/assignClaps.ts';
import { contactInterval, placeClap } from '../../sound/clapLog/contactInterval.ts';
import type { ClapReading } from '../../sound/claps/clap.ts';
import { decidedByWaveform } from './clapByWaveform.ts';
import type { MeasuredPair } from './measurement.ts';
import type { OpenSound } from './openRecordings.ts';
import type { LoggedClap } from './seenClaps.ts';
import { roundedUp } from './significance.ts';
import { clapsOf, type SoundFamily } from './soundFamilies.ts';

export interface FitInput {
  /** In the order of the log. */
  readonly claps: readonly LoggedClap[];
  /** Recordings that ran side by side, together. */
  readonly families: readonly SoundFamily[];
  readonly readings: ReadonlyMap<OpenSound, ClapReading>;
  /** The pair by waveform of a row's picture with a sound; null where the two do not match. */
  readonly waveformFor: (clap: LoggedClap, sound: OpenSound) => MeasuredPair | null;
}

export interface ClapFits {
  readonly fits: readonly { readonly fit: ClapFit; readonly sound: OpenSound }[];
  /** Rows that several answers explain alike. */
  readonly open: readonly OpenClap[];
  readonly leftPictures: ClapAssignment['leftPictures'];
  /** Claps of recordings that some row means, which no row means. */
  readonly leftClaps: ClapAssignment['leftClaps'];
}

export function fitClaps(input: FitInput): ClapFits {
  const { claps, families, readings, waveformFor } = input;
  const mains = families.map(({ main }) => main);
  const heard = mains.map((sound) => heardSound(sound, readings.get(sound)));
  const seen = claps.map((clap) => {
    const candidates = mains.map((sound, index) => ({
      sound,
      waveform: waveformFor(clap, sound),
      claps: heard[index]?.claps ?? [],
    }));
    return decidedByWaveform(clap, candidates);
  });
  const { fits, open, leftPictures, leftClaps } = assignClaps(seen, heard);
  const decided = open.flatMap((one) => decidedFit(one, seen, heard));
  const all = [...fits, ...decided];
  const used = new Set(all.map(({ sound }) => sound));
  return {
    fits: all.flatMap((fit) => inFamily(fit, input, heard)),
    open: open.filter((one) => !decided.some((fit) => fit.seen === one.seen)),
    leftPictures,
    leftClaps: leftClaps.filter(({ sound }) => used.has(sound)),
  };
}

/** Claps of one scene are heard this close together, in seconds: the air between two recorders, fifteen metres of it. */
const SAME_CLAP_SECONDS = 0.045;

/** The fit, and the same clap in every recording that ran beside that one. */
function inFamily(
  fit: ClapFit,
  { families, claps, readings }: FitInput,
  heard: readonly HeardSound[],
): readonly { readonly fit: ClapFit; readonly sound: OpenSound }[] {
  const family = families.find(({ main }) => main.label === fit.sound);
  const edge = heard.find(({ name }) => name === fit.sound)?.claps[fit.clap - 1];
  const clap = claps[fit.seen];
  if (family === undefined || edge === undefined || clap === undefined) return [];
  const others = family.others.flatMap(({ sound, inMain }) => {
    const own = heardSound(sound, readings.get(sound));
    const reach = SAME_CLAP_SECONDS * family.main.source.sampleRate;
    const index = own.claps.findIndex(({ sample }) => Math.abs(inMain(sample) - edge.sample) <= reach);
    const [found] = index === -1 ? [] : own.claps.slice(index, index + 1);
    return found === undefined ? [] : [{ fit: placedFit(fit, clap.seen, own, index, found), sound }];
  });
  return [{ fit, sound: family.main }, ...others];
}

function placedFit(
  fit: Omit<ClapFit, 'clap' | 'placement'>,
  seen: SeenClap,
  sound: HeardSound,
  index: number,
  edge: HeardClap,
): ClapFit {
  const interval = contactInterval(seen.reading, seen.rate, seen.shutterDegrees);
  const doubt = roundedUp(edge.edgeUncertainty / sound.sampleRate, 6);
  return {
    ...fit,
    sound: sound.name,
    clap: index + 1,
    placement: placeClap(seen.frame, interval, seen.rate, rational(edge.sample), doubt),
  };
}

/** A row that names its clap by number leaves no choice but that nobody heard it; somebody did, so the row stands. */
function decidedFit(open: OpenClap, seen: readonly SeenClap[], heard: readonly HeardSound[]): readonly ClapFit[] {
  const [choice, ...others] = open.choices;
  const clap = seen[open.seen];
  if (choice === undefined || others.length > 0 || clap === undefined || clap.clapNumber === null) return [];
  const sound = heard.find(({ name }) => name === choice.sound);
  const edge = sound?.claps[choice.clap - 1];
  if (sound === undefined || edge === undefined) return [];
  const fit = { seen: open.seen, picture: clap.picture, sound: sound.name, confidence: edge.score, sharedWith: [] };
  return [placedFit(fit, clap, sound, choice.clap - 1, edge)];
}

function heardSound(sound: OpenSound, reading: ClapReading | undefined): HeardSound {
  const { sampleRate } = sound.source;
  return {
    name: sound.label,
    sampleRate,
    claps: clapsOf(reading),
    startSeconds: sound.startSample === null ? null : sound.startSample / sampleRate,
  };
}
