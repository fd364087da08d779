/**
 * The clap log: which camera saw which clap in which frame, as a person notes it down.
 *
 * A table with a header. `picture` and one of `clap frame` and `timecode` are needed; `rate`, `start`, `sound`, `clap number`,
 * `reading`, `shutter` and `frames` may be there. Order and case of the columns are free. Rows keep their order: camera A first, then
 * the others, is how claps are made and how they are told apart.
 *
 * A row that cannot be used is left out and said, with its row and column; the others stand.
 */

import { type Rate, snapRate } from '../../core/time/rate.ts';
import { compare, parseDecimal, parseRational, type Rational, ZERO } from '../../core/time/rational.ts';
import { parseTimecode, type TimecodeLabel } from '../../core/time/timecode.ts';
import { FRAME_READINGS, type FrameReading, isShutterAngle } from './contactInterval.ts';
import { type CsvRow, parseCsv } from './csv.ts';

export interface ClapLogEntry {
  /** Line of the file, counted from 1. */
  readonly line: number;
  readonly picture: string;
  /** Null when the log does not say; the picture file then must. */
  readonly rate: Rate | null;
  /** Frame counted from the first of the file (0), or a label that needs the file's start. */
  readonly clap:
    | { readonly kind: 'frame'; readonly frame: Rational }
    | { readonly kind: 'timecode'; readonly label: TimecodeLabel; readonly text: string };
  /** Timecode of the picture's first frame, when the log says. */
  readonly start: TimecodeLabel | null;
  /** Name of the recording, when the log says. */
  readonly sound: string | null;
  /** Which clap of the recording, the first being 1, when the log says. */
  readonly clapNumber: number | null;
  readonly reading: FrameReading;
  readonly shutterDegrees: Rational | null;
  /** Frames in the picture file, when the log says. */
  readonly frameCount: number | null;
}

export interface ClapLogProblem {
  /** Line of the file, counted from 1. */
  readonly line: number;
  /** The column's name as written, or null when the whole row is meant. */
  readonly column: string | null;
  readonly severity: 'error' | 'warning';
  readonly message: string;
}

export interface ClapLog {
  readonly entries: readonly ClapLogEntry[];
  readonly problems: readonly ClapLogProblem[];
}

type Column = 'picture' | 'rate' | 'frame' | 'timecode' | 'start' | 'sound' | 'clap' | 'reading' | 'shutter' | 'frames';

const COLUMN_NAMES: Readonly<Record<Column, readonly string[]>> = {
  picture: ['picture', 'camera', 'picture file', 'file'],
  rate: ['rate', 'frame rate', 'fps'],
  frame: ['clap frame', 'frame', 'clap frame or timecode'],
  timecode: ['timecode', 'clap timecode', 'tc'],
  start: ['start', 'start timecode', 'picture start'],
  sound: ['sound', 'sound file', 'recording'],
  clap: ['clap number', 'clap', 'clap no', 'number'],
  reading: ['reading', 'seen'],
  shutter: ['shutter', 'shutter angle', 'shutter degrees'],
  frames: ['frames', 'frame count', 'length'],
};

export function parseClapLog(text: string): ClapLog {
  const table = parseCsv(text);
  const problems: ClapLogProblem[] = table.problems.map(({ line, message }) => ({
    line,
    column: null,
    severity: 'error',
    message,
  }));
  const header = table.rows[0];
  if (header === undefined) {
    problems.push({
      line: 1,
      column: null,
      severity: 'error',
      message: 'The clap log is empty; it needs a header row such as: picture,rate,clap frame,sound,clap number',
    });
    return { entries: [], problems };
  }
  const columns = readHeader(header, problems);
  if (!columns.has('picture') || !(columns.has('frame') || columns.has('timecode'))) {
    const missing = columns.has('picture') ? 'a column "clap frame" or "timecode"' : 'a column "picture"';
    problems.push({
      line: header.line,
      column: null,
      severity: 'error',
      message: `The header has no ${missing.slice(2)}: it needs ${missing}.`,
    });
    return { entries: [], problems };
  }
  const entries: ClapLogEntry[] = [];
  for (const row of table.rows.slice(1)) {
    const entry = readRow(row, columns, header, problems);
    if (entry !== null) entries.push(entry);
  }
  checkNames(entries, problems);
  return { entries, problems };
}

function readHeader(header: CsvRow, problems: ClapLogProblem[]): ReadonlyMap<Column, number> {
  const columns = new Map<Column, number>();
  header.cells.forEach((cell, index) => {
    const name = cell
      .toLowerCase()
      .replace(/[\s_-]+/g, ' ')
      .trim();
    const column = (Object.keys(COLUMN_NAMES) as Column[]).find((candidate) => COLUMN_NAMES[candidate].includes(name));
    if (column === undefined) {
      if (name !== '')
        problems.push({
          line: header.line,
          column: cell,
          severity: 'warning',
          message: `The column "${cell}" is not known and was not read.`,
        });
    } else if (columns.has(column)) {
      problems.push({
        line: header.line,
        column: cell,
        severity: 'warning',
        message: `A second column for the same thing, "${cell}", was not read.`,
      });
    } else columns.set(column, index);
  });
  return columns;
}

function readRow(
  row: CsvRow,
  columns: ReadonlyMap<Column, number>,
  header: CsvRow,
  problems: ClapLogProblem[],
): ClapLogEntry | null {
  const cell = (column: Column): string => row.cells[columns.get(column) ?? -1] ?? '';
  let isUsable = true;
  const complain = (column: Column, message: string): null => {
    problems.push({ line: row.line, column: header.cells[columns.get(column) ?? -1] ?? null, severity: 'error', message });
    isUsable = false;
    return null;
  };
  const picture = cell('picture');
  if (picture === '') complain('picture', 'This row names no picture.');
  const rate =
    cell('rate') === ''
      ? null
      : (readRate(cell('rate')) ?? complain('rate', `"${cell('rate')}" is not a frame rate; write 25, 23.976 or 24000/1001.`));
  const clap =
    readClap(cell('frame') === '' ? cell('timecode') : cell('frame')) ??
    complain(cell('frame') === '' ? 'timecode' : 'frame', clapMessage(cell('frame') || cell('timecode')));
  const start =
    cell('start') === ''
      ? null
      : (parseTimecode(cell('start')) ?? complain('start', `"${cell('start')}" is not a timecode such as 14:03:20:00.`));
  const clapNumber =
    cell('clap') === ''
      ? null
      : (readCount(cell('clap'), 1) ??
        complain('clap', `"${cell('clap')}" is not a clap number; the first clap of a recording is 1.`));
  const reading =
    cell('reading') === ''
      ? 'contact'
      : (readReading(cell('reading')) ??
        complain('reading', `"${cell('reading')}" is not a reading; write one of ${FRAME_READINGS.join(', ')}.`));
  const shutterDegrees =
    cell('shutter') === ''
      ? null
      : (readShutter(cell('shutter')) ??
        complain('shutter', `"${cell('shutter')}" is not a shutter angle; write degrees above 0 and up to 360.`));
  const frameCount =
    cell('frames') === ''
      ? null
      : (readCount(cell('frames'), 1) ?? complain('frames', `"${cell('frames')}" is not a number of frames.`));
  if (clap?.kind === 'frame' && frameCount !== null && compare(clap.frame, parseDecimal(String(frameCount)) as Rational) >= 0) {
    complain('frame', `The clap is in frame ${cell('frame')}, but the picture has ${frameCount} frames (the first is 0).`);
  }
  if (row.cells.length > header.cells.length) {
    problems.push({
      line: row.line,
      column: null,
      severity: 'warning',
      message: `The row has ${row.cells.length} cells, the header ${header.cells.length}; the rest was not read.`,
    });
  }
  if (!isUsable || clap === null || reading === null) return null;
  return {
    line: row.line,
    picture,
    rate,
    clap,
    start,
    sound: cell('sound') === '' ? null : cell('sound'),
    clapNumber,
    reading,
    shutterDegrees,
    frameCount,
  };
}

function clapMessage(text: string): string {
  if (text === '') return 'This row names neither a clap frame nor a timecode.';
  if (text.startsWith('-')) return `"${text}" lies before the first frame; frames count from 0.`;
  return `"${text}" is neither a frame number (the first is 0) nor a timecode such as 14:03:25:12.`;
}

function readClap(text: string): ClapLogEntry['clap'] | null {
  const label = parseTimecode(text);
  if (label !== null) return { kind: 'timecode', label, text };
  const frame = parseDecimal(text.replace(/^(\d+),(\d+)$/, '$1.$2'));
  return frame === null || compare(frame, ZERO) < 0 ? null : { kind: 'frame', frame };
}

function readRate(text: string): Rate | null {
  const plain = text.replace(/\s*(fps|hz|p)$/i, '').replace(/^(\d+),(\d+)$/, '$1.$2');
  const written = plain.includes('/') ? parseRational(plain) : parseDecimal(plain);
  return written === null ? null : (snapRate(written)?.rate ?? null);
}

function readCount(text: string, least: number): number | null {
  const value = /^\d+$/.test(text) ? Number(text) : Number.NaN;
  return Number.isSafeInteger(value) && value >= least ? value : null;
}

function readReading(text: string): FrameReading | null {
  const name = text
    .toLowerCase()
    .trim()
    .replace(/[\s_]+/g, '-');
  return FRAME_READINGS.find((reading) => reading === name) ?? null;
}

function readShutter(text: string): Rational | null {
  const degrees = parseDecimal(text.replace(/\s*(°|deg|degrees)$/i, '').replace(/^(\d+),(\d+)$/, '$1.$2'));
  return degrees !== null && isShutterAngle(degrees) ? degrees : null;
}

/** One picture may see several claps, but not one clap twice, and not at two rates. */
function checkNames(entries: readonly ClapLogEntry[], problems: ClapLogProblem[]): void {
  entries.forEach((entry, index) => {
    const earlier = entries.slice(0, index).filter((other) => other.picture.toLowerCase() === entry.picture.toLowerCase());
    const sameClap = earlier.find(
      (other) => JSON.stringify(clapKey(other)) === JSON.stringify(clapKey(entry)) && other.sound === entry.sound,
    );
    if (sameClap !== undefined) {
      problems.push({
        line: entry.line,
        column: null,
        severity: 'warning',
        message: `"${entry.picture}" has this clap in line ${sameClap.line} already. Are these two cameras of one name?`,
      });
    }
    const otherRate = earlier.find(
      (other) => other.rate !== null && entry.rate !== null && compare(other.rate, entry.rate) !== 0,
    );
    if (otherRate !== undefined) {
      problems.push({
        line: entry.line,
        column: null,
        severity: 'error',
        message: `"${entry.picture}" has another rate in line ${otherRate.line}. Are these two cameras of one name?`,
      });
    }
  });
}

function clapKey(entry: ClapLogEntry): unknown {
  return entry.clap.kind === 'frame'
    ? [String(entry.clap.frame.numerator), String(entry.clap.frame.denominator)]
    : entry.clap.text;
}
