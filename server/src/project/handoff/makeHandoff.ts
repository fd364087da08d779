/**
 * Makes a hand-off: reels first, since they take long and may fail, then the lists and sheets that tell what came of them, then the
 * manifest, whose presence says that all of it is there.
 *
 * Everything goes through the ports. A recording that can't be read costs its reel and is told; a place that can't be written to ends the
 * whole.
 */

import { comparableName } from '../../core/alignment/mediaNames.ts';
import { safeFileName, timelineStem, uniqueNames } from '../../core/handoff/fileNames.ts';
import {
  type HandedFile,
  type HandedKind,
  MANIFEST_NAME,
  type ManifestTimeline,
  renderManifest,
} from '../../core/handoff/manifest.ts';
import { type PulledRecording, type PulledTimeline, pullList } from '../../core/handoff/pullList.ts';
import type { FoundRecording } from '../../core/handoff/recordingFacts.ts';
import type { PlannedReel } from '../../core/handoff/reelPlan.ts';
import { type SheetReel, syncSheet } from '../../core/handoff/syncSheet.ts';
import { renderPullTable } from '../../core/report/handoff/renderPullTable.ts';
import { renderSheetPage } from '../../core/report/handoff/renderSheetPage.ts';
import { renderSheetTable } from '../../core/report/handoff/renderSheetTable.ts';
import { renderLagChart } from '../../core/report/lagChart/renderLagChart.ts';
import type { Rational } from '../../core/time/rational.ts';
import { rational } from '../../core/time/rational.ts';
import { lagChart } from '../../core/views/lagChart.ts';
import { clockText, numberText } from '../../core/views/timeText.ts';
import { progressPlan } from '../measure/progress.ts';
import { nameOf } from '../paths.ts';
import type { HandoffPorts } from './handoffPorts.ts';
import { makeReel, type ReelTask } from './makeReel.ts';
import { missingSentences } from './missingWords.ts';
import type { RefusedReel } from './planReels.ts';
import { workOf } from './reelPieces.ts';
import { reelOf, reelStart } from './reelWords.ts';

/** A timeline with everything that is said about it. */
export interface HandedTimeline extends PulledTimeline {
  readonly reportReason: string;
  readonly toleranceSource: string;
  readonly handlesAsked: string;
  /** First frame of the programme as somebody said it, from the timeline's first instant. */
  readonly programmeStart: number | null;
  readonly manifest: ManifestTimeline;
}

export interface HandoffTask {
  readonly timelines: readonly HandedTimeline[];
  readonly names: HandoffNames;
  readonly foundOf: (key: string) => FoundRecording | null;
  readonly reels: readonly ReelTask[];
  readonly refused: readonly RefusedReel[];
  /** Samples of drift that may stay in a piece of a reel. */
  readonly thresholdOf: (reel: PlannedReel) => Rational;
  /** Name and version of the program. */
  readonly by: string;
  /** `2026-03-04T10:20:30Z`. */
  readonly made: string;
  readonly command: readonly string[];
}

/** Paths of everything but the reels. */
export interface HandoffNames {
  readonly pullList: string;
  /** In the order of the timelines. */
  readonly sheets: readonly { readonly page: string; readonly table: string }[];
}

export interface Handoff {
  readonly files: readonly HandedFile[];
  /** What was asked for and could not be made or found, in sentences. */
  readonly missing: readonly string[];
  /** Reels that began and failed, in sentences. */
  readonly failures: readonly string[];
  readonly recordings: readonly PulledRecording[];
  readonly reels: readonly SheetReel[];
}

export function handoffNames(timelinePaths: readonly string[]): HandoffNames {
  const unique = uniqueNames();
  const stems = timelinePaths.map((path) => comparableName(timelineStem(nameOf(path))));
  return {
    pullList: 'pull-list.csv',
    sheets: timelinePaths.map((path, index) => {
      // The same cut in two formats: the ending tells them apart.
      const isShared = stems.indexOf(stems[index] as string) !== stems.lastIndexOf(stems[index] as string);
      const page = unique(safeFileName(isShared ? nameOf(path) : timelineStem(nameOf(path))), '.sync-sheet.html');
      return { page, table: page.replace(/\.html$/, '.csv') };
    }),
  };
}

/** Every path the hand-off may hold. */
export function pathsOf({ names, reels }: Pick<HandoffTask, 'names' | 'reels'>): readonly string[] {
  return [
    ...names.sheets.flatMap(({ page, table }) => [page, table]),
    names.pullList,
    ...reels.map(({ path }) => path),
    MANIFEST_NAME,
  ];
}

/** Null when the work was stopped. What the place of writing throws is thrown. */
export async function makeHandoff(task: HandoffTask, ports: HandoffPorts): Promise<Handoff | null> {
  const made = await makeReels(task, ports);
  if (made === null) return null;
  const recordings = pullList(task.timelines, task.foundOf);
  const missing = [...made.failures, ...missingSentences(task.refused, recordings)];
  const files: HandedFile[] = [];
  const put = async (path: string, kind: HandedKind, timelines: readonly HandedTimeline[], text: string): Promise<void> => {
    files.push({ path, kind, ...(await putText(ports, path, text)), timelines: timelines.map((timeline) => timeline.path) });
  };
  for (const [index, timeline] of task.timelines.entries()) {
    const names = task.names.sheets[index] as HandoffNames['sheets'][number];
    const sheet = sheetOf(task, timeline, made.reels, missing);
    await put(names.page, 'sync-sheet', [timeline], renderSheetPage(sheet, chartOf(timeline)));
    await put(names.table, 'sync-table', [timeline], renderSheetTable(sheet));
  }
  await put(task.names.pullList, 'pull-list', task.timelines, renderPullTable(recordings));
  files.push(...made.files);
  const manifest = {
    made: task.made,
    by: task.by,
    command: task.command,
    timelines: task.timelines.map((timeline) => timeline.manifest),
    recordings: made.recordings,
    files,
    missing,
  };
  await putText(ports, MANIFEST_NAME, renderManifest(manifest));
  return ports.isCancelled()
    ? null
    : { files, missing, failures: made.failures, recordings, reels: made.reels.map(({ words }) => words) };
}

interface MadeReel {
  readonly task: ReelTask;
  readonly words: SheetReel;
}

interface MadeReels {
  readonly files: readonly HandedFile[];
  readonly reels: readonly MadeReel[];
  readonly recordings: readonly { readonly path: string; readonly size: number }[];
  readonly failures: readonly string[];
}

async function makeReels(task: HandoffTask, ports: HandoffPorts): Promise<MadeReels | null> {
  const plan = progressPlan(ports.onProgress);
  for (const { reel } of task.reels) plan.expect(workOf(reel, task.thresholdOf(reel)));
  const files: HandedFile[] = [];
  const reels: MadeReel[] = [];
  const recordings = new Map<string, number>();
  const failures: string[] = [];
  for (const reelTask of task.reels) {
    const { reel, path } = reelTask;
    const tell = plan.begin(`writing ${path}`, workOf(reel, task.thresholdOf(reel)));
    const making = await makeReel(reelTask, task.thresholdOf(reel), task.by, ports, tell);
    tell(1);
    if (making.kind === 'cancelled') return null;
    if (making.kind === 'failed') {
      failures.push(`No reel of ${reelOf(reel)}: ${making.reason}.`);
      continue;
    }
    for (const facts of reelTask.recordings.values()) recordings.set(facts.path, facts.sizeBytes);
    files.push({
      path,
      kind: 'sync-reel',
      ...making.digest,
      timelines: reel.timelines.map((timeline) => timeline.path),
      recordings: [...reelTask.recordings.values()].map((facts) => facts.path),
    });
    reels.push({ task: reelTask, words: reelWords(reelTask, making.sentences) });
  }
  return { files, reels, failures, recordings: [...recordings].map(([path, size]) => ({ path, size })) };
}

function reelWords({ reel, path }: ReelTask, sentences: readonly string[]): SheetReel {
  return {
    path,
    of: reelOf(reel),
    start: reelStart(reel),
    length: clockText(reel.length),
    samples: `${numberText(rational(reel.sampleCount))} samples`,
    how: sentences.join(' '),
  };
}

function sheetOf(
  task: HandoffTask,
  timeline: HandedTimeline,
  reels: readonly MadeReel[],
  missing: readonly string[],
): ReturnType<typeof syncSheet> {
  return syncSheet({
    timeline,
    reportReason: timeline.reportReason,
    toleranceSource: timeline.toleranceSource,
    handlesAsked: timeline.handlesAsked,
    programmeStart: timeline.programmeStart,
    recordings: pullList([timeline], task.foundOf),
    reels: reels.filter((reel) => reel.task.reel.timelines.includes(timeline)).map(({ words }) => words),
    missing,
    made: `Made ${task.made.replace('T', ' ').replace('Z', ' UTC')} by ${task.by}`,
    command: task.command.map(quoted).join(' '),
  });
}

/** A word as a person would type it into a shell. */
function quoted(word: string): string {
  return /^[\w@%+=:,./-]+$/.test(word) ? word : `'${word.replaceAll("'", "'\\''")}'`;
}

const CHART_WIDTH = 1120;
const CHART_HEIGHT = 400;

function chartOf({ audit, reportReason }: HandedTimeline): string {
  return renderLagChart({
    chart: lagChart(audit, reportReason),
    view: null,
    shown: null,
    filterWords: '',
    palette: null,
    width: CHART_WIDTH,
    height: CHART_HEIGHT,
  });
}

async function putText(
  ports: HandoffPorts,
  path: string,
  text: string,
): Promise<{ readonly size: number; readonly sha256: string }> {
  const file = await ports.output.create(path);
  try {
    await file.write(new TextEncoder().encode(text));
    return await file.finish();
  } catch (error) {
    await file.discard();
    throw error;
  }
}
