/**
 * Writes one reel: opens its recordings, settles its form, and streams it into a file of the hand-off.
 */

import type { FileDigest } from '../../core/handoff/manifest.ts';
import type { RecordingFacts } from '../../core/handoff/recordingFacts.ts';
import type { PlannedReel } from '../../core/handoff/reelPlan.ts';
import type { Rational } from '../../core/time/rational.ts';
import type { ReelRecording } from '../../sound/reel/reel.ts';
import { type ReelOutcome, reelBytes, writeReel } from '../../sound/reel/writeReel.ts';
import { nameOf } from '../paths.ts';
import type { HandoffPorts, StagedFile } from './handoffPorts.ts';
import { openRecording } from './openRecording.ts';
import { type OpenReelRecording, type ReelRecipe, reelRecipe } from './reelRecipe.ts';
import { reelSentences } from './reelWords.ts';

export interface ReelTask {
  readonly reel: PlannedReel;
  /** Within the hand-off. */
  readonly path: string;
  /** The files of its recordings, by key of their entry. */
  readonly recordings: ReadonlyMap<string, RecordingFacts>;
}

export type ReelMaking =
  | { readonly kind: 'made'; readonly digest: FileDigest; readonly sentences: readonly string[] }
  /** A sentence without its full stop. */
  | { readonly kind: 'failed'; readonly reason: string }
  | { readonly kind: 'cancelled' };

/** `onShare` is told from 0 to 1. What the place of writing throws is thrown. */
export async function makeReel(
  task: ReelTask,
  threshold: Rational,
  by: string,
  ports: HandoffPorts,
  onShare: (share: number) => void,
): Promise<ReelMaking> {
  const recordings = new Map<string, OpenReelRecording>();
  const closing: (() => Promise<void>)[] = [];
  try {
    for (const [key, facts] of task.recordings) {
      const opening = await openRecording(ports.openBytes, facts.path);
      if (!opening.ok) return { kind: 'failed', reason: `${facts.path} ${opening.reason}` };
      closing.push(opening.close);
      const { sizeBytes, sampleCount, sampleRate } = opening.facts;
      if (sizeBytes !== facts.sizeBytes || sampleCount !== facts.sampleCount || sampleRate !== facts.sampleRate) {
        return { kind: 'failed', reason: `${facts.path} changed while the hand-off was made` };
      }
      recordings.set(key, { ...opening.recording, name: nameOf(facts.path) });
    }
    const recipe = reelRecipe(task.reel, recordings, threshold, by);
    const file = await ports.output.create(task.path);
    return await writeInto(file, recipe, pathsByRecording(task, recordings), ports, onShare);
  } finally {
    for (const close of closing) await close();
  }
}

async function writeInto(
  file: StagedFile,
  { written, wording }: ReelRecipe,
  paths: ReadonlyMap<ReelRecording, string>,
  { isCancelled }: HandoffPorts,
  onShare: (share: number) => void,
): Promise<ReelMaking> {
  const total = reelBytes(written);
  let outcome: ReelOutcome;
  try {
    outcome = await writeReel(written, file, { onProgress: (bytes) => onShare(bytes / total), isCancelled });
  } catch (error) {
    await file.discard();
    throw error;
  }
  switch (outcome.kind) {
    case 'written':
      return { kind: 'made', digest: await file.finish(), sentences: reelSentences(wording, outcome.clippedCount) };
    case 'cancelled':
      await file.discard();
      return { kind: 'cancelled' };
    case 'failed':
      await file.discard();
      return { kind: 'failed', reason: `${paths.get(outcome.piece.recording) ?? 'A recording'} ${outcome.reason}` };
  }
}

function pathsByRecording(
  task: ReelTask,
  recordings: ReadonlyMap<string, OpenReelRecording>,
): ReadonlyMap<ReelRecording, string> {
  return new Map([...recordings].map(([key, recording]) => [recording, task.recordings.get(key)?.path ?? recording.name]));
}
