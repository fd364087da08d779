/**
 * `afterclap handoff TIMELINE... --out DIR`: everything a mix needs of a cut, in one folder.
 *
 * Timelines, reports and recordings are only read. The folder comes into being whole or not at all, and nothing in it is replaced unless
 * somebody says so.
 */

import { version } from '../../../package.json';
import { durationInSeconds } from '../core/alignment/tolerance.ts';
import { recordingsUsed } from '../core/handoff/pullList.ts';
import type { FoundRecording } from '../core/handoff/recordingFacts.ts';
import { entryKey } from '../core/handoff/recordingKey.ts';
import { visibleText } from '../core/report/visibleText.ts';
import { secondsToCount } from '../core/time/rate.ts';
import { createNodeFileSystem } from '../node/fileSystem.ts';
import { createMediaFiles } from '../node/mediaFiles.ts';
import { findRecording, mediaIndex, type WantedRecording } from '../project/handoff/findMedia.ts';
import {
  type HandedTimeline,
  type Handoff,
  type HandoffTask,
  handoffNames,
  makeHandoff,
  pathsOf,
} from '../project/handoff/makeHandoff.ts';
import type { ReelTask } from '../project/handoff/makeReel.ts';
import { reelPlans, reelTasks } from '../project/handoff/planReels.ts';
import { cachingFileSystem } from './cachingFileSystem.ts';
import type { Command, ExitCode } from './command.ts';
import type { ParsedFlags } from './flags.ts';
import { foldersOf, readInputs } from './handoffInputs.ts';
import { findMedia } from './handoffMedia.ts';
import { HANDOFF_FLAGS, handoffOptions, type MakeOptions } from './handoffOptions.ts';
import { openHandoffFolder, requireNothingInTheWay } from './handoffOutput.ts';
import { requireOwnFolder } from './handoffPlaces.ts';
import { handoffText } from './handoffText.ts';
import { verifyHandoff } from './handoffVerify.ts';
import { catchInterrupt } from './measureInterrupt.ts';
import { measureProgress } from './measureProgress.ts';
import { painterFor, type Terminal, widthOf } from './terminal.ts';
import { UserError } from './userError.ts';

export const handoffCommand: Command = {
  name: 'handoff',
  usage: 'TIMELINE... --out DIR [flags]',
  summary: 'make what a mix needs: sync sheet, pull list, sync reels, manifest',
  flags: HANDOFF_FLAGS,
  details: [
    'For each TIMELINE a sync sheet, as a page to read or print (.sync-sheet.html) and as a table (.sync-sheet.csv): every clip with its times, its recording, how its sound stands, and what was accepted and why; rates, programme start, and whether the sync pops are where they belong.',
    'For all of them a pull list (pull-list.csv): what is used of each recording, with handles; and what is missing.',
    'Sync reels (in reels): wave files of the recordings paired with a picture, which begin with its first frame, are as long, and carry its timecode. Bit for bit what was recorded, unless the clocks drifted: then the drift is taken out, and the file says so.',
    'A manifest (manifest.json) with the size and the SHA-256 of every file. At the other end: afterclap handoff --verify DIR.',
    'Nothing is written until all of it is there, and nothing is replaced without --force. Recordings and timelines are only read.',
    'Exit code: 0 when all is well; 1 when a cut has errors that nobody accepted, or something is missing, or --verify finds a difference; 2 when something could not be read or written.',
  ],
  run: async (flags, terminal) => {
    const asked = handoffOptions(flags);
    return asked.kind === 'verify' ? verifyHandoff(asked.folder, terminal) : runHandoff(asked.options, wordsOf(flags), terminal);
  },
};

const PROGRAM = `Afterclap ${version}`;

async function runHandoff(options: MakeOptions, command: readonly string[], terminal: Terminal): Promise<ExitCode> {
  const { out } = options;
  const files = cachingFileSystem(createNodeFileSystem());
  const { timelines, inputs, problems, notes } = await readInputs(options, files);
  await requireOwnFolder(out, options.media ?? [], inputs);
  const tell = (text: string): void => terminal.error.write(`afterclap: ${visibleText(text)}\n`);
  for (const note of notes) tell(`note: ${note}`);
  for (const problem of problems) tell(problem);
  const interrupt = catchInterrupt();
  try {
    const task = await planTask(options, command, timelines, tell);
    await requireOwnFolder(out, [], [...inputs, ...recordingPaths(task)]);
    for (const note of await requireNothingInTheWay(out, pathsOf(task), options.isReplacing)) tell(`note: ${note}`);
    const handoff = await makeWatched(options, task, terminal, interrupt.isCancelled);
    terminal.output.write(
      handoffText(out, task, handoff, widthOf(terminal.output), painterFor(terminal.output, terminal.environment)),
    );
    for (const failure of handoff.failures) tell(failure);
    return exitCodeOf(task, handoff, problems.length > 0);
  } finally {
    interrupt.release();
  }
}

async function planTask(
  options: MakeOptions,
  command: readonly string[],
  timelines: readonly HandedTimeline[],
  tell: (text: string) => void,
): Promise<HandoffTask> {
  const plans = reelPlans(timelines, options.reels);
  const wanted = new Map<string, WantedRecording>();
  for (const timeline of timelines) {
    for (const [key, { names, urls, sound }] of recordingsUsed([timeline])) {
      const known = wanted.get(key);
      wanted.set(key, {
        names: [...new Set([...(known?.names ?? []), ...names])],
        urls: [...(known?.urls ?? []), ...urls.map((url) => ({ url, from: timeline.path }))],
        sound: known?.sound ?? sound,
      });
    }
  }
  for (const { pair } of plans.reels.flatMap(({ pieces }) => pieces)) {
    const { sound } = pair;
    const key = entryKey(sound);
    if (!wanted.has(key)) wanted.set(key, { names: [...sound.names.map(({ text }) => text), sound.key], urls: [], sound });
  }
  const folders = options.media ?? foldersOf(timelines);
  const media = await findMedia(folders, options.media !== null);
  for (const problem of media.problems) tell(`note: ${problem}`);
  const searched = folders.map((folder) => (folder === '.' ? 'the folder of the timeline' : folder));
  const index = mediaIndex(media.paths, searched);
  const { openBytes } = createMediaFiles();
  const found = new Map<string, FoundRecording>();
  for (const [key, recording] of wanted) found.set(key, await findRecording(openBytes, index, recording));
  const foundOf = (key: string): FoundRecording | null => found.get(key) ?? null;
  const { tasks, refused } = reelTasks(plans, foundOf);
  return {
    timelines,
    names: handoffNames(timelines.map(({ path }) => path)),
    foundOf,
    reels: tasks,
    refused,
    thresholdOf: ({ rate, sampleRate }) =>
      secondsToCount(durationInSeconds(options.driftThreshold, rate, sampleRate), sampleRate),
    by: PROGRAM,
    made: `${new Date().toISOString().slice(0, 19)}Z`,
    command,
  };
}

async function makeWatched(
  options: MakeOptions,
  task: HandoffTask,
  terminal: Terminal,
  isCancelled: () => boolean,
): Promise<Handoff> {
  const folder = await openHandoffFolder(options.out, bytesOf(task.reels), options.isReplacing);
  const progress = measureProgress(terminal.error, () => performance.now());
  let isDone = false;
  try {
    const { openBytes } = createMediaFiles();
    const handoff = await makeHandoff(task, { openBytes, output: folder, onProgress: progress.show, isCancelled });
    if (handoff === null) throw new UserError('stopped before it was done; nothing was written');
    await folder.commit();
    isDone = true;
    return handoff;
  } finally {
    progress.clear();
    if (!isDone) await folder.discard();
  }
}

function recordingPaths({ reels, timelines, foundOf }: HandoffTask): readonly string[] {
  const keys = timelines.flatMap((timeline) => [...recordingsUsed([timeline]).keys()]);
  const used = keys.flatMap((key) => {
    const found = foundOf(key);
    return found?.kind === 'found' ? [found.facts.path] : [];
  });
  return [...new Set([...used, ...reels.flatMap(({ recordings }) => [...recordings.values()].map(({ path }) => path))])];
}

/** The command line again from what was understood of it: timelines first, then the flags. */
function wordsOf({ paths, switches, values }: ParsedFlags): readonly string[] {
  const flags = [...values].flatMap(([name, given]) => given.flatMap((value) => [`--${name}`, value]));
  return ['afterclap', 'handoff', ...paths, ...flags, ...[...switches].map((name) => `--${name}`)];
}

/** A little too much rather than too little: stamps and marks come on top of the samples. */
const HEAD_BYTES = 64 * 1024;

function bytesOf(reels: readonly ReelTask[]): number {
  return reels.reduce((sum, { reel, recordings }) => {
    const facts = [...recordings.values()];
    const bytes = Math.max(...facts.map(({ bits }) => Math.ceil(bits / 8)));
    return sum + HEAD_BYTES + reel.sampleCount * bytes * Math.max(...facts.map(({ channelCount }) => channelCount));
  }, 0);
}

function exitCodeOf({ timelines }: HandoffTask, { missing, failures }: Handoff, hasProblems: boolean): ExitCode {
  if (hasProblems || failures.length > 0) return 2;
  const hasErrors = timelines.some(({ audit }) => audit.findings.some(({ severity }) => severity === 'error'));
  return hasErrors || missing.length > 0 ? 1 : 0;
}
