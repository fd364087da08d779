/**
 * `afterclap measure SOUND... PICTURE...`: listens to recordings and writes down which sound belongs to which picture, and where.
 *
 * Recordings are only read. What is written is the report that --out names and the plots that --plots asks for, each whole or not at
 * all. What could not be matched is left over, told with its reason, and makes the exit code; nothing is guessed.
 */

import fourierBytes from '../../../node_modules/@echogarden/pffft-wasm/dist/simd/pffft.wasm';
import { writeReport } from '../core/alignment/writeReport.ts';
import { SEVERITIES } from '../core/report/checkedFile.ts';
import { PLOT_SIGNATURE } from '../core/report/plots/matchPlot.ts';
import { visibleText } from '../core/report/visibleText.ts';
import { createMediaFiles } from '../node/mediaFiles.ts';
import { decodeText } from '../project/decodeText.ts';
import type { ClapLogFile } from '../project/measure/clapLog.ts';
import type { Plot } from '../project/measure/drawPlots.ts';
import { type Measured, measure } from '../project/measure/measure.ts';
import type { LeftOver, Measurement } from '../project/measure/measurement.ts';
import { mergeMeasurement } from '../project/measure/mergeMeasurement.ts';
import type { Recording } from '../project/measure/recording.ts';
import { loadFourier } from '../sound/fourier/fourier.ts';
import type { Command, ExitCode } from './command.ts';
import { findRecordings } from './measureFiles.ts';
import { catchInterrupt, type Interrupt } from './measureInterrupt.ts';
import { renderMeasurementJson } from './measureJson.ts';
import { MEASURE_FLAGS, type MeasureOptions, measureOptions } from './measureOptions.ts';
import { beginsWith, makeFolder, putFile, requireWritableFolder, standingFile } from './measureOutput.ts';
import { measuredEvent, measureProgress } from './measureProgress.ts';
import { renderMeasurement } from './measureText.ts';
import { painterFor, type Terminal, widthOf } from './terminal.ts';
import { readBytes } from './textFile.ts';
import { UserError } from './userError.ts';

export const measureCommand: Command = {
  name: 'measure',
  usage: 'SOUND... PICTURE... [flags]',
  summary: 'measure an alignment report from recordings',
  flags: MEASURE_FLAGS,
  details: [
    'A SOUND is a WAV file (BWF, RF64 and BW64 too) of a separate recorder; a PICTURE is a camera file (mov, mp4, mxf, mkv, avi and the like), read through the programs ffprobe and ffmpeg, which have to be on the PATH. A folder is searched for both.',
    "A camera that recorded sound is matched by comparing that sound with every recording. One that did not needs a clap log: in which of its frames the hands meet. A camera's sound saved as WAV can stand for the camera: --picture cam1.wav --rate 25.",
    'A clap log is a table with a header, one row for each clap that a camera saw: picture, then clap frame (the first frame is 0) or timecode. More columns as known: rate, sound, clap number, start (timecode of the first frame), frames (how many there are), shutter (degrees), reading (contact, first-closed, first-showing-closed, blur or sharp-closed: what is seen in that frame). A picture that the log names needs no file. Without clap numbers, claps belong to cameras in the order of the rows: camera A first, then the others.',
    'The sound is put on the latest instant at which the hands can have met, so that it can lag, by a frame at most, but not lead.',
    'Exit code: 0 when everything found its partner; 1 when something at or above --fail-on is left over: no match, several places that fit equally, a clap log that contradicts the sound; 2 when a file could not be read or the report not be written.',
  ],
  run: async (flags, terminal) => runMeasure(measureOptions(flags), terminal),
};

async function runMeasure(options: MeasureOptions, terminal: Terminal): Promise<ExitCode> {
  const { out, plots } = options;
  const standing = out === null ? null : await reportToChange(out, options);
  const clapLog = options.clapLog === null ? null : await readLog(options.clapLog);
  if (plots !== null) await makeFolder(plots);
  const { recordings, problems } = await findRecordings(options.paths, options.pictures, options.sounds);
  if (recordings.length === 0) throw new UserError(problems[0] ?? 'there is nothing to measure');
  // Held until everything is written: a signal must not leave a temporary file behind.
  const interrupt = catchInterrupt();
  try {
    const measured = await measureWatched(options, recordings, clapLog, terminal, interrupt);
    const failures = [...problems, ...measured.measurement.failures];
    const written = await write(options, standing, { ...measured.measurement, failures }, measured.plots);
    print(written.measurement, written.report, options, terminal);
    if (options.progress === 'json') terminal.error.write(measuredEvent(written.measurement, written.report));
    for (const failure of written.measurement.failures) terminal.error.write(`afterclap: ${visibleText(failure)}\n`);
    return exitCodeOf(written.measurement, options);
  } finally {
    interrupt.release();
  }
}

async function readLog(path: string): Promise<ClapLogFile> {
  const decoded = decodeText(await readBytes(path));
  if (!decoded.ok) throw new UserError(`--clap-log ${path} ${decoded.reason}; save the table as CSV`);
  return { name: path, text: decoded.text };
}

interface Written {
  /** With what could not be written added to its failures, and what a report refused to what is left over. */
  readonly measurement: Measurement;
  /** The report that was written; null when none was. */
  readonly report: string | null;
}

/** What was measured is printed whatever happens here, so that hours of listening are not lost to a full disk. */
async function write(
  options: MeasureOptions,
  standing: StandingReport | null,
  measurement: Measurement,
  plots: readonly Plot[],
): Promise<Written> {
  const { out } = options;
  const failures = [...measurement.failures];
  let leftOver = measurement.leftOver;
  let report: string | null = null;
  const orTell = async (work: () => Promise<void>): Promise<void> => {
    try {
      await work();
    } catch (error) {
      if (!(error instanceof UserError)) throw error;
      failures.push(error.message);
    }
  };
  if (out !== null && measurement.pictures.length === 0 && measurement.sounds.length === 0) {
    // An empty report in the place of one that stands there would lose what it says.
    failures.push(`nothing could be measured, so ${out} was not ${standing === null ? 'written' : 'touched'}`);
  } else if (out !== null) {
    await orTell(async () => {
      const merged = standing === null ? null : merge(standing, measurement);
      await putFile(out, standing?.bytes ?? null, merged?.text ?? writeReport(reportDataOf(measurement)));
      leftOver = [...leftOver, ...(merged?.leftOver ?? [])];
      report = out;
    });
  }
  const folder = options.plots;
  if (folder !== null) await orTell(() => writePlots(folder, plots, options.ifExists === 'replace'));
  return { measurement: { ...measurement, leftOver, failures }, report };
}

interface StandingReport {
  readonly path: string;
  readonly bytes: Buffer;
  /** Null when it is to be replaced. */
  readonly text: string | null;
}

/** Looked at before the work begins: hours of listening should not end with a refusal. Null when nothing stands there. */
async function reportToChange(path: string, { ifExists }: MeasureOptions): Promise<StandingReport | null> {
  const bytes = await standingFile(path);
  if (bytes === null) {
    await requireWritableFolder(path);
    return null;
  }
  if (ifExists === 'refuse') {
    throw new UserError(`${path} exists; give --merge to put the new pairs into it, or --force to replace it`);
  }
  const decoded = decodeText(bytes);
  // Whatever has this name, a recording least of all, is not replaced unless it could be a report.
  if (!decoded.ok || !(/^\s*\{/.test(decoded.text) || decoded.text.trim() === '')) {
    throw new UserError(`${path} is no alignment report, so it is left alone${decoded.ok ? '' : ` (it ${decoded.reason})`}`);
  }
  if (ifExists === 'merge' && decoded.encoding !== 'utf-8') {
    throw new UserError(`${path} is not written in UTF-8, as reports are; save it as UTF-8 first`);
  }
  await requireWritableFolder(path);
  return { path, bytes, text: ifExists === 'merge' ? decoded.text : null };
}

async function measureWatched(
  options: MeasureOptions,
  recordings: readonly Recording[],
  clapLog: ClapLogFile | null,
  terminal: Terminal,
  interrupt: Interrupt,
): Promise<Measured> {
  const fourier = await loadFourier({ wasmBinary: fourierBytes });
  const progress = measureProgress(terminal.error, () => performance.now(), options.progress);
  try {
    const measured = await measure(
      { recordings, clapLog, rate: options.rate, microphoneMetres: options.microphoneMetres, isPlotting: options.plots !== null },
      { media: createMediaFiles(), fourier, onProgress: progress.show, isCancelled: interrupt.isCancelled },
    );
    if (measured === null) throw new UserError('stopped before it was done; nothing was written');
    return measured;
  } finally {
    progress.clear();
  }
}

function merge(
  standing: StandingReport,
  measurement: Measurement,
): { readonly text: string | null; readonly leftOver: readonly LeftOver[] } {
  if (standing.text === null || standing.text.trim() === '') return { text: null, leftOver: [] };
  const merging = mergeMeasurement(standing.path, standing.text, measurement);
  if (!merging.ok) throw new UserError(merging.reason);
  return { text: merging.text, leftOver: merging.refused };
}

function reportDataOf({ pictures, sounds, pairs }: Measurement): Parameters<typeof writeReport>[0] {
  return {
    pictures: pictures.map(({ data }) => data),
    sounds: sounds.map(({ data }) => data),
    pairs: pairs.map(({ data }) => data),
  };
}

async function writePlots(folder: string, plots: readonly Plot[], isReplacing: boolean): Promise<void> {
  for (const { fileName, svg } of plots) {
    const path = `${folder.replace(/\/+$/, '')}/${fileName}`;
    const standing = await standingFile(path);
    if (standing !== null && !isReplacing && !(await beginsWith(path, PLOT_SIGNATURE))) {
      throw new UserError(`${path} exists and is no plot of this program; give another folder, or --force`);
    }
    await putFile(path, standing, svg);
  }
}

function print(
  measurement: Measurement,
  report: string | null,
  { format }: MeasureOptions,
  { output, environment }: Terminal,
): void {
  if (format === 'json') {
    output.write(renderMeasurementJson(measurement, report));
    return;
  }
  output.write(renderMeasurement(measurement, { width: widthOf(output), painter: painterFor(output, environment) }));
  if (report !== null) output.write(`\nWritten: ${visibleText(report)}. Check the cut by eye and ear.\n`);
}

function exitCodeOf({ failures, leftOver }: Measurement, { failOn }: MeasureOptions): ExitCode {
  if (failures.length > 0) return 2;
  const failing = SEVERITIES.slice(0, SEVERITIES.indexOf(failOn) + 1);
  return leftOver.some(({ severity }) => failing.includes(severity)) ? 1 : 0;
}
