/**
 * From exact times to the whole frames of an edit list.
 *
 * Both ends of a clip go to the nearest frame, so that clips which met still meet. The source then goes to the frame at which
 * sound is never ahead: a sound shows the earlier frame, a picture the later one (common practice: if it cannot be exact, let
 * sound lag). How far that moves a clip's sync is told.
 */

import { type Rate, secondsToCount } from '../time/rate.ts';
import {
  absolute,
  add,
  ceiling,
  divide,
  floor,
  isInteger,
  isZero,
  multiply,
  ONE,
  type Rational,
  rational,
  round,
  subtract,
} from '../time/rational.ts';
import type { Clip } from '../timeline/model.ts';
import type { EdlPiece } from './edlPieces.ts';
import type { LossLog } from './loss.ts';
import { amount, clipLoss } from './tell.ts';

export interface EdlFrames {
  readonly recordIn: number;
  readonly recordOut: number;
  readonly sourceIn: number;
  /** True when nothing had to be rounded. */
  readonly isExact: boolean;
}

export interface FrameGrid {
  readonly rate: Rate;
  /** Record timecode of record time 0, in frames. */
  readonly startFrame: Rational;
}

/** Null, and told, when the piece is too short for a frame. `source` is the source time at the head of the whole clip. */
export function edlFrames(piece: EdlPiece, source: Rational, grid: FrameGrid, log: LossLog): EdlFrames | null {
  const { rate, startFrame } = grid;
  const exactIn = add(startFrame, secondsToCount(piece.start, rate));
  const exactOut = add(startFrame, secondsToCount(piece.end, rate));
  const recordIn = round(exactIn);
  const recordOut = round(exactOut);
  const { clip } = piece;
  if (recordIn >= recordOut) {
    if (clip !== null) {
      log.excuse(clip.index);
      log.tell(
        clipLoss(
          'sub-frame',
          clip,
          'It is shorter than a frame and falls between two. It is left out.',
          clip.length?.span ?? null,
        ),
      );
    }
    return null;
  }
  const frames = { recordIn: Number(recordIn), recordOut: Number(recordOut) };
  if (clip === null) return { ...frames, sourceIn: 0, isExact: true };
  const speed = clip.speed.kind === 'constant' ? clip.speed.scalar : ONE;
  const moved = subtract(rational(recordIn), exactIn);
  const atHead = secondsToCount(subtract(source, piece.earlier), rate);
  const exactSource = add(atHead, multiply(moved, speed));
  const sourceIn = isInteger(exactSource)
    ? floor(exactSource)
    : clip.role === 'picture'
      ? ceiling(exactSource)
      : floor(exactSource);
  const edges = [exactIn, exactOut].filter((edge) => !isInteger(edge));
  const isExact = edges.length === 0 && isInteger(exactSource);
  if (!isExact) {
    log.excuse(clip.index);
    tellRounding(log, clip, edges.length > 0, subtract(rational(sourceIn), exactSource), rate);
  }
  return { ...frames, sourceIn: Number(sourceIn), isExact };
}

/** `slipped` in frames: how far the source was moved against the record. */
function tellRounding(log: LossLog, clip: Clip, hasEdges: boolean, slipped: Rational, rate: Rate): void {
  const edges = hasEdges ? 'Its ends on record lie between frames and go to the nearest ones. ' : '';
  const seconds = divide(absolute(slipped), rate);
  const heard = clip.role === 'picture' ? 'the sound beside it is heard' : 'it is heard';
  const source = isZero(slipped)
    ? 'Its sync stays exact.'
    : `Its source lies between two frames of the list and goes to the ${clip.role === 'picture' ? 'later' : 'earlier'} one, so ${heard} ${amount(seconds)} later.`;
  log.tell(clipLoss('sub-frame', clip, `${edges}${source}`, clip.start?.span ?? null));
}
