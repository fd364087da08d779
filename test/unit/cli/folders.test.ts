/**
 * Folders on the command line: which files are found, in which order, and what is left out.
 */

import { mkdirSync, symlinkSync } from 'node:fs';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { findFiles } from '../../../server/src/cli/findFiles.ts';
import { makeWorkspace, type Workspace } from './runCli.ts';

let work: Workspace;

beforeEach(() => {
  work = makeWorkspace('empty');
});

afterEach(() => work.dispose());

/** Paths found, from the workspace on. */
async function found(...paths: string[]): Promise<readonly string[]> {
  const { files } = await findFiles(paths.map((path) => work.path(path)));
  return files.map(({ path }) => path.slice(work.folder.length + 1));
}

async function problems(...paths: string[]): Promise<readonly string[]> {
  const result = await findFiles(paths.map((path) => work.path(path)));
  return result.problems.map((problem) => problem.replaceAll(`${work.folder}/`, ''));
}

describe('a folder', () => {
  test('is searched for timelines, reports and settings, in one order on every disk', async () => {
    for (const folder of ['b', 'a', 'a/deep']) mkdirSync(work.path(folder));
    for (const name of [
      'z.edl',
      'b/cut.otio',
      'a/x.timeline.xml',
      'a/deep/UPPER.EDL',
      'a/day1.alignment.json',
      'afterclap.json',
    ]) {
      work.write(name, 'x');
    }
    for (const other of ['notes.txt', 'b/plain.xml', 'b/package.json', 'a/alignment.json']) work.write(other, 'x');
    expect(await found('.')).toEqual([
      'a/day1.alignment.json',
      'a/deep/UPPER.EDL',
      'a/x.timeline.xml',
      'afterclap.json',
      'b/cut.otio',
      'z.edl',
    ]);
  });

  test('is searched without node_modules and folders that begin with a dot', async () => {
    for (const folder of ['node_modules', '.git', 'cuts']) {
      mkdirSync(work.path(folder));
      work.write(`${folder}/cut.edl`, 'x');
    }
    expect(await found('.')).toEqual(['cuts/cut.edl']);
  });

  test('that begins with a dot is searched when it is named', async () => {
    mkdirSync(work.path('.hidden'));
    work.write('.hidden/cut.edl', 'x');
    expect(await found('.hidden')).toEqual(['.hidden/cut.edl']);
  });

  test('that links lead back into is searched once', async () => {
    mkdirSync(work.path('cuts'));
    work.write('cuts/cut.edl', 'x');
    symlinkSync('..', work.path('cuts/up'));
    symlinkSync('cuts', work.path('again'));
    expect(await found('.')).toEqual(['again/cut.edl']);
    expect(await problems('.')).toEqual([]);
  });

  test('with nothing to check says so', async () => {
    work.write('notes.txt', 'x');
    expect(await problems('.')).toEqual([expect.stringContaining('holds no timeline (.otio, .timeline.xml, .edl or .cpl.xml)')]);
  });

  test('a link that leads nowhere is told when it looks like a timeline', async () => {
    work.write('fine.edl', 'x');
    symlinkSync('gone.edl', work.path('dead.edl'));
    symlinkSync('gone.txt', work.path('dead.txt'));
    expect(await found('.')).toEqual(['fine.edl']);
    expect(await problems('.')).toEqual(["can't read dead.edl: there is no such file or folder"]);
  });
});

describe('a file', () => {
  test('is checked once, however often it is named', async () => {
    work.write('cut.edl', 'x');
    symlinkSync('cut.edl', work.path('same.edl'));
    expect(await found('cut.edl', '.', 'same.edl')).toEqual(['cut.edl']);
  });

  test('named on purpose may be XML without the long ending', async () => {
    work.write('cut.xml', 'x');
    expect(await found('cut.xml')).toEqual(['cut.xml']);
    expect(await found('.')).toEqual([]);
  });

  test('of another kind, or not there, is told with what was probably meant', async () => {
    work.write('cut.mov', 'x');
    work.write('final.edl', 'x');
    expect(await problems('cut.mov', 'finel.edl')).toEqual([
      'cut.mov is not a file Afterclap reads: expected .otio, .timeline.xml, .edl, .cpl.xml, .alignment.json or afterclap.json',
      "can't read finel.edl: there is no such file or folder; did you mean final.edl?",
    ]);
  });
});
