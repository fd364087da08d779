/**
 * How much one strike, taken by itself, is like a clap.
 *
 * Each trait gives a factor from 0 to 1 and the score is their product, so that one strong objection refuses a sound whatever the
 * rest says, and the reason given to people is the objection that weighed most. The limits were set on the synthesised families
 * in test/unit/sound/synthesis; the bench prints what they achieve there.
 */

import type { StrikeMeasure } from './measureStrike.ts';

export interface Judgement {
  readonly score: number;
  /** The weightiest objection, or null when there is none worth naming. */
  readonly objection: string | null;
}

interface Trait {
  readonly factor: number;
  readonly objection: string;
}

export function judgeStrike(measure: StrikeMeasure): Judgement {
  return weigh(traitsOf(measure));
}

/** Product of the factors; the objection is that of the smallest. */
export function weigh(traits: readonly Trait[]): Judgement {
  let score = 1;
  let weakest: Trait | null = null;
  for (const trait of traits) {
    score *= trait.factor;
    if (weakest === null || trait.factor < weakest.factor) weakest = trait;
  }
  return { score, objection: weakest !== null && weakest.factor < 0.9 ? weakest.objection : null };
}

/** 0 at `bad` or beyond it, 1 at `good` or beyond it, straight between. */
export function ramp(value: number, bad: number, good: number): number {
  return Math.max(0, Math.min(1, (value - bad) / (good - bad)));
}

function traitsOf(measure: StrikeMeasure): Trait[] {
  const decibels = (value: number): string => `${Math.abs(value).toFixed(0)} dB`;
  // A pitch in a clap dies with it; in glass, metal, skins and tones it lasts. Where nothing is left, hum would stand out instead.
  const ringing = measure.after20Db > -25 ? (measure.lineDb + measure.lateLineDb) / 2 : measure.lineDb - 2;
  // The finger slides for some milliseconds before a snap lands: weaker than an echo's direct sound, yet clear of the room.
  const hasPrecursor =
    ramp(measure.precursorDb, -37, -31) * ramp(-measure.precursorDb, 5, 8) * ramp(measure.precursorAboveRoomDb, 6, 12);
  const [lowest = 0, , , , , highest = 0] = measure.octaves;
  return [
    {
      factor: ramp(measure.riseDb, 12, 20),
      objection: `it rises only ${decibels(measure.riseDb)} out of the sound before it`,
    },
    {
      factor: ramp(-measure.riseMs, -3.4, -2.5),
      objection: `it takes ${measure.riseMs.toFixed(1)} ms to rise`,
    },
    {
      factor: ramp(measure.aboveRoomDb, 10, 17),
      objection: `it stands only ${decibels(measure.aboveRoomDb)} above the room`,
    },
    {
      factor: ramp(-measure.beforeDb, 6, 14),
      objection: 'something about as loud goes just before it, as in speech or a series of strikes',
    },
    {
      factor: ramp(-measure.laterDb, 2, 5),
      objection: 'something about as loud follows at once, as in speech or a series of strikes',
    },
    {
      factor: ramp(-measure.after20Db, 1, 3),
      objection: `20 ms later it is only ${decibels(measure.after20Db)} weaker: it swells or rings instead of stopping`,
    },
    {
      factor: ramp(-measure.after60Db, 4, 8),
      objection: `60 ms later it is only ${decibels(measure.after60Db)} weaker: it swells or rings instead of stopping`,
    },
    {
      factor: ramp(-measure.after150Db, 10, 15),
      objection: `150 ms later it is only ${decibels(measure.after150Db)} weaker: it goes on instead of stopping`,
    },
    {
      factor: ramp(-measure.lowShare, -0.35, -0.15),
      objection: `${(100 * measure.lowShare).toFixed(0)} % of it lies below 250 Hz: a bump, a step, a door or a drum`,
    },
    {
      factor: ramp(-lowest, -0.7, -0.5),
      objection: 'it is dull, with most of it below 500 Hz: a knock, a step or a drum',
    },
    {
      factor: ramp(-highest, -0.7, -0.45),
      objection: 'most of it lies above 8 kHz: a click or a rattle',
    },
    {
      factor: ramp(measure.breadth, 1, 1.15),
      objection: 'it covers a single octave: a snap or a tone rather than a clap',
    },
    {
      factor: ramp(-ringing, -19.5, -16),
      objection: `one pitch stands out of it by ${decibels(measure.lineDb)} and lasts: something that rings`,
    },
    {
      factor: 1 - 0.9 * hasPrecursor,
      objection: 'something faint goes ahead of it by some milliseconds: a finger snap or a latch',
    },
    {
      factor: ramp(-measure.fullLaterDb, -6, -1),
      objection: 'a louder, deeper sound follows at once: the first consonant of speech, or a blow with a body to it',
    },
    {
      factor: ramp(-measure.fullBeforeDb, -3, 2),
      objection: 'it stands inside a louder, deeper sound, as in speech',
    },
    {
      factor: ramp(measure.spreadMs, 0.2, 0.5),
      objection: 'it lasts a fraction of a millisecond: a digital click',
    },
    {
      factor: measure.frozenSamples > FROZEN_RUN ? 0 : 1,
      objection: 'the samples beside it stand still: a drop-out or a cut in the recording',
    },
  ];
}

/** Quiet 16-bit rooms repeat a value a few times; a drop-out does so for milliseconds. */
const FROZEN_RUN = 60;
