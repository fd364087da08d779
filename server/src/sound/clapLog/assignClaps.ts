/**
 * Which clap of a recording is the one that a camera saw.
 *
 * The rule of the trade: one clap per camera, camera A first, then the others in order. Life: a clap serves several cameras, one was
 * missed, one is extra. Every answer is weighed by what it asks us to believe (costs below, in natural logarithms of odds), and the
 * likeliest is taken only where no other comes near it. Where several do, what they have in common stands and the rest is left
 * open, with the choices named: nobody is served by a guess between equals.
 *
 * File time stamps are rough; they raise or lower odds but never decide against the claps themselves. Several claps seen by one camera
 * must lie as far apart in the sound as in the picture, which is the strongest evidence there is.
 */

import type { Rate } from '../../core/time/rate.ts';
import { type Rational, rational, toNumber } from '../../core/time/rational.ts';
import { contactInterval, type FrameReading, type Placement, placeClap } from './contactInterval.ts';
import { toSeconds } from './rateSeconds.ts';

/** One clap in one picture, in the order of the log. */
export interface SeenClap {
  readonly picture: string;
  readonly rate: Rate;
  /** Frame from the first of the file (0). */
  readonly frame: Rational;
  readonly reading: FrameReading;
  readonly shutterDegrees: Rational | null;
  /** Frames in the picture; null when unknown. */
  readonly frameCount: number | null;
  /** Recording it must be in, when the log says; null otherwise. */
  readonly sound: string | null;
  /** Clap of that recording, the first being 1, when the log says. */
  readonly clapNumber: number | null;
  /** Seconds since midnight of the picture's first frame, roughly; null when no stamp says. */
  readonly startSeconds: number | null;
}

export interface HeardClap {
  readonly sample: number;
  /** In samples. */
  readonly edgeUncertainty: number;
  /** From 0.5, just a clap, to 1, surely one. */
  readonly score: number;
}

export interface HeardSound {
  readonly name: string;
  readonly sampleRate: number;
  /** Claps in order; their numbers count from 1. */
  readonly claps: readonly HeardClap[];
  readonly startSeconds: number | null;
}

export interface ClapFit {
  /** Index into the claps seen. */
  readonly seen: number;
  readonly picture: string;
  readonly sound: string;
  /** From 1. */
  readonly clap: number;
  readonly placement: Placement;
  /** From 0 to 1: the weight of all answers that agree on this. */
  readonly confidence: number;
  /** Other pictures that the same clap serves. */
  readonly sharedWith: readonly string[];
}

/** A clap seen that several answers explain alike. */
export interface OpenClap {
  readonly seen: number;
  readonly picture: string;
  readonly choices: readonly { readonly sound: string; readonly clap: number }[];
  readonly reason: string;
}

export interface ClapAssignment {
  readonly fits: readonly ClapFit[];
  readonly open: readonly OpenClap[];
  readonly leftPictures: readonly { readonly seen: number; readonly picture: string; readonly reason: string }[];
  readonly leftClaps: readonly { readonly sound: string; readonly clap: number; readonly sample: number }[];
}

/** Nobody claps less than once per camera without reason. */
const COST_SHARED = 3;
/** A camera saw a clap that nobody heard: recorders are rarely off. */
const COST_UNHEARD = 7;
/** A sure clap that no camera of the log saw. */
const COST_EXTRA = 3;
/** A clap that may not be one. */
const COST_DOUBTFUL = 4;
const COST_OUT_OF_ORDER = 8;
/** Where one picture has several rows the log may go camera by camera, and order says little. */
const COST_OUT_OF_ORDER_LOOSE = 2;
const COST_WRONG_SPACING = 10;
/** Deviation of a time stamp, seconds, and the most that it may speak against an answer. */
const STAMP_SECONDS = 1;
const COST_STAMP_MOST = 12;
/** All stamps of the cameras may be off by one amount against the recorder's. */
const COST_CLOCK_OFF = 4;
/** Answers this near the best are equal to it: odds below 7 to 1. */
const EQUAL = 2;
const BEAM = 64;
/** Cost of stamps per row, up to which they fit. */
const STAMPS_FIT = 1.5;

interface Choice {
  readonly sound: number;
  readonly clap: number;
}

interface Answer {
  readonly choices: readonly (Choice | null)[];
  readonly cost: number;
}

export function assignClaps(seen: readonly SeenClap[], sounds: readonly HeardSound[]): ClapAssignment {
  const refusals = seen.map((clap) => whyImpossible(clap, sounds));
  const possible = seen.map((_, index) => index).filter((index) => refusals[index] === null);
  const answers = weighAnswers(
    possible.map((index) => seen[index] as SeenClap),
    sounds,
  );
  const best = answers[0];
  const near = answers.filter((answer) => answer.cost <= (best?.cost ?? 0) + EQUAL);
  const total = answers.reduce((sum, answer) => sum + Math.exp((best?.cost ?? 0) - answer.cost), 0);
  const fits: ClapFit[] = [];
  const open: OpenClap[] = [];
  const leftPictures = seen.flatMap((clap, index) => {
    const reason = refusals[index] ?? null;
    return reason === null ? [] : [{ seen: index, picture: clap.picture, reason }];
  });
  possible.forEach((seenIndex, place) => {
    const clap = seen[seenIndex] as SeenClap;
    const different = distinct(near.map((answer) => answer.choices[place] ?? null));
    const chosen = different[0] ?? null;
    if (different.length > 1) {
      const choices = different
        .filter((choice) => choice !== null)
        .sort((left, right) => left.sound - right.sound || left.clap - right.clap)
        .map((choice) => ({ sound: sounds[choice.sound]?.name ?? '', clap: choice.clap + 1 }));
      open.push({
        seen: seenIndex,
        picture: clap.picture,
        choices,
        reason: openReason(clap.picture, choices, different.includes(null)),
      });
    } else if (chosen === null) {
      leftPictures.push({ seen: seenIndex, picture: clap.picture, reason: 'No clap that was heard fits it.' });
    } else {
      const agreeing = answers.filter((answer) => isSame(answer.choices[place] ?? null, chosen));
      const confidence = agreeing.reduce((sum, answer) => sum + Math.exp((best?.cost ?? 0) - answer.cost), 0) / total;
      fits.push(fitOf(seenIndex, clap, sounds, chosen, confidence));
    }
  });
  const used = new Set(fits.map((fit) => `${fit.sound}/${fit.clap}`));
  const isOpen = new Set(open.flatMap((one) => one.choices.map((choice) => `${choice.sound}/${choice.clap}`)));
  return {
    fits: fits.map((fit) => ({
      ...fit,
      sharedWith: fits
        .filter((other) => other.seen !== fit.seen && other.sound === fit.sound && other.clap === fit.clap)
        .map((other) => other.picture),
    })),
    open,
    leftPictures,
    leftClaps: sounds.flatMap((sound) =>
      sound.claps
        .map((clap, index) => ({ sound: sound.name, clap: index + 1, sample: clap.sample }))
        .filter((clap) => !used.has(`${clap.sound}/${clap.clap}`) && !isOpen.has(`${clap.sound}/${clap.clap}`)),
    ),
  };
}

function whyImpossible(clap: SeenClap, sounds: readonly HeardSound[]): string | null {
  if (clap.frameCount !== null && toNumber(clap.frame) >= clap.frameCount) {
    return `The clap is said to be in frame ${toNumber(clap.frame)}, but the picture has only ${clap.frameCount} frames (the first is 0).`;
  }
  const allowed = sounds.filter((sound) => isNamed(clap, sound));
  if (allowed.length === 0) return clap.sound === null ? 'There is no sound.' : `There is no sound named "${clap.sound}".`;
  if (allowed.every((sound) => sound.claps.length === 0))
    return `No clap was heard in ${allowed.map((sound) => sound.name).join(', ')}.`;
  const { clapNumber } = clap;
  if (clapNumber !== null && allowed.every((sound) => sound.claps.length < clapNumber)) {
    const most = Math.max(...allowed.map((sound) => sound.claps.length));
    return `The log asks for clap ${clapNumber}, but only ${most === 1 ? '1 clap was' : `${most} claps were`} heard.`;
  }
  return null;
}

function isNamed(clap: SeenClap, sound: HeardSound): boolean {
  if (clap.sound === null) return true;
  const plain = (name: string): string => name.toLowerCase().replace(/\.[a-z0-9]+$/, '');
  return plain(clap.sound) === plain(sound.name) || clap.sound.toLowerCase() === sound.name.toLowerCase();
}

/** Answers by rising cost. Searched row by row with the best few partial answers kept, once for each way the clocks may be off. */
function weighAnswers(seen: readonly SeenClap[], sounds: readonly HeardSound[]): Answer[] {
  if (seen.length === 0) return [];
  const found = new Map<string, Answer>();
  const take = (answers: readonly Answer[]): void => {
    for (const answer of answers) {
      const key = JSON.stringify(answer.choices);
      const known = found.get(key);
      if (known === undefined || answer.cost < known.cost) found.set(key, answer);
    }
  };
  take(searchAnswers(seen, sounds, 0, 0));
  // Where the stamps fit as they are, nobody needs a clock that is off.
  const [plain] = [...found.values()].sort((left, right) => left.cost - right.cost);
  if (plain !== undefined && stampMisfit(seen, sounds, plain) > STAMPS_FIT * seen.length) {
    for (const offset of clockOffsets(seen, sounds)) take(searchAnswers(seen, sounds, offset, COST_CLOCK_OFF));
  }
  return [...found.values()].sort((left, right) => left.cost - right.cost);
}

function stampMisfit(seen: readonly SeenClap[], sounds: readonly HeardSound[], answer: Answer): number {
  return answer.choices.reduce((sum, choice, row) => {
    const sound = choice === null ? undefined : sounds[choice.sound];
    const heard = choice === null ? undefined : sound?.claps[choice.clap];
    return sound === undefined || heard === undefined
      ? sum + COST_STAMP_MOST
      : sum + stampCost(seen[row] as SeenClap, sound, heard, 0);
  }, 0);
}

function searchAnswers(
  seen: readonly SeenClap[],
  sounds: readonly HeardSound[],
  clockOffset: number,
  startCost: number,
): Answer[] {
  const isLoose = new Set(seen.map((clap) => clap.picture)).size < seen.length;
  let beam: Answer[] = [{ choices: [], cost: startCost }];
  seen.forEach((clap, row) => {
    const next: Answer[] = [];
    for (const partial of beam) {
      next.push({ choices: [...partial.choices, null], cost: partial.cost + COST_UNHEARD });
      sounds.forEach((sound, soundIndex) => {
        if (!isNamed(clap, sound)) return;
        sound.claps.forEach((heard, clapIndex) => {
          if (clap.clapNumber !== null && clap.clapNumber !== clapIndex + 1) return;
          const choice = { sound: soundIndex, clap: clapIndex };
          const cost = rowCost(seen, row, sounds, partial.choices, choice, heard, clockOffset, isLoose);
          next.push({ choices: [...partial.choices, choice], cost: partial.cost + cost });
        });
      });
    }
    beam = next.sort((left, right) => left.cost - right.cost).slice(0, BEAM);
  });
  return beam.map((answer) => ({ choices: answer.choices, cost: answer.cost + extraCost(sounds, answer.choices) }));
}

function rowCost(
  seen: readonly SeenClap[],
  row: number,
  sounds: readonly HeardSound[],
  before: readonly (Choice | null)[],
  choice: Choice,
  heard: HeardClap,
  clockOffset: number,
  isLoose: boolean,
): number {
  const clap = seen[row] as SeenClap;
  const sound = sounds[choice.sound] as HeardSound;
  let cost = COST_DOUBTFUL * (1 - heard.score);
  if (before.some((other) => isSame(other, choice))) cost += COST_SHARED;
  const isEarlier = before.some((other) => other !== null && other.sound === choice.sound && other.clap > choice.clap);
  // A number in the log is an order of its own.
  if (isEarlier && clap.clapNumber === null) cost += isLoose ? COST_OUT_OF_ORDER_LOOSE : COST_OUT_OF_ORDER;
  before.forEach((other, otherRow) => {
    const earlier = seen[otherRow] as SeenClap;
    if (other === null || other.sound !== choice.sound || earlier.picture !== clap.picture) return;
    const inPicture = toSeconds(clap.frame, clap.rate) - toSeconds(earlier.frame, earlier.rate);
    const inSound = (heard.sample - (sound.claps[other.clap]?.sample ?? 0)) / sound.sampleRate;
    // Two frames read by eye are each good to a frame; clocks add a little.
    const room = 1.05 * toSeconds(rational(1), clap.rate) + 2e-4 * Math.abs(inPicture);
    if (Math.abs(inPicture - inSound) > room) cost += COST_WRONG_SPACING;
  });
  return cost + stampCost(clap, sound, heard, clockOffset);
}

function stampCost(clap: SeenClap, sound: HeardSound, heard: HeardClap, clockOffset: number): number {
  const predicted = predictedSeconds(clap, sound);
  if (predicted === null) return 0;
  const miss = (heard.sample / sound.sampleRate - predicted - clockOffset) / STAMP_SECONDS;
  return Math.min(COST_STAMP_MOST, (miss * miss) / 2);
}

/** Sure claps that nobody used, in sounds that somebody used: an unrelated recording owes no explanation. */
function extraCost(sounds: readonly HeardSound[], choices: readonly (Choice | null)[]): number {
  let cost = 0;
  sounds.forEach((sound, soundIndex) => {
    if (!choices.some((choice) => choice?.sound === soundIndex)) return;
    sound.claps.forEach((heard, clap) => {
      if (!choices.some((choice) => isSame(choice, { sound: soundIndex, clap })))
        cost += COST_EXTRA * Math.max(0, 2 * heard.score - 1);
    });
  });
  return cost;
}

/** Where in the sound, in seconds, the stamps expect the clap. */
function predictedSeconds(clap: SeenClap, sound: HeardSound): number | null {
  if (clap.startSeconds === null || sound.startSeconds === null) return null;
  return clap.startSeconds - sound.startSeconds + toSeconds(clap.frame, clap.rate);
}

/** What would put one of the first pictures right on one of the claps, to a quarter of a second; it takes two pictures to tell. */
function clockOffsets(seen: readonly SeenClap[], sounds: readonly HeardSound[]): number[] {
  const stamped = seen.filter((clap) => clap.startSeconds !== null);
  if (new Set(stamped.map((clap) => clap.picture)).size < 2) return [];
  const offsets = new Map<number, number>();
  for (const clap of stamped.slice(0, 2)) {
    for (const sound of sounds) {
      const predicted = predictedSeconds(clap, sound);
      if (predicted === null || !isNamed(clap, sound)) continue;
      for (const heard of sound.claps) {
        const offset = heard.sample / sound.sampleRate - predicted;
        offsets.set(Math.round(4 * offset), offset);
      }
    }
  }
  return [...offsets.values()];
}

function fitOf(seenIndex: number, clap: SeenClap, sounds: readonly HeardSound[], choice: Choice, confidence: number): ClapFit {
  const sound = sounds[choice.sound] as HeardSound;
  const heard = sound.claps[choice.clap] as HeardClap;
  const interval = contactInterval(clap.reading, clap.rate, clap.shutterDegrees);
  const uncertainty = rational(Math.ceil(heard.edgeUncertainty * 100), Math.round(100 * sound.sampleRate));
  return {
    seen: seenIndex,
    picture: clap.picture,
    sound: sound.name,
    clap: choice.clap + 1,
    placement: placeClap(clap.frame, interval, clap.rate, rational(heard.sample), uncertainty),
    confidence,
    sharedWith: [],
  };
}

function openReason(
  picture: string,
  choices: readonly { readonly sound: string; readonly clap: number }[],
  mayBeUnheard: boolean,
): string {
  const named = choices.map((choice) => `clap ${choice.clap} of ${choice.sound}`);
  const list = named.length <= 1 ? (named[0] ?? '') : `${named.slice(0, -1).join(', ')} and ${named.at(-1)}`;
  const unheard = mayBeUnheard ? ', or its clap was not recorded' : '';
  return `${picture} fits ${list} equally well${unheard}. A clap number in the log, or time stamps in the files, would decide.`;
}

function isSame(left: Choice | null, right: Choice | null): boolean {
  return left === right || (left !== null && right !== null && left.sound === right.sound && left.clap === right.clap);
}

function distinct(choices: readonly (Choice | null)[]): (Choice | null)[] {
  return choices.filter((choice, index) => choices.findIndex((other) => isSame(other, choice)) === index);
}
