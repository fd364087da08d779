/**
 * The baseline of a run: read, held against each checked file, and written.
 *
 * Paths in it are relative to its own folder, so that it means the same wherever the program is started.
 */

import { randomBytes } from 'node:crypto';
import { open, rename, rm, stat } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import {
  addCounts,
  type CheckedFile,
  countLeftOut,
  type FindingCounts,
  NO_FINDINGS,
  textOfFile,
} from '../core/report/checkedFile.ts';
import type { BaselineSummary } from '../core/report/renderText.ts';
import {
  type Baseline,
  type BaselineEntry,
  entriesOf,
  readBaseline,
  splitByBaseline,
  writeBaseline,
} from '../core/review/baseline.ts';
import { type FindingIdentity, identityOf } from '../core/review/findingIdentity.ts';
import type { FileSystem } from '../project/fileSystem.ts';
import { parentOf, relativeTo } from '../project/paths.ts';
import { systemReason } from './textFile.ts';
import { UserError } from './userError.ts';

export interface BaselineFilter {
  /** The file without the findings the baseline has; these stand in `leftOut`. */
  readonly apply: <File extends CheckedFile>(file: File) => File;
  readonly finish: () => Promise<BaselineSummary>;
}

/** Throws a UserError when the file can't be read or is no baseline. */
export async function openBaseline(files: FileSystem, path: string): Promise<BaselineFilter> {
  const baseline = await baselineAt(files, path);
  if (baseline === null) throw new UserError(`--baseline: ${path} is not there; write one with --write-baseline ${path}`);
  const nameOf = namesFrom(files, path);
  const seen = new Set<string>();
  const gone: BaselineEntry[] = [];
  let leftOut = NO_FINDINGS;
  return {
    apply: (file) => {
      const name = nameOf(file.path);
      seen.add(name);
      const split = splitByBaseline(baseline, name, file.findings, ({ finding }) => identityIn(file, finding));
      gone.push(...split.gone);
      const filtered = { ...file, findings: split.kept, leftOut: split.leftOut };
      leftOut = addCounts(leftOut, countLeftOut(filtered));
      return filtered;
    },
    finish: async () => {
      const folder = parentOf(files.absolute(path)) ?? '';
      for (const entry of baseline.entries) {
        // What was not checked may still be there; a file that is gone can't be.
        if (!seen.has(entry.file) && !(await files.exists(join(folder, entry.file)))) gone.push(entry);
      }
      return { path, leftOut, gone };
    },
  };
}

export interface BaselineWriter {
  readonly add: (file: CheckedFile) => void;
  /** Writes it; how many findings of which severities it holds now, and how many it kept of files that were not checked. */
  readonly write: () => Promise<{ readonly counts: FindingCounts; readonly keptCount: number }>;
}

/** Throws a UserError when something else than a baseline stands at `path`. */
export async function startBaseline(files: FileSystem, path: string): Promise<BaselineWriter> {
  const before = await baselineAt(files, path);
  const nameOf = namesFrom(files, path);
  const seen = new Set<string>();
  const entries: BaselineEntry[] = [];
  let counts = NO_FINDINGS;
  return {
    add: (file) => {
      const name = nameOf(file.path);
      seen.add(name);
      counts = addCounts(counts, countLeftOut({ ...file, leftOut: file.findings }));
      entries.push(
        ...entriesOf(
          name,
          file.findings.map(({ finding }) => identityIn(file, finding)),
        ),
      );
    },
    write: async () => {
      const folder = parentOf(files.absolute(path)) ?? '';
      const kept: BaselineEntry[] = [];
      for (const entry of before?.entries ?? []) {
        if (!seen.has(entry.file) && (await files.exists(join(folder, entry.file)))) kept.push(entry);
      }
      await writeWhole(path, writeBaseline({ entries: [...kept, ...entries] }));
      return { counts, keptCount: kept.reduce((sum, { count }) => sum + count, 0) };
    },
  };
}

/** Null when there is no such file. */
async function baselineAt(files: FileSystem, path: string): Promise<Baseline | null> {
  const answer = await files.readText(path);
  if (!answer.ok) {
    if (answer.isMissing) return null;
    throw new UserError(`the baseline ${path} ${answer.reason}`);
  }
  const read = readBaseline(answer.text);
  if (!read.ok) throw new UserError(`${path} ${read.reason}`);
  return read.baseline;
}

function identityIn(file: CheckedFile, finding: CheckedFile['findings'][number]['finding']): FindingIdentity {
  return identityOf(finding, textOfFile(file), file.kind === 'timeline' ? file.audit.timeline : null);
}

function namesFrom(files: FileSystem, path: string): (file: string) => string {
  const folder = parentOf(files.absolute(path)) ?? '';
  return (file) => relativeTo(folder, files.absolute(file));
}

/** Under another name first, so that there is always a whole one. */
async function writeWhole(path: string, text: string): Promise<void> {
  const temporary = join(dirname(path), `.afterclap-baseline.${randomBytes(4).toString('hex')}.tmp`);
  try {
    const file = await open(temporary, 'wx', await modeOf(path));
    try {
      await file.writeFile(text);
      await file.sync();
    } finally {
      await file.close();
    }
    await rename(temporary, path);
  } catch (error) {
    await rm(temporary, { force: true });
    throw new UserError(`can't write ${path}: ${systemReason(error)}`);
  }
}

async function modeOf(path: string): Promise<number> {
  try {
    return (await stat(path)).mode & 0o777;
  } catch {
    return 0o666;
  }
}
