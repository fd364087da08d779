/**
 * What a reel is written from, once its recordings are open: form, pieces, stamps, marks, history.
 */

import { entryKey } from '../../core/handoff/recordingKey.ts';
import { type PlannedReel, reelStamp } from '../../core/handoff/reelPlan.ts';
import { hash64 } from '../../core/review/hash64.ts';
import { listInWords } from '../../core/text/words.ts';
import { rateLabel } from '../../core/time/rate.ts';
import { formatRational, type Rational, toNumber } from '../../core/time/rational.ts';
import { broadcastChunk } from '../../sound/reel/broadcastChunk.ts';
import { codingHistory } from '../../sound/reel/codingHistory.ts';
import type { Reel, ReelRecording } from '../../sound/reel/reel.ts';
import { reelIxml } from '../../sound/reel/reelIxml.ts';
import { reelLayout } from './reelLayout.ts';
import { reelMarks } from './reelMarks.ts';
import { reelPiece, timedPieces } from './reelPieces.ts';
import { historySteps, type ReelWording, reelStart } from './reelWords.ts';

export interface OpenReelRecording extends ReelRecording {
  /** Name of its file. */
  readonly name: string;
}

export interface ReelRecipe {
  readonly written: Reel;
  readonly wording: ReelWording;
}

/** `recordings` by key of their entry. `by` is name and version of the program. */
export function reelRecipe(
  reel: PlannedReel,
  recordings: ReadonlyMap<string, OpenReelRecording>,
  threshold: Rational,
  by: string,
): ReelRecipe {
  const recordingOf = ({ pair }: PlannedReel['pieces'][number]): OpenReelRecording =>
    recordings.get(entryKey(pair.sound)) as OpenReelRecording;
  const used = [...new Set(reel.pieces.map(recordingOf))];
  const layout = reelLayout(
    used.map(({ header }) => header),
    Number(toNumber(reel.sampleRate)),
    reel.sampleCount,
  );
  const pieces = timedPieces(reel, threshold, (piece) => recordingOf(piece).header.sampleCount);
  const wording: ReelWording = { reel, layout, pieces, threshold };
  const [first] = used;
  const [firstPiece] = pieces;
  const single = reel.kind === 'picture' && used.length === 1 && first !== undefined ? first : null;
  const names = single === null ? reelNames(reel, used) : `${single.name} for ${pictureName(reel)}`;
  const uid = `AFTERCLAP-${hash64(identity(reel, used))}`;
  const timeReference = reelStamp(reel);
  const broadcast = single?.header.broadcast ?? null;
  const note = `Sync reel: ${names}, first sample at ${reelStart(reel)}, ${rateLabel(reel.rate)} frames per second`;
  const ixml = reelIxml({
    source: single?.header.ixml?.tree ?? null,
    layout,
    timeReference,
    frameRate: fraction(reel.rate),
    isDropFrame: reel.isDropFrame,
    fileUid: uid,
    parentFileName: single?.name ?? null,
    syncPoints: single === null || firstPiece === undefined ? [] : reelMarks(reel, firstPiece, single.header),
    note,
  });
  return {
    wording,
    written: {
      layout,
      pieces: pieces.map((piece) => reelPiece(piece, recordingOf(piece.planned))),
      broadcast: broadcastChunk({
        description: note,
        originator: by,
        originatorReference: uid,
        originationDate: broadcast?.originationDate ?? '',
        originationTime: broadcast?.originationTime ?? '',
        timeReference,
        codingHistory: codingHistory(broadcast?.codingHistory ?? '', layout, historySteps(wording, by, names)),
      }),
      ixml: new TextEncoder().encode(ixml),
    },
  };
}

/** The file as the report has it, else the key. */
function pictureName({ picture }: PlannedReel): string {
  return picture === null ? 'the cut' : (picture.names[0]?.text ?? picture.key);
}

function reelNames({ timelines }: PlannedReel, used: readonly OpenReelRecording[]): string {
  return `${listInWords(used.map(({ name }) => name))} for ${timelines[0]?.path ?? 'the cut'}`;
}

/** Two reels differ in this text exactly when they differ in what they hold. */
function identity(reel: PlannedReel, used: readonly OpenReelRecording[]): string {
  const pieces = reel.pieces.map(({ pair, at, count, from, step }) =>
    [pair.sound.key, at, count, formatRational(from), formatRational(step)].join(' '),
  );
  const files = used.map(({ name, header }) => `${name} ${header.sampleCount} ${header.broadcast?.originatorReference ?? ''}`);
  return [pictureName(reel), formatRational(reel.rate), ...files, ...pieces].join('\n');
}

/** As iXML writes rates: `24000/1001`, `25/1`. */
function fraction(rate: PlannedReel['rate']): string {
  const text = formatRational(rate);
  return text.includes('/') ? text : `${text}/1`;
}
