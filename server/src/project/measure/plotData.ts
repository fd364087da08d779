/**
 * What a plot of one match shows, read from the recordings once more: the sound around the instant that matters, the camera's own
 * sound laid over it, how alike the two are, and the windows along the take.
 */

import type { FrameStart, InstantData } from '../../core/report/plots/clapPanels.ts';
import type { CorrelationData } from '../../core/report/plots/correlationPanel.ts';
import type { DriftData } from '../../core/report/plots/driftPanel.ts';
import type { MatchPlotData } from '../../core/report/plots/matchPlot.ts';
import type { Trace } from '../../core/report/plots/waveform.ts';
import { toNumber } from '../../core/time/rational.ts';
import type { ClapCandidate } from '../../sound/claps/clap.ts';
import { liveliestChannel } from '../../sound/delay/liveliestChannel.ts';
import { readWindow } from '../../sound/delay/readWindow.ts';
import type { SoundSource } from '../../sound/soundSource.ts';
import { likeness } from './likeness.ts';
import { clockText, driftText, methodText, numberText, offsetText, uncertaintyText } from './measuredWords.ts';
import type { MeasuredPair, MeasuredPicture, MeasuredSound, WaveformEvidence } from './measurement.ts';

export interface PlotInput {
  readonly pair: MeasuredPair;
  readonly picture: MeasuredPicture;
  readonly sound: MeasuredSound;
  readonly soundSource: SoundSource;
  /** Null when the camera recorded no sound, or was only named in a log. */
  readonly scratchSource: SoundSource | null;
}

const FRAMES_BEFORE = 3;
const FRAMES_AFTER = 4;
const CLOSE_MILLISECONDS = 5;
const LIKENESS_SECONDS = 0.7;
const LIKENESS_REACH_SECONDS = 0.01;
const PPM = 1e-6;

/** The lines between picture, sound and scratch, as plain numbers: for drawing only. */
interface Lines {
  readonly rate: number;
  readonly soundRate: number;
  readonly sampleAtFrame: (frame: number) => number;
  readonly frameAtSample: (sample: number) => number;
}

export async function plotData(input: PlotInput): Promise<MatchPlotData> {
  const { pair, picture, sound } = input;
  const lines = linesOf(input);
  const clap = clapFor(input, lines);
  const origin = clap?.sample ?? (await loudestMoment(input, lines));
  const channel = clap?.channel ?? (await liveliestChannel(input.soundSource));
  const evidence = pair.waveform;
  return {
    title: `${picture.name} with ${sound.name}`,
    sentences: [
      `Start of frame ${numberText(pair.data.frame)} = sample ${numberText(pair.data.sample)}; ${offsetText(pair.data, picture.data, sound.data)}; ${uncertaintyText(pair.data)}.`,
      `By ${methodText(pair.data)}. Sure to ${pair.confidence.toFixed(2)} of 1.`,
      ...pair.remarks,
    ],
    instant: await instantData(input, lines, clap, origin, channel),
    closeReach: CLOSE_MILLISECONDS,
    correlation: evidence === null || input.scratchSource === null ? null : await correlationData(input, evidence, channel),
    drift: evidence === null ? null : driftData(pair, evidence, lines),
  };
}

function linesOf({ pair, picture, sound }: PlotInput): Lines {
  const { data } = pair;
  const rate = toNumber(picture.data.rate);
  const soundRate = toNumber(sound.data.sampleRate);
  const [frame, sample] = [toNumber(data.frame), toNumber(data.sample)];
  const perFrame = (soundRate / rate) * (1 + toNumber(data.driftPpm) * PPM);
  return {
    rate,
    soundRate,
    sampleAtFrame: (at) => sample + (at - frame) * perFrame,
    frameAtSample: (at) => frame + (at - sample) / perFrame,
  };
}

/** The clap the pair was measured by; else the first one that the picture's time covers. */
function clapFor({ pair, sound, picture }: PlotInput, lines: Lines): ClapCandidate | null {
  const claps = sound.reading.candidates.filter(({ verdict }) => verdict === 'clap');
  if (pair.data.clap !== null) return claps[pair.data.clap - 1] ?? null;
  const frames = picture.data.frameCount === null ? null : toNumber(picture.data.frameCount);
  const seconds = picture.scratch?.seconds ?? null;
  const last = frames ?? (seconds === null ? Number.POSITIVE_INFINITY : seconds * lines.rate);
  return claps.find(({ sample }) => lines.frameAtSample(sample) >= 0 && lines.frameAtSample(sample) <= last) ?? null;
}

/** Where no clap is: the loudest sample near the clearest window, or at the named frame. */
async function loudestMoment({ pair, soundSource }: PlotInput, lines: Lines): Promise<number> {
  const clearest = pair.waveform?.match.windows
    .toSorted((left, right) => right.clarity - left.clarity)
    .find(({ agrees }) => agrees);
  const middle = clearest?.soundSample ?? toNumber(pair.data.sample);
  const reach = Math.round(0.5 * lines.soundRate);
  const start = Math.max(0, Math.round(middle) - reach);
  const samples = await readPart(soundSource, await liveliestChannel(soundSource), start, 2 * reach);
  let loudest = 0;
  for (let index = 0; index < samples.length; index += 1) {
    if (Math.abs(samples[index] as number) > Math.abs(samples[loudest] as number)) loudest = index;
  }
  return start + loudest;
}

async function instantData(
  { pair, sound, soundSource, scratchSource }: PlotInput,
  lines: Lines,
  clap: ClapCandidate | null,
  origin: number,
  channel: number,
): Promise<InstantData> {
  const { soundRate } = lines;
  const inMilliseconds = (sample: number): number => ((sample - origin) / soundRate) * 1000;
  const isByClap = pair.data.by === 'clap';
  const around = Math.floor(lines.frameAtSample(origin) + 1e-6);
  const anchorFrame = isByClap ? toNumber(pair.data.frame) : around;
  const frames: FrameStart[] = [];
  for (let number = around - FRAMES_BEFORE; number <= around + FRAMES_AFTER; number += 1) {
    frames.push({ number, at: inMilliseconds(lines.sampleAtFrame(number)) });
  }
  const first = Math.floor(lines.sampleAtFrame(around - FRAMES_BEFORE));
  const count = Math.ceil(lines.sampleAtFrame(around + FRAMES_AFTER)) - first + 1;
  const claps = sound.reading.candidates.filter(({ verdict }) => verdict === 'clap');
  return {
    sound: { first: inMilliseconds(first), step: 1000 / soundRate, samples: await readPart(soundSource, channel, first, count) },
    scratch:
      pair.waveform === null || scratchSource === null
        ? null
        : await scratchTrace(pair.waveform, scratchSource, first, count, soundRate, inMilliseconds),
    isScratchTurned: pair.waveform?.match.polarity === -1,
    edge: clap === null ? null : { at: inMilliseconds(clap.sample), name: `clap ${claps.indexOf(clap) + 1}` },
    frames,
    anchor: {
      at: inMilliseconds(lines.sampleAtFrame(anchorFrame)),
      early: 1000 * (pair.data.uncertainty === null ? 0 : toNumber(pair.data.uncertainty.early)),
      late: 1000 * (pair.data.uncertainty === null ? 0 : toNumber(pair.data.uncertainty.late)),
      name: `frame ${Number(anchorFrame.toFixed(3))}`,
    },
    origin: clap === null ? 'the loudest moment' : 'the leading edge',
  };
}

/** The scratch where the match lays it; the air is not taken out of it, for this is what the camera heard. */
async function scratchTrace(
  { match, scratchRate }: WaveformEvidence,
  source: SoundSource,
  firstSound: number,
  count: number,
  soundRate: number,
  inMilliseconds: (sample: number) => number,
): Promise<Trace> {
  const perScratch = (soundRate / scratchRate) * (1 + match.driftPpm * PPM);
  const first = Math.floor((firstSound - match.offsetSamples) / perScratch);
  const samples = await readPart(source, await liveliestChannel(source), first, Math.ceil(count / perScratch) + 1);
  if (match.polarity === -1) for (let index = 0; index < samples.length; index += 1) samples[index] = -(samples[index] as number);
  return { first: inMilliseconds(match.offsetSamples + first * perScratch), step: (perScratch / soundRate) * 1000, samples };
}

async function correlationData(
  input: PlotInput,
  { match, scratchRate }: WaveformEvidence,
  channel: number,
): Promise<CorrelationData | null> {
  const { soundSource, scratchSource } = input;
  const window = match.windows.filter(({ agrees }) => agrees).toSorted((left, right) => right.clarity - left.clarity)[0];
  if (window === undefined || scratchSource === null) return null;
  const rate = Math.min(soundSource.sampleRate, scratchRate);
  const count = Math.round(LIKENESS_SECONDS * rate);
  const reach = Math.round(LIKENESS_REACH_SECONDS * rate);
  const perScratch = (soundSource.sampleRate / scratchRate) * (1 + match.driftPpm * PPM);
  const scratchStart = Math.round(window.scratchSample - (LIKENESS_SECONDS / 2) * scratchRate);
  const soundStart = match.offsetSamples + scratchStart * perScratch - (reach / rate) * soundSource.sampleRate;
  const scratch = await readWindow(scratchSource, await liveliestChannel(scratchSource), scratchStart, count, rate);
  const sound = await readWindow(soundSource, channel, soundStart, count + 2 * reach, rate);
  const { values, peak } = likeness(scratch, sound, reach);
  return {
    curve: { first: (-reach / rate) * 1000, step: 1000 / rate, samples: values },
    peakAt: (peak / rate) * 1000,
    remark: `${LIKENESS_SECONDS} s at ${clockText(Math.max(0, scratchStart / scratchRate))} of the scratch`,
  };
}

function driftData(
  { data }: MeasuredPair,
  { match, scratchRate, scratchStart }: WaveformEvidence,
  { soundRate }: Lines,
): DriftData {
  const ratio = soundRate / scratchRate;
  const start = toNumber(scratchStart) / scratchRate;
  const { overlap } = match;
  const head = match.offsetSamples + overlap.start * ratio * (1 + match.driftPpm * PPM);
  const lagAt = (scratchSample: number, soundSample: number): number =>
    ((soundSample - head - (scratchSample - overlap.start) * ratio) / soundRate) * 1000;
  const onLine = (scratchSample: number): { seconds: number; lag: number } => ({
    seconds: scratchSample / scratchRate + start,
    lag: ((scratchSample - overlap.start) / scratchRate) * match.driftPpm * PPM * 1000,
  });
  return {
    windows: match.windows.map(({ scratchSample, soundSample, agrees }) => ({
      seconds: scratchSample / scratchRate + start,
      lag: lagAt(scratchSample, soundSample),
      agrees,
    })),
    line: [onLine(overlap.start), onLine(overlap.end)],
    jumps: match.jumps.map(({ after, before, samples }) => ({
      seconds: (after + before) / 2 / scratchRate + start,
      name: `jump of ${Number(Math.abs((samples / soundRate) * 1000).toFixed(1))} ms`,
    })),
    remark: driftText(data).replace(/:.*$/, ''),
  };
}

/** Samples from `start` on, with silence where the recording has none. */
async function readPart(source: SoundSource, channel: number, start: number, count: number): Promise<Float32Array> {
  const samples = new Float32Array(Math.max(1, count));
  const skip = Math.max(0, -start);
  if (skip < samples.length && start + skip < source.sampleCount)
    await source.read(start + skip, [channel], [samples.subarray(skip)]);
  return samples;
}
