/**
 * Claps seen and claps heard, brought together: pairs for a report, and what stays open.
 *
 * Where a camera's own sound was matched as well, that match says in which frame each clap falls. Then it decides which clap a row
 * means, and the row is held against it; the waveform stays in the report, because it is finer than any eye.
 */

import type { PairData } from '../../core/alignment/reportText.ts';
import { amountOfTime, listInWords } from '../../core/text/words.ts';
import { add, divide, multiply, type Rational, rational, reduce, subtract, toNumber } from '../../core/time/rational.ts';
import type { ClapFit, SeenClap } from '../../sound/clapLog/assignClaps.ts';
import { contactInterval } from '../../sound/clapLog/contactInterval.ts';
import type { ClapReading } from '../../sound/claps/clap.ts';
import { objectionTo } from './clapByWaveform.ts';
import { fitClaps } from './clapFits.ts';
import { placeIn } from './clapLog.ts';
import { clockText, numberText } from './measuredWords.ts';
import type { LeftOver, MeasuredPair } from './measurement.ts';
import type { OpenSound } from './openRecordings.ts';
import type { LoggedClap } from './seenClaps.ts';
import type { SoundFamily } from './soundFamilies.ts';

export interface ClapPairsInput {
  readonly logName: string;
  /** In the order of the log. */
  readonly claps: readonly LoggedClap[];
  /** Recordings that ran side by side, together. */
  readonly families: readonly SoundFamily[];
  readonly readings: ReadonlyMap<OpenSound, ClapReading>;
  /** Pairs by waveform that were found already. */
  readonly waveforms: readonly MeasuredPair[];
  readonly pictureKey: (clap: LoggedClap) => string;
  readonly soundKey: (sound: OpenSound) => string;
}

export interface ClapPairs {
  /** Pairs by clap, but for pictures and sounds that a waveform joins already. */
  readonly pairs: readonly MeasuredPair[];
  /** Pairs by waveform that the log bears out, and how. */
  readonly confirmed: ReadonlyMap<MeasuredPair, readonly string[]>;
  readonly leftOver: readonly LeftOver[];
}

interface PlacedPair {
  readonly pair: MeasuredPair;
  readonly fit: ClapFit;
  readonly clap: LoggedClap;
  readonly soundRate: number;
}

/** Clocks that run free part by tens of parts per million; far more is another mistake (common practice). */
const CLOCK_ROOM = 200e-6;

export function clapPairs(input: ClapPairsInput): ClapPairs {
  const { claps, logName } = input;
  const sounds = input.families.map(({ main }) => main);
  const waveformOf = (clap: LoggedClap, sound: OpenSound): MeasuredPair | null => waveformFor(clap, sound, input);
  const { fits, open, leftPictures, leftClaps } = fitClaps({ ...input, waveformFor: waveformOf });
  const leftOver: LeftOver[] = [];
  const pairs: PlacedPair[] = [];
  const confirmed = new Map<MeasuredPair, readonly string[]>();
  const placeOf = (index: number): string => placeIn(logName, claps[index]?.entry.line ?? 1, null);
  for (const { fit, sound } of fits) {
    const clap = claps[fit.seen];
    if (clap === undefined) continue;
    const waveform = waveformFor(clap, sound, input);
    if (waveform === null) {
      pairs.push({ pair: clapPair(fit, clap, sound, input), fit, clap, soundRate: sound.source.sampleRate });
      continue;
    }
    const objection = objectionTo(waveform, fit, clap, sound);
    if (objection !== null) leftOver.push({ severity: 'error', kind: 'log', name: placeOf(fit.seen), reason: objection });
    else
      confirmed.set(waveform, [
        ...(confirmed.get(waveform) ?? []),
        `The clap log agrees: clap ${fit.clap} falls into frame ${numberText(clap.seen.frame)}.`,
      ]);
  }
  for (const { seen: index, reason } of open) {
    leftOver.push({
      severity: 'error',
      kind: 'log',
      name: placeOf(index),
      reason: `Ambiguous, so nothing was chosen. ${reason}`,
    });
  }
  for (const { seen: index, reason } of leftPictures) {
    leftOver.push({ severity: 'error', kind: 'log', name: placeOf(index), reason });
  }
  for (const { sound, clap, sample } of leftClaps) {
    const rate = sounds.find(({ label }) => label === sound)?.source.sampleRate ?? 1;
    leftOver.push({
      severity: 'information',
      kind: 'clap',
      name: sound,
      reason: `Clap ${clap}, at ${clockText(sample / rate)}, is in no row of ${logName}.`,
    });
  }
  const contradictory = pairs.filter((one) => pairs.some((other) => areApart(one, other)));
  for (const { clap, fit } of contradictory) {
    leftOver.push({
      severity: 'error',
      kind: 'log',
      name: placeIn(logName, clap.entry.line, null),
      reason: `${clap.picture.name} sees several claps of ${fit.sound}, and they do not lie as far apart in the picture as in the sound, so none of them was used. A frame or a clap number is wrong, or these are two cameras of one name.`,
    });
  }
  return { pairs: pairs.filter((one) => !contradictory.includes(one)).map(({ pair }) => pair), confirmed, leftOver };
}

/** True for two claps of one picture in one sound that can't both be right, whatever the eye made of the frames. */
function areApart(one: PlacedPair, other: PlacedPair): boolean {
  const { pair: left, clap } = one;
  const { pair: right } = other;
  if (one === other || left.data.picture !== right.data.picture || left.data.sound !== right.data.sound) return false;
  const inPicture = toNumber(divide(subtract(left.data.frame, right.data.frame), clap.seen.rate));
  const inSound = toNumber(subtract(left.data.sample, right.data.sample)) / one.soundRate;
  const widths = [left, right].map(({ data }) => (data.uncertainty === null ? 0 : toNumber(data.uncertainty.late)));
  const room = Math.max(...widths) + CLOCK_ROOM * Math.abs(inPicture);
  return Math.abs(inPicture - inSound) > room;
}

function waveformFor(clap: LoggedClap, sound: OpenSound, input: ClapPairsInput): MeasuredPair | null {
  const [picture, key] = [input.pictureKey(clap), input.soundKey(sound)];
  return input.waveforms.find(({ data }) => data.picture === picture && data.sound === key) ?? null;
}

function clapPair(fit: ClapFit, clap: LoggedClap, sound: OpenSound, input: ClapPairsInput): MeasuredPair {
  const { placement } = fit;
  const data: PairData = {
    picture: input.pictureKey(clap),
    sound: input.soundKey(sound),
    frame: reduce(placement.frame),
    sample: placement.sample,
    driftPpm: rational(0),
    uncertainty: { early: placement.uncertaintyEarly, late: placement.uncertaintyLate },
    by: 'clap',
    clap: fit.clap,
    note: null,
  };
  return { data, confidence: fit.confidence, remarks: remarksOn(fit, clap), waveform: null };
}

function remarksOn(fit: ClapFit, { seen }: LoggedClap): readonly string[] {
  const interval = contactInterval(seen.reading, seen.rate, seen.shutterDegrees);
  const from = frameText(seen, interval.earliest);
  const to = frameText(seen, interval.latest);
  const width = amountOfTime(fit.placement.uncertaintyLate);
  const remarks = [
    `Seen in frame ${numberText(seen.frame)}, so the hands met between frames ${from} and ${to}. The clap is put on the later end: sound can lag by up to ${width}, and not lead.`,
  ];
  if (fit.sharedWith.length > 0) remarks.push(`The same clap serves ${listInWords(fit.sharedWith)} too.`);
  return remarks;
}

/** A place on the picture's time axis, in frames with a decimal at most. */
function frameText({ frame, rate }: SeenClap, seconds: Rational): string {
  return String(Number(toNumber(add(frame, multiply(seconds, rate))).toFixed(1)));
}
