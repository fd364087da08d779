/**
 * Where sync pops belong: two seconds of timecode before the first frame of the programme, and two after the start of its last.
 *
 * A pop is one frame of 1 kHz with one flashed frame of picture (common practice). 'Two seconds' are labels, not clock time: 48 frames
 * at 23.976, which last 2.002 s. Frames are counted, never digits of labels, since drop-frame counting skips some: two seconds before
 * 10:01:00;02 stands 10:00:58;00. The tail pop counts from the start of the last frame (common practice; a worked example in editorial
 * references: last frame 03:21:22:15, pop 03:21:24:15), so pop and pop lie the programme and four seconds apart, less one frame.
 */

import { nominalFramesPerSecond, type Rate } from '../time/rate.ts';
import { divide, type Rational, rational } from '../time/rational.ts';

/** Frames on the record timecode's own count. */
export interface PopPositions {
  /** The frame the head pop fills. */
  readonly head: number;
  /** The frame the tail pop fills. */
  readonly tail: number;
  /** Frames of two seconds of timecode. */
  readonly distanceFrames: number;
  /** How long those frames really last. */
  readonly distanceSeconds: Rational;
}

const SECONDS = 2;

/** `firstFrame` is the first frame of the programme, `lastFrame` its last; both are shown. */
export function popPositions(firstFrame: number, lastFrame: number, rate: Rate): PopPositions {
  const distanceFrames = SECONDS * nominalFramesPerSecond(rate);
  return {
    head: firstFrame - distanceFrames,
    tail: lastFrame + distanceFrames,
    distanceFrames,
    distanceSeconds: divide(rational(distanceFrames), rate),
  };
}

/** Samples of one frame of tone; not a whole number at every rate. */
export function popSamples(rate: Rate, sampleRate: Rate): Rational {
  return divide(sampleRate, rate);
}

/** Frames of 35 mm film with four perforations in a foot (common practice). */
const FRAMES_PER_FOOT = 16;

/** `9+00`: feet and frames of 35 mm film from the start of a reel. */
export function feetAndFrames(frames: number): string {
  return `${Math.floor(frames / FRAMES_PER_FOOT)}+${String(frames % FRAMES_PER_FOOT).padStart(2, '0')}`;
}
