/**
 * A clap log, read and held against the files that were given: which file each row means, which pictures it alone knows.
 *
 * A row that means nothing is told with its line and column, and the others go on.
 */

import { comparableName } from '../../core/alignment/mediaNames.ts';
import { listInWords } from '../../core/text/words.ts';
import type { Rate } from '../../core/time/rate.ts';
import { equals } from '../../core/time/rational.ts';
import { type ClapLogEntry, parseClapLog } from '../../sound/clapLog/parseClapLog.ts';
import { filesNamed } from './logNames.ts';
import type { LeftOver } from './measurement.ts';
import type { Recording } from './recording.ts';

export interface ClapLogFile {
  /** As shown to people. */
  readonly name: string;
  readonly text: string;
}

export interface ResolvedLog {
  readonly name: string;
  /** Every picture once, in the order in which the log names them first. */
  readonly pictures: readonly LoggedPicture[];
  readonly problems: readonly LeftOver[];
}

export interface LoggedPicture {
  /** As the log writes it first. */
  readonly name: string;
  /** The file it means; null for one that only the log knows. */
  readonly recording: Recording | null;
  /** What the log says of it, wherever in it that stands. */
  readonly rate: Rate | null;
  readonly entries: readonly ClapLogEntry[];
}

export type LogReading =
  | { readonly ok: true; readonly log: ResolvedLog; readonly recordings: readonly Recording[] }
  /** Nothing can be had from it; a sentence for people. */
  | { readonly ok: false; readonly failure: string };

/** `recordings` come back with the roles that the log gives them: a WAV that it calls a picture is one. */
export function readClapLog({ name, text }: ClapLogFile, recordings: readonly Recording[]): LogReading {
  const { entries, problems } = parseClapLog(text);
  const first = problems.find(({ severity }) => severity === 'error');
  if (entries.length === 0 && first !== undefined) {
    return { ok: false, failure: `${placeIn(name, first.line, first.column)}: ${first.message}` };
  }
  if (entries.length === 0)
    return { ok: false, failure: `${name} has a header and no rows; write a row for each clap that a camera saw` };
  const told = problems.map(
    ({ line, column, severity, message }): LeftOver => ({
      severity,
      kind: 'log',
      name: placeIn(name, line, column),
      reason: message,
    }),
  );
  const usable = recordings.filter(({ role, isRoleStated }) => role === 'picture' || !isRoleStated);
  const pictures: LoggedPicture[] = [];
  for (const group of groupedByPicture(entries)) {
    const [entry] = group;
    if (entry === undefined) continue;
    const files = filesNamed(entry.picture, usable);
    if (files.length > 1) {
      told.push({
        severity: 'error',
        kind: 'log',
        name: placeIn(name, entry.line, 'picture'),
        reason: `"${entry.picture}" means ${listInWords(files.map(({ path }) => path))} alike: cameras of one name. Write the folder too, or measure one after the other.`,
      });
      continue;
    }
    const rate = group.find((candidate) => candidate.rate !== null)?.rate ?? null;
    // A row at another rate is some other camera's, as has been told.
    const own = group.filter((candidate) => candidate.rate === null || rate === null || equals(candidate.rate, rate));
    pictures.push({ name: entry.picture, recording: files[0] ?? null, rate, entries: own });
  }
  const meant = new Set(pictures.map(({ recording }) => recording));
  return {
    ok: true,
    log: { name, pictures: pictures.map((picture) => withRole(picture)), problems: told },
    recordings: recordings.map((recording) => (meant.has(recording) ? { ...recording, role: 'picture' } : recording)),
  };
}

/** 'claps.csv, line 3, column "sound"'. */
export function placeIn(name: string, line: number, column: string | null): string {
  return `${name}, line ${line}${column === null ? '' : `, column "${column}"`}`;
}

function withRole(picture: LoggedPicture): LoggedPicture {
  return picture.recording === null ? picture : { ...picture, recording: { ...picture.recording, role: 'picture' } };
}

function groupedByPicture(entries: readonly ClapLogEntry[]): readonly (readonly ClapLogEntry[])[] {
  const groups = new Map<string, ClapLogEntry[]>();
  for (const entry of entries) {
    const key = comparableName(entry.picture);
    const group = groups.get(key);
    if (group === undefined) groups.set(key, [entry]);
    else group.push(entry);
  }
  return [...groups.values()];
}
