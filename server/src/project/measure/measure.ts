/**
 * The whole of a measurement: recordings in, the data of a report out.
 *
 * Sounds are searched for claps; cameras that recorded sound are compared with every sound; cameras that a clap log names get the clap
 * that the log gives them. Where both speak of the same two files they are held against each other. What fits nothing is said.
 *
 * Everything outside comes in through ports, so this runs wherever bytes can be read. Files are opened for reading and closed again,
 * whatever happens.
 */

import { compareNaturally } from '../../core/text/naturalOrder.ts';
import { listInWords } from '../../core/text/words.ts';
import type { Rate } from '../../core/time/rate.ts';
import { compare, type Rational } from '../../core/time/rational.ts';
import type { ClapReading } from '../../sound/claps/clap.ts';
import { findClaps } from '../../sound/claps/findClaps.ts';
import type { Fourier } from '../../sound/fourier/fourier.ts';
import { nameOf } from '../paths.ts';
import { type ClapLogFile, type LoggedPicture, type ResolvedLog, readClapLog } from './clapLog.ts';
import { clapPairs } from './clapPairs.ts';
import { drawPlots, type Plot } from './drawPlots.ts';
import { keysFor } from './fileKeys.ts';
import { ambiguousBesides, doubtsAbout, leftOverPicture, leftOverSound } from './leftOvers.ts';
import { COMPARING_WEIGHT, DECODING_WEIGHT, type Listen, listener, secondsOf } from './listening.ts';
import { completed, pictureFromLog } from './loggedPictures.ts';
import { matchScratches, type ScratchAnswer } from './matchScratches.ts';
import { measuredPicture, measuredSound } from './measuredEntries.ts';
import type { LeftOver, MeasuredPair, Measurement } from './measurement.ts';
import type { MediaPort } from './mediaPort.ts';
import { type OpenPicture, type OpenSound, openPicture, openSound } from './openRecordings.ts';
import { type Progress, type ProgressPlan, progressPlan } from './progress.ts';
import type { Recording } from './recording.ts';
import { type LoggedClap, seenClap } from './seenClaps.ts';
import { clapsOf, MOST_COMPARED, type SoundFamily, soundFamilies } from './soundFamilies.ts';
import { waveformPair } from './waveformPair.ts';

export interface MeasureRequest {
  readonly recordings: readonly Recording[];
  readonly clapLog: ClapLogFile | null;
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

export interface MeasurePorts {
  readonly media: MediaPort;
  readonly fourier: Fourier;
  readonly onProgress: (progress: Progress) => void;
  readonly isCancelled: () => boolean;
}

interface Run extends MeasureRequest, MeasurePorts {
  /** Null when none was given, or nothing could be had from it. */
  readonly log: ResolvedLog | null;
  readonly progress: ProgressPlan;
  readonly listen: Listen;
  readonly failures: string[];
  readonly leftOver: LeftOver[];
  readonly closing: (() => Promise<void>)[];
}

/** Pictures with what the log says of each. */
type Pictures = ReadonlyMap<OpenPicture, LoggedPicture | null>;

/** Null when it was cancelled. */
export async function measure(request: MeasureRequest, ports: MeasurePorts): Promise<Measured | null> {
  const run = start(request, ports);
  try {
    const sounds = await openSounds(run);
    expectWork(run, sounds);
    const pictures = await openPictures(run, sounds);
    const readings = await hearClaps(run, sounds);
    const answers = await matchScratches([...pictures.keys()], sounds, run);
    const families = await familiesFor(run, sounds, readings);
    if (run.isCancelled()) return null;
    const measurement = conclude(run, sounds, pictures, readings, answers, families);
    const plots = run.isPlotting ? await drawPlots(measurement, sounds, [...pictures.keys()], run.isCancelled) : [];
    return run.isCancelled() ? null : { measurement, plots };
  } finally {
    for (const close of run.closing) await close();
  }
}

function start(request: MeasureRequest, ports: MeasurePorts): Run {
  const progress = progressPlan(ports.onProgress);
  const listen = listener(progress, ports.isCancelled);
  const run = { ...request, ...ports, progress, listen, failures: [], leftOver: [], closing: [] };
  if (request.clapLog === null) return { ...run, log: null };
  const reading = readClapLog(request.clapLog, request.recordings);
  if (!reading.ok) return { ...run, log: null, failures: [reading.failure] };
  return { ...run, log: reading.log, recordings: reading.recordings, leftOver: [...reading.log.problems] };
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
  const isShared = (name: string): boolean => sounds.filter((sound) => sound.name === name).length > 1;
  return sounds.map((sound) => (isShared(sound.name) ? { ...sound, label: sound.path } : sound));
}

async function openPictures(run: Run, sounds: readonly OpenSound[]): Promise<Pictures> {
  const pictures = new Map<OpenPicture, LoggedPicture | null>();
  const unreadable: { readonly path: string; readonly failure: string }[] = [];
  const addFromLog = (logged: LoggedPicture, path: string | null): void => {
    const file = path === null ? null : { path, name: nameOf(path) };
    const picture = pictureFromLog(logged, file, run.rate, run.log?.name ?? '');
    if ('severity' in picture) run.leftOver.push(picture);
    else pictures.set(picture, logged);
  };
  for (const recording of inOrder(run.recordings, 'picture')) {
    if (run.isCancelled()) break;
    const { path } = recording;
    const logged = run.log?.pictures.find((candidate) => candidate.recording?.path === path) ?? null;
    const opened = await openPicture(run.media, recording, logged?.rate ?? run.rate);
    if (!opened.ok) {
      if (!opened.isToolMissing) run.failures.push(opened.failure);
      else if (logged === null || (logged.rate ?? run.rate) === null) unreadable.push({ path, failure: opened.failure });
      else addFromLog(logged, path);
      continue;
    }
    const picture = logged === null ? opened.value : completed(opened.value, logged);
    pictures.set(picture, logged);
    run.closing.push(picture.close);
    if (picture.scratch === null) continue;
    const comparing = COMPARING_WEIGHT * sounds.reduce((sum, { source }) => sum + secondsOf(source), 0);
    run.progress.expect((1 + DECODING_WEIGHT) * (picture.scratch.seconds ?? 0) + comparing);
  }
  for (const logged of run.log?.pictures ?? []) if (logged.recording === null) addFromLog(logged, null);
  const [first, ...others] = unreadable;
  if (first !== undefined) {
    const same = others.length === 0 ? '' : `. The same holds for ${listInWords(others.map(({ path }) => path))}`;
    run.failures.push(`${first.failure}${same}`);
  }
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
  run.progress.expect(sounds.reduce((sum, { source }) => sum + secondsOf(source) * source.channelCount, 0));
  if (isComparing) run.progress.expect(sounds.reduce((sum, { source }) => sum + secondsOf(source), 0));
}

/** Which recordings ran beside each other: asked only where a log leaves open in which of them its claps are. */
async function familiesFor(
  run: Run,
  sounds: readonly OpenSound[],
  readings: ReadonlyMap<OpenSound, ClapReading>,
): Promise<readonly SoundFamily[]> {
  const alone = sounds.map((sound): SoundFamily => ({ main: sound, others: [] }));
  const withClapsHeard = sounds.filter((sound) => clapsOf(readings.get(sound)).length > 0);
  const namesSounds = run.log?.pictures.some(({ entries }) => entries.some(({ sound }) => sound !== null)) ?? true;
  if (namesSounds || withClapsHeard.length < 2) return alone;
  if (withClapsHeard.length > MOST_COMPARED) {
    run.leftOver.push({
      severity: 'information',
      kind: 'log',
      name: run.log?.name ?? '',
      reason: `There are ${withClapsHeard.length} recordings with claps, too many to find out which of them ran side by side (at most ${MOST_COMPARED}). A column "sound" tells it.`,
    });
    return alone;
  }
  const seconds = withClapsHeard.map(({ source }) => secondsOf(source));
  const total = seconds.reduce((sum, each) => sum + each, 0);
  run.progress.expect(COMPARING_WEIGHT * total * (seconds.length / 2));
  const families = await soundFamilies(withClapsHeard, readings, run);
  const members = families.flatMap(({ main, others }) => [main, ...others.map(({ sound }) => sound)]);
  return [...families, ...alone.filter(({ main }) => !members.includes(main))];
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
  pictures: Pictures,
  readings: ReadonlyMap<OpenSound, ClapReading>,
  answers: readonly ScratchAnswer[],
  families: readonly SoundFamily[],
): Measurement {
  const all = [...pictures.keys()];
  const keys = keysFor([...all.map(({ path, name }) => path ?? name), ...sounds.map(({ path }) => path)]);
  const keyOf = new Map<OpenPicture | OpenSound, string>([...all, ...sounds].map((file, index) => [file, keys[index] as string]));
  const key = (file: OpenPicture | OpenSound): string => keyOf.get(file) as string;
  const byWaveform = answers.flatMap(({ picture, scratch, matches }) =>
    matches.map(({ sound, match }) =>
      waveformPair({
        picture,
        pictureKey: key(picture),
        scratch,
        sound,
        soundKey: key(sound),
        match,
        microphoneMetres: run.microphoneMetres,
      }),
    ),
  );
  const pairs = withClaps(run, { sounds, pictures, readings, families }, byWaveform, key);
  tellLeftOver(run, sounds, pictures, readings, answers, pairs, key);
  return {
    sounds: sounds.map((sound) => measuredSound(sound, key(sound), readings.get(sound) as ClapReading)),
    pictures: all
      .map((picture) =>
        measuredPicture(picture, key(picture), answers.find((answer) => answer.picture === picture)?.remarks ?? []),
      )
      .toSorted((left, right) => compareNaturally(left.data.key, right.data.key)),
    pairs: pairs.toSorted(comparePairs),
    leftOver: run.leftOver,
    failures: run.failures,
  };
}

interface Heard {
  readonly sounds: readonly OpenSound[];
  readonly pictures: Pictures;
  readonly readings: ReadonlyMap<OpenSound, ClapReading>;
  readonly families: readonly SoundFamily[];
}

/** The pairs by waveform, what the log says of them, and the pairs that only the log knows. */
function withClaps(
  run: Run,
  { sounds, pictures, readings, families }: Heard,
  waveforms: readonly MeasuredPair[],
  key: (file: OpenPicture | OpenSound) => string,
): readonly MeasuredPair[] {
  const { log } = run;
  if (log === null) return waveforms;
  const claps: LoggedClap[] = [];
  for (const [picture, logged] of pictures) {
    for (const entry of logged?.entries ?? []) {
      const clap = seenClap(entry, picture, sounds, log.name);
      if ('severity' in clap) run.leftOver.push(clap);
      else claps.push(clap);
    }
  }
  const answer = clapPairs({
    logName: log.name,
    // Claps are made in an order, and the log keeps it: line by line, not picture by picture.
    claps: claps.toSorted((left, right) => left.entry.line - right.entry.line),
    families,
    readings,
    waveforms,
    pictureKey: ({ picture }) => key(picture),
    soundKey: key,
  });
  run.leftOver.push(...answer.leftOver);
  const told = waveforms.map((pair) => ({ ...pair, remarks: [...pair.remarks, ...(answer.confirmed.get(pair) ?? [])] }));
  return [...told, ...answer.pairs];
}

function tellLeftOver(
  run: Run,
  sounds: readonly OpenSound[],
  pictures: Pictures,
  readings: ReadonlyMap<OpenSound, ClapReading>,
  answers: readonly ScratchAnswer[],
  pairs: readonly MeasuredPair[],
  key: (file: OpenPicture | OpenSound) => string,
): void {
  for (const [picture, logged] of pictures) {
    if (pairs.some(({ data }) => data.picture === key(picture))) continue;
    const answer = answers.find((candidate) => candidate.picture === picture) ?? null;
    // What is wrong with its rows of the log has been told already.
    if (answer === null && logged !== null && sounds.length > 0) continue;
    run.leftOver.push(leftOverPicture(picture, answer, sounds.length > 0));
  }
  const hasPictures = pictures.size > 0 || run.recordings.some(({ role }) => role === 'picture');
  for (const sound of sounds) {
    if (pairs.some(({ data }) => data.sound === key(sound))) continue;
    const left = leftOverSound(sound, readings.get(sound) as ClapReading, hasPictures);
    if (left !== null) run.leftOver.push(left);
  }
  for (const answer of answers) run.leftOver.push(...ambiguousBesides(answer));
  for (const pair of pairs) {
    const picture = [...pictures.keys()].find((candidate) => key(candidate) === pair.data.picture);
    const sound = sounds.find((candidate) => key(candidate) === pair.data.sound);
    if (picture !== undefined && sound !== undefined) run.leftOver.push(...doubtsAbout(pair, picture.name, sound.name));
  }
}

function comparePairs({ data: left }: MeasuredPair, { data: right }: MeasuredPair): number {
  return (
    compareNaturally(left.picture, right.picture) || compareNaturally(left.sound, right.sound) || compare(left.frame, right.frame)
  );
}
