/**
 * The whole of a measurement: recordings in, the data of a report out.
 *
 * Sounds are searched for claps; cameras that recorded sound are compared with every sound; cameras that a clap log names get the clap
 * that the log gives them. Where both speak of the same two files they are held against each other. What fits nothing is said.
 *
 * Everything outside comes in through ports, so this runs wherever bytes can be read. Files are opened for reading and closed again,
 * whatever happens.
 */

import { renderMatchPlot } from '../../core/report/plots/matchPlot.ts';
import { listInWords } from '../../core/rules/words.ts';
import { compareNaturally } from '../../core/text/naturalOrder.ts';
import type { Rate } from '../../core/time/rate.ts';
import { compare, type Rational, rational } from '../../core/time/rational.ts';
import type { ClapReading } from '../../sound/claps/clap.ts';
import { findClaps } from '../../sound/claps/findClaps.ts';
import type { Fourier } from '../../sound/fourier/fourier.ts';
import { keysFor } from './fileKeys.ts';
import { ambiguousBesides, doubtsAbout, leftOverPicture, leftOverSound } from './leftOvers.ts';
import { COMPARING_WEIGHT, matchScratches, type ScratchAnswer, secondsOf } from './matchScratches.ts';
import type { LeftOver, MeasuredPair, MeasuredPicture, MeasuredSound, Measurement } from './measurement.ts';
import type { MediaPort } from './mediaPort.ts';
import { type OpenPicture, type OpenSound, openPicture, openSound } from './openRecordings.ts';
import { plotData } from './plotData.ts';
import { type Progress, type ProgressPlan, progressPlan } from './progress.ts';
import type { Recording } from './recording.ts';
import { waveformPair } from './waveformPair.ts';

export interface MeasureRequest {
  readonly recordings: readonly Recording[];
  /** Frames per second of pictures that do not say it themselves. */
  readonly rate: Rate | null;
  readonly microphoneMetres: Rational | null;
  /** Whether a plot of each pair is wanted. */
  readonly isPlotting: boolean;
}

export interface Measured {
  readonly measurement: Measurement;
  readonly plots: readonly Plot[];
}

export interface Plot {
  /** Made of the keys of picture and sound, fit for any disk. */
  readonly fileName: string;
  readonly svg: string;
}

export interface MeasurePorts {
  readonly media: MediaPort;
  readonly fourier: Fourier;
  readonly onProgress: (progress: Progress) => void;
  readonly isCancelled: () => boolean;
}

interface Run extends MeasureRequest, MeasurePorts {
  readonly progress: ProgressPlan;
  readonly failures: string[];
  readonly leftOver: LeftOver[];
  readonly closing: (() => Promise<void>)[];
}

/** Null when it was cancelled. */
export async function measure(request: MeasureRequest, ports: MeasurePorts): Promise<Measured | null> {
  const run: Run = { ...request, ...ports, progress: progressPlan(ports.onProgress), failures: [], leftOver: [], closing: [] };
  try {
    const sounds = await openSounds(run);
    expectWork(run, sounds);
    const pictures = await openPictures(run, sounds);
    const readings = await hearClaps(run, sounds);
    const answers = await matchScratches(pictures, sounds, run);
    if (run.isCancelled()) return null;
    const measurement = conclude(run, sounds, pictures, readings, answers);
    return { measurement, plots: run.isPlotting ? await drawPlots(measurement, sounds, pictures) : [] };
  } finally {
    for (const close of run.closing) await close();
  }
}

async function openSounds(run: Run): Promise<readonly OpenSound[]> {
  const sounds: OpenSound[] = [];
  for (const recording of inOrder(run.recordings, 'sound')) {
    const opened = await openSound(run.media, recording);
    if (opened.ok) {
      sounds.push(opened.value);
      run.closing.push(opened.value.close);
    } else run.failures.push(opened.failure);
  }
  return sounds;
}

async function openPictures(run: Run, sounds: readonly OpenSound[]): Promise<readonly OpenPicture[]> {
  const pictures: OpenPicture[] = [];
  const unreadable: { readonly path: string; readonly failure: string }[] = [];
  for (const recording of inOrder(run.recordings, 'picture')) {
    if (run.isCancelled()) break;
    const decoding = recording.reader === 'camera' ? run.progress.begin(`reading ${recording.path}`, 0) : () => {};
    const opened = await openPicture(run.media, recording, run.rate, { onProgress: decoding, isCancelled: run.isCancelled });
    if (!opened.ok) {
      if (opened.isToolMissing) unreadable.push({ path: recording.path, failure: opened.failure });
      else run.failures.push(opened.failure);
      continue;
    }
    pictures.push(opened.value);
    const { scratch } = opened.value;
    if (scratch === null) continue;
    run.closing.push(scratch.close);
    run.progress.expect(
      secondsOf(scratch.source) + COMPARING_WEIGHT * sounds.reduce((sum, { source }) => sum + secondsOf(source), 0),
    );
  }
  const [first, ...others] = unreadable;
  if (first !== undefined)
    run.failures.push(
      `${first.failure}${others.length === 0 ? '' : `. The same holds for ${listInWords(others.map(({ path }) => path))}`}`,
    );
  return pictures;
}

function inOrder(recordings: readonly Recording[], role: Recording['role']): readonly Recording[] {
  return recordings
    .filter((recording) => recording.role === role)
    .toSorted((left, right) => compareNaturally(left.path, right.path));
}

/** Every sound is heard once for claps, and once more if any camera is to be compared with it. */
function expectWork(run: Run, sounds: readonly OpenSound[]): void {
  const isComparing = run.recordings.some(({ role }) => role === 'picture');
  const seconds = sounds.reduce((sum, { source }) => sum + secondsOf(source) * source.channelCount, 0);
  run.progress.expect(seconds);
  if (isComparing) run.progress.expect(sounds.reduce((sum, { source }) => sum + secondsOf(source), 0));
}

async function hearClaps(run: Run, sounds: readonly OpenSound[]): Promise<ReadonlyMap<OpenSound, ClapReading>> {
  const readings = new Map<OpenSound, ClapReading>();
  for (const sound of sounds) {
    const tell = run.progress.begin(`finding claps in ${sound.name}`, secondsOf(sound.source) * sound.source.channelCount);
    const onProgress = (heard: number, total: number): void => tell(heard / Math.max(1, total));
    readings.set(sound, await findClaps(sound.source, run.fourier, { onProgress, isCancelled: run.isCancelled }));
    tell(1);
  }
  return readings;
}

function conclude(
  run: Run,
  sounds: readonly OpenSound[],
  pictures: readonly OpenPicture[],
  readings: ReadonlyMap<OpenSound, ClapReading>,
  answers: readonly ScratchAnswer[],
): Measurement {
  const keys = keysFor([...pictures, ...sounds].map(({ path }) => path));
  const pictureKeys = new Map(pictures.map((picture, index) => [picture, keys[index] as string]));
  const soundKeys = new Map(sounds.map((sound, index) => [sound, keys[pictures.length + index] as string]));
  const pairs = answers.flatMap(({ picture, scratch, matches }) =>
    matches.map(({ sound, match }) =>
      waveformPair({
        picture,
        pictureKey: pictureKeys.get(picture) as string,
        scratch,
        sound,
        soundKey: soundKeys.get(sound) as string,
        match,
        microphoneMetres: run.microphoneMetres,
      }),
    ),
  );
  for (const picture of pictures) {
    if (pairs.some(({ data }) => data.picture === pictureKeys.get(picture))) continue;
    const answer = answers.find((candidate) => candidate.picture === picture) ?? null;
    run.leftOver.push(leftOverPicture(picture, answer, sounds.length > 0));
  }
  const hasPictures = run.recordings.some(({ role }) => role === 'picture');
  for (const sound of sounds) {
    if (pairs.some(({ data }) => data.sound === soundKeys.get(sound))) continue;
    const left = leftOverSound(sound, readings.get(sound) as ClapReading, hasPictures);
    if (left !== null) run.leftOver.push(left);
  }
  for (const answer of answers) run.leftOver.push(...ambiguousBesides(answer));
  const nameOfKey = (map: ReadonlyMap<OpenPicture | OpenSound, string>, key: string): string =>
    [...map].find(([, candidate]) => candidate === key)?.[0].name ?? key;
  for (const pair of pairs) {
    run.leftOver.push(...doubtsAbout(pair, nameOfKey(pictureKeys, pair.data.picture), nameOfKey(soundKeys, pair.data.sound)));
  }
  return {
    sounds: sounds.map((sound) => measuredSound(sound, soundKeys.get(sound) as string, readings.get(sound) as ClapReading)),
    pictures: pictures.map((picture) => measuredPicture(picture, pictureKeys.get(picture) as string)),
    pairs: pairs.toSorted(comparePairs),
    leftOver: run.leftOver,
    failures: run.failures,
  };
}

async function drawPlots(
  measurement: Measurement,
  sounds: readonly OpenSound[],
  pictures: readonly OpenPicture[],
): Promise<readonly Plot[]> {
  const plots: Plot[] = [];
  const names = new Set<string>();
  for (const pair of measurement.pairs) {
    const picture = measurement.pictures.find(({ data }) => data.key === pair.data.picture);
    const sound = measurement.sounds.find(({ data }) => data.key === pair.data.sound);
    const soundSource = sounds.find(({ path }) => path === sound?.path)?.source;
    if (picture === undefined || sound === undefined || soundSource === undefined) continue;
    const scratchSource = pictures.find(({ path }) => path === picture.path)?.scratch?.source ?? null;
    const svg = renderMatchPlot(await plotData({ pair, picture, sound, soundSource, scratchSource }));
    plots.push({ fileName: plotName(pair, names), svg });
  }
  return plots;
}

function plotName({ data }: MeasuredPair, taken: Set<string>): string {
  const stem = `${data.picture}--${data.sound}`.replace(/[^\p{L}\p{N}._-]/gu, '_');
  let name = `${stem}.svg`;
  for (let number = 2; taken.has(name); number += 1) name = `${stem}-${number}.svg`;
  taken.add(name);
  return name;
}

function comparePairs({ data: left }: MeasuredPair, { data: right }: MeasuredPair): number {
  return (
    compareNaturally(left.picture, right.picture) || compareNaturally(left.sound, right.sound) || compare(left.frame, right.frame)
  );
}

function measuredSound(sound: OpenSound, key: string, reading: ClapReading): MeasuredSound {
  const { sampleRate, sampleCount, channelCount } = sound.source;
  return {
    data: {
      key,
      names: [sound.name],
      sampleRate: rational(sampleRate),
      startSample: sound.startSample === null ? null : rational(sound.startSample),
      // A report takes no length of nothing.
      sampleCount: sampleCount === 0 ? null : rational(sampleCount),
      claps: reading.candidates.filter(({ verdict }) => verdict === 'clap').map(({ sample }) => rational(sample)),
    },
    path: sound.path,
    name: sound.name,
    channelCount,
    seconds: secondsOf(sound.source),
    reading,
    remarks: sound.remarks,
  };
}

function measuredPicture(picture: OpenPicture, key: string): MeasuredPicture {
  const { scratch } = picture;
  return {
    data: {
      key,
      names: [picture.name],
      rate: picture.rate,
      isDropFrame: picture.isDropFrame,
      startFrame: picture.startFrame === null ? null : rational(picture.startFrame),
      frameCount: picture.frameCount === null ? null : rational(picture.frameCount),
    },
    path: picture.path,
    name: picture.name,
    scratch:
      scratch === null
        ? null
        : {
            sampleRate: scratch.source.sampleRate,
            channelCount: scratch.source.channelCount,
            seconds: secondsOf(scratch.source),
          },
    remarks: picture.remarks,
  };
}
