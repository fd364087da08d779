/**
 * Where things stand on the desk's canvas, and which frames are seen there. Pixels and floats: nothing here is judged.
 */

import { type Rational, toNumber } from '../../../../server/src/core/time/rational.ts';
import { sampleAtFrame } from '../../../../server/src/sound/desk/deskPlacement.ts';
import type { DeskView } from './deskView.ts';

interface Lane {
  readonly top: number;
  readonly height: number;
}

export interface DeskLayout {
  readonly width: number;
  readonly height: number;
  /** Time in the recording. */
  readonly ruler: Lane;
  readonly wave: Lane;
  readonly numbers: Lane;
  /** Pictures, or cells where there are none. */
  readonly frames: Lane;
}

const RULER_HEIGHT = 18;
const NUMBERS_HEIGHT = 20;
const CELLS_HEIGHT = 30;
const MOST_PICTURE_HEIGHT = 112;
/** Narrower than this, two hands can't be told apart, and a picture stands for several frames. */
const LEAST_PICTURE_WIDTH = 60;

/** `pictureHeight` is what pictures of the width that there is would take; null where there are none. */
export function deskLayout(width: number, height: number, pictureHeight: number | null): DeskLayout {
  const framesHeight =
    pictureHeight === null ? CELLS_HEIGHT : Math.min(pictureHeight + 4, MOST_PICTURE_HEIGHT, Math.max(56, height * 0.3));
  const waveHeight = Math.max(40, height - RULER_HEIGHT - NUMBERS_HEIGHT - framesHeight);
  return {
    width,
    height,
    ruler: { top: 0, height: RULER_HEIGHT },
    wave: { top: RULER_HEIGHT, height: waveHeight },
    numbers: { top: RULER_HEIGHT + waveHeight, height: NUMBERS_HEIGHT },
    frames: { top: RULER_HEIGHT + waveHeight + NUMBERS_HEIGHT, height: framesHeight },
  };
}

export function xOf(sample: number, view: DeskView, width: number): number {
  return ((sample - view.start) / (view.end - view.start)) * width;
}

export function sampleAt(x: number, view: DeskView, width: number): number {
  return view.start + (x / width) * (view.end - view.start);
}

/** The frames of a camera over a recording. */
export interface FrameGrid {
  /** Sample of the start of frame 0, as near as a float tells it. */
  readonly origin: number;
  readonly samplesPerFrame: number;
}

/** Made exactly first, so that frames late in a long file stand as right as the first ones. */
export function frameGrid(
  placement: { readonly frame: Rational; readonly sample: Rational },
  rate: Rational,
  sampleRate: Rational,
  driftPpm: Rational,
): FrameGrid {
  const at = (frame: number): number =>
    toNumber(sampleAtFrame({ numerator: frame, denominator: 1 }, placement, rate, sampleRate, driftPpm));
  return { origin: at(0), samplesPerFrame: (at(1000) - at(0)) / 1000 };
}

export interface SeenFrames {
  readonly first: number;
  readonly last: number;
  /** Every how many frames a line and a number stand. */
  readonly step: number;
  /** Every how many frames a picture stands. */
  readonly pictureStep: number;
  readonly pixelsPerFrame: number;
}

const STEPS = [1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10_000, 50_000, 100_000];
const NUMBER_WIDTH = 46;

export function seenFrames(
  { origin, samplesPerFrame }: FrameGrid,
  view: DeskView,
  width: number,
  hasPictures: boolean,
): SeenFrames {
  const pixelsPerFrame = (samplesPerFrame / (view.end - view.start)) * width;
  const stepFor = (pixels: number): number => STEPS.find((step) => step * pixelsPerFrame >= pixels) ?? 1_000_000;
  return {
    first: Math.floor((view.start - origin) / samplesPerFrame),
    last: Math.ceil((view.end - origin) / samplesPerFrame),
    step: stepFor(NUMBER_WIDTH),
    pictureStep: stepFor(hasPictures ? LEAST_PICTURE_WIDTH : NUMBER_WIDTH),
    pixelsPerFrame,
  };
}

/** The frame at a place of the canvas. */
export function frameAt(x: number, grid: FrameGrid, view: DeskView, width: number): number {
  return Math.floor((sampleAt(x, view, width) - grid.origin) / grid.samplesPerFrame);
}

/** Frames whose pictures are to be seen, from the middle outwards, at most so many. */
export function framesToShow({ first, last, pictureStep }: SeenFrames, frameCount: number | null, most = 48): readonly number[] {
  const start = Math.ceil(Math.max(0, first) / pictureStep) * pictureStep;
  const end = frameCount === null ? last : Math.min(last, frameCount - 1);
  const frames: number[] = [];
  for (let frame = start; frame <= end && frames.length < most; frame += pictureStep) frames.push(frame);
  return frames;
}

/** Distance of marks on the ruler in seconds, so that their words have room. */
export function rulerStep(view: DeskView, sampleRate: number, width: number): number {
  const seconds = (view.end - view.start) / sampleRate;
  const wanted = (seconds * 90) / Math.max(1, width);
  for (let power = 1e-6; power < 1e6; power *= 10) {
    for (const factor of [1, 2, 5]) if (power * factor >= wanted) return power * factor;
  }
  return 1e6;
}
