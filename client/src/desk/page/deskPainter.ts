/**
 * Puts together what the canvases show of a state, and asks for what they lack: peaks for this view, pictures for these frames.
 */

import { floor, toNumber } from '../../../../server/src/core/time/rational.ts';
import { frameLabelText } from '../../../../server/src/sound/desk/frameEntry.ts';
import { setAttributes, setText } from '../../chart/page/elements.ts';
import type { Palette } from '../../chart/page/palette.ts';
import type { PagePeaks } from '../deskMessages.ts';
import type { DeskFiles } from './deskFiles.ts';
import {
  type DeskLayout,
  deskLayout,
  type FrameGrid,
  frameGrid,
  framesToShow,
  type SeenFrames,
  seenFrames,
} from './deskLayout.ts';
import { summaryOf } from './deskReadout.ts';
import { clapsOf, contactOf, type DeskState, edgeSampleIn, gridOf, pickedFrame, type Subject } from './deskState.ts';
import { type CanvasPlace, type Monitors, numberOf } from './deskSurface.ts';
import type { DeskView } from './deskView.ts';
import { paintDesk, paintOverview } from './paintDesk.ts';
import type { Playing } from './playing.ts';

/** What was drawn last, for telling what lies under the pointer. */
export interface Drawn {
  readonly layout: DeskLayout;
  readonly view: DeskView;
  readonly grid: FrameGrid | null;
  readonly seen: SeenFrames | null;
}

export interface DeskPainter {
  readonly paint: (state: DeskState, subject: Subject, view: DeskView) => void;
  readonly drawn: () => Drawn | null;
}

export interface DeskPainterInput {
  readonly files: DeskFiles;
  readonly playing: Playing;
  readonly bench: CanvasPlace;
  /** The canvas of the whole recording. */
  readonly whole: CanvasPlace;
  readonly palette: () => Palette;
  readonly monitors: Monitors;
  readonly hint: HTMLElement;
}

export function createDeskPainter({ files, playing, bench, whole, palette, monitors, hint }: DeskPainterInput): DeskPainter {
  let drawn: Drawn | null = null;
  const paint = (state: DeskState, subject: Subject, view: DeskView): void => {
    if (state.recording === null) return;
    const { sampleRate, sampleCount } = state.recording.facts;
    const { width, height } = bench.size();
    const camera = files.camera();
    const placement = gridOf(state);
    const grid = placement === null ? null : frameGrid(placement, subject.rate, subject.sampleRate, subject.driftPpm);
    const seen = grid === null ? null : seenFrames(grid, view, width, camera.hasPicture);
    const pictureWidth = seen === null ? width : seen.pictureStep * seen.pixelsPerFrame - 2;
    const layout = deskLayout(width, height, camera.hasPicture ? pictureWidth / camera.aspect : null);
    drawn = { layout, view, grid, seen };
    const pickedExact = pickedFrame(state);
    const picked = pickedExact === null ? null : Number(floor(pickedExact));
    const frameCount = numberOf(subject.counting.frameCount);
    if (!playing.isBusy()) wantFrames(files, seen, picked, frameCount);
    const pictureOf = camera.hasPicture ? (frame: number) => files.shelf()?.get(frame) : null;
    const now = playing.now();
    const shared = { palette: palette(), sampleCount, view, claps: clapsOf(state), edge: edgeSampleIn(state) };
    const context = bench.context();
    if (context !== null) {
      const peaks = files.peaksFor(view, width);
      const gain = paintDesk({
        ...shared,
        context,
        layout,
        sampleRate,
        peaks,
        edgeDoubt: state.choice.edge === null ? 0 : toNumber(state.choice.edge.uncertainty),
        grid,
        isGuess: placement?.isGuess ?? false,
        seen,
        picked,
        frameCount,
        contact: contactOf(state),
        pictureOf,
        aspect: camera.aspect,
        playhead: now?.sample ?? null,
      });
      setText(hint, hintWords(gain, peaks, placement?.isGuess ?? false));
    }
    const wholeContext = whole.context();
    if (wholeContext !== null) paintOverview({ ...shared, context: wholeContext, ...whole.size(), peaks: state.overview });
    setAttributes(bench.element, { 'aria-label': `${subject.picture.key} and ${subject.sound.key}. ${summaryOf(state)}` });
    monitors.show({
      picked,
      origin: state.choice.seen !== null ? 'seen' : placement?.isGuess === true ? 'guess' : 'report',
      pictureOf,
      aspect: camera.aspect,
      labelOf: (frame) => frameLabelText(frame, subject.counting),
      playing: now?.frame ?? null,
    });
    files.askForDetail(view, width);
  };
  return { paint, drawn: () => drawn };
}

function wantFrames(files: DeskFiles, seen: SeenFrames | null, picked: number | null, frameCount: number | null): void {
  const near = picked === null ? [] : [picked - 1, picked, picked + 1];
  const inFile = near.filter((frame) => frame >= 0 && (frameCount === null || frame < frameCount));
  files.shelf()?.want([...inFile, ...(seen === null ? [] : framesToShow(seen, frameCount))]);
}

function hintWords(gain: number, peaks: PagePeaks | null, isGuess: boolean): string {
  const decibels = Math.round(20 * Math.log10(gain));
  return [
    isGuess ? 'Where the frames lie is a guess as long as none is picked.' : '',
    peaks?.isSparse === true ? 'So much is seen that only parts of it were read; zoom in for all of it.' : '',
    decibels >= 1 ? `The wave is drawn ${decibels} dB up.` : '',
  ]
    .filter((words) => words !== '')
    .join(' ');
}
