/**
 * Draws the desk: the recording around the clap, the camera's frames over it, what is not sure as a band, and the pictures below.
 *
 * Colours are those of the theme. Nothing is told by colour alone: the edge, the claps and the picked frame have words or shapes.
 */

import { type Rational, toNumber } from '../../../../server/src/core/time/rational.ts';
import { FONT_SIZE, haloText } from '../../chart/page/frame.ts';
import type { Palette } from '../../chart/page/palette.ts';
import type { PagePeaks } from '../deskMessages.ts';
import type { FramePicture } from './cameraFile.ts';
import { type DeskLayout, type FrameGrid, rulerStep, type SeenFrames, xOf } from './deskLayout.ts';
import type { ClapItem } from './deskState.ts';
import type { DeskView } from './deskView.ts';

export interface DeskFrame {
  readonly context: CanvasRenderingContext2D;
  readonly layout: DeskLayout;
  readonly view: DeskView;
  readonly palette: Palette;
  readonly sampleRate: number;
  readonly sampleCount: number;
  readonly peaks: PagePeaks | null;
  readonly claps: readonly ClapItem[];
  /** Null as long as there is none. */
  readonly edge: Rational | null;
  /** In samples: how far the edge itself may lie to either side. */
  readonly edgeDoubt: number;
  readonly grid: FrameGrid | null;
  readonly isGuess: boolean;
  readonly seen: SeenFrames | null;
  readonly picked: number | null;
  readonly frameCount: number | null;
  /** Frames of the picture within which the hands met, fractions allowed. */
  readonly contact: { readonly from: number; readonly to: number } | null;
  /** Undefined: on its way. Null: there is none. */
  readonly pictureOf: ((frame: number) => FramePicture | null | undefined) | null;
  readonly aspect: number;
  /** Sample that is being heard. */
  readonly playhead: number | null;
}

/** The gain with which the wave was drawn. */
export function paintDesk(frame: DeskFrame): number {
  const { context, layout, palette } = frame;
  context.fillStyle = palette.paper;
  context.fillRect(0, 0, layout.width, layout.height);
  context.font = `${FONT_SIZE}px ${palette.font}`;
  context.textBaseline = 'middle';
  paintOutside(frame);
  paintContact(frame);
  paintGrid(frame);
  const gain = paintWave(frame);
  paintClaps(frame);
  paintEdge(frame);
  paintRuler(frame);
  paintFrames(frame);
  paintPicked(frame);
  paintPlayhead(frame);
  return gain;
}

/** Before the first sample and after the last there is nothing. */
function paintOutside({ context, layout, view, palette, sampleCount }: DeskFrame): void {
  const { wave, width } = layout;
  context.globalAlpha = palette.bandStrength;
  context.fillStyle = palette.quiet;
  const start = xOf(0, view, width);
  const end = xOf(sampleCount, view, width);
  if (start > 0) context.fillRect(0, wave.top, start, wave.height);
  if (end < width) context.fillRect(end, wave.top, width - end, wave.height);
  context.globalAlpha = 1;
}

function paintContact({ context, layout, view, palette, grid, contact, isGuess }: DeskFrame): void {
  if (grid === null || contact === null || isGuess) return;
  const { width, wave, numbers, frames } = layout;
  const x = (frame: number): number => xOf(grid.origin + frame * grid.samplesPerFrame, view, width);
  const [from, to] = [x(contact.from), x(contact.to)];
  const wide = Math.max(2, to - from);
  context.fillStyle = palette.information;
  context.globalAlpha = palette.bandStrength * 1.6;
  context.fillRect(from, wave.top, wide, wave.height + numbers.height + frames.height);
  context.globalAlpha = 1;
  const left = Math.max(from, 0);
  const room = Math.min(to, width) - left;
  if (room < 84) return;
  context.textAlign = 'left';
  const words = room < 160 ? 'hands meet' : 'the hands meet in here';
  haloText(context, words, left + 6, wave.top + wave.height - 12, palette);
}

function paintGrid({ context, layout, view, palette, grid, seen, isGuess }: DeskFrame): void {
  if (grid === null || seen === null) return;
  const { width, wave, numbers, frames } = layout;
  context.fillStyle = palette.ink;
  const step = seen.pixelsPerFrame >= 7 ? 1 : seen.step;
  for (let frame = Math.ceil(seen.first / step) * step; frame <= seen.last; frame += step) {
    const x = Math.round(xOf(grid.origin + frame * grid.samplesPerFrame, view, width));
    context.globalAlpha = palette.gridStrength * (frame % seen.step === 0 ? 1.6 : 0.8);
    if (isGuess) {
      for (let y = wave.top; y < wave.top + wave.height; y += 8) context.fillRect(x, y, 1, 4);
    } else context.fillRect(x, wave.top, 1, wave.height);
    context.fillRect(x, numbers.top, 1, numbers.height + frames.height);
  }
  context.globalAlpha = 1;
  context.fillStyle = palette.quiet;
  context.textAlign = 'left';
  for (let frame = Math.ceil(seen.first / seen.step) * seen.step; frame <= seen.last; frame += seen.step) {
    if (frame < 0) continue;
    const x = xOf(grid.origin + frame * grid.samplesPerFrame, view, width);
    context.fillText(String(frame), x + 4, numbers.top + numbers.height / 2);
  }
}

function paintWave({ context, layout, view, palette, peaks }: DeskFrame): number {
  const { wave, width } = layout;
  const middle = wave.top + wave.height / 2;
  context.fillStyle = palette.ink;
  context.globalAlpha = palette.gridStrength;
  context.fillRect(0, Math.round(middle), width, 1);
  context.globalAlpha = 1;
  if (peaks === null || peaks.lows.length === 0) return 1;
  const { lows, highs, start, end } = peaks;
  const perColumn = (end - start) / lows.length;
  const first = Math.max(0, Math.floor((view.start - start) / perColumn) - 1);
  const last = Math.min(lows.length - 1, Math.ceil((view.end - start) / perColumn) + 1);
  let loudest = 0;
  for (let column = first; column <= last; column += 1) {
    loudest = Math.max(loudest, -(lows[column] as number), highs[column] as number);
  }
  const gain = loudest > 0 ? Math.min(4000, Math.max(1, 0.92 / loudest)) : 1;
  const scale = (gain * wave.height) / 2;
  const pixels = (perColumn / (view.end - view.start)) * width;
  if (pixels >= 1.5) {
    // Samples apart: a line through them, and a dot on each where there is room.
    context.strokeStyle = palette.ink;
    context.lineWidth = 1.5;
    context.beginPath();
    for (let column = first; column <= last; column += 1) {
      const x = xOf(start + column * perColumn, view, width);
      const low = middle - (lows[column] as number) * scale;
      const high = middle - (highs[column] as number) * scale;
      context.lineTo(x, low);
      if (high !== low) context.lineTo(x, high);
    }
    context.stroke();
    if (pixels >= 6) {
      for (let column = first; column <= last; column += 1) {
        const x = xOf(start + column * perColumn, view, width);
        context.fillRect(x - 2, middle - (highs[column] as number) * scale - 2, 4, 4);
      }
    }
    return gain;
  }
  context.globalAlpha = 0.9;
  const wide = Math.max(1, pixels);
  for (let column = first; column <= last; column += 1) {
    const x = xOf(start + column * perColumn, view, width);
    const top = middle - (highs[column] as number) * scale;
    const bottom = middle - (lows[column] as number) * scale;
    context.fillRect(x, top, wide, Math.max(1, bottom - top));
  }
  context.globalAlpha = 1;
  return gain;
}

/** A triangle for each clap, with its number in the report; hollow for a sound that was refused. */
function paintClaps({ context, layout, view, palette, claps }: DeskFrame): void {
  const { wave, width } = layout;
  context.textAlign = 'left';
  for (const { sample, isClap, number } of claps) {
    const x = xOf(toNumber(sample), view, width);
    if (x < -20 || x > width + 20) continue;
    context.beginPath();
    context.moveTo(x - 6, wave.top);
    context.lineTo(x + 6, wave.top);
    context.lineTo(x, wave.top + 10);
    context.closePath();
    context.lineWidth = 1.5;
    context.strokeStyle = isClap ? palette.ink : palette.quiet;
    context.fillStyle = palette.ink;
    if (isClap) context.fill();
    else context.stroke();
    if (isClap) haloText(context, number === null ? 'clap' : `clap ${number}`, x + 9, wave.top + 7, palette);
  }
}

function paintEdge({ context, layout, view, palette, edge, edgeDoubt }: DeskFrame): void {
  if (edge === null) return;
  const { wave, numbers, width } = layout;
  const x = xOf(toNumber(edge), view, width);
  const doubt = (edgeDoubt / (view.end - view.start)) * width;
  context.fillStyle = palette.focus;
  if (doubt >= 1) {
    context.globalAlpha = palette.bandStrength * 2.5;
    context.fillRect(x - doubt, wave.top, 2 * doubt, wave.height);
    context.globalAlpha = 1;
  }
  context.fillRect(Math.round(x) - 1, wave.top, 2, wave.height + numbers.height);
  context.textAlign = 'left';
  haloText(context, 'edge', x + 6, wave.top + 24, palette);
}

function paintRuler({ context, layout, view, palette, sampleRate }: DeskFrame): void {
  const { ruler, width } = layout;
  const step = rulerStep(view, sampleRate, width);
  context.fillStyle = palette.quiet;
  context.textAlign = 'left';
  const places = Math.max(0, Math.ceil(-Math.log10(step) - 1e-9));
  for (let mark = Math.ceil(view.start / sampleRate / step); mark * step * sampleRate <= view.end; mark += 1) {
    const x = xOf(mark * step * sampleRate, view, width);
    context.globalAlpha = palette.gridStrength * 2;
    context.fillRect(x, ruler.top + 4, 1, ruler.height - 4);
    context.globalAlpha = 1;
    if (mark >= 0) context.fillText(`${(mark * step).toFixed(places)} s`, x + 4, ruler.top + ruler.height / 2);
  }
}

function paintFrames(frame: DeskFrame): void {
  const { context, layout, view, palette, grid, seen, pictureOf, aspect, frameCount } = frame;
  if (grid === null || seen === null || pictureOf === null) return;
  const { frames, width } = layout;
  const cell = seen.pictureStep * seen.pixelsPerFrame;
  const start = Math.floor(Math.max(0, seen.first) / seen.pictureStep) * seen.pictureStep;
  const end = frameCount === null ? seen.last : Math.min(seen.last, frameCount - 1);
  const pictureWidth = Math.min(cell - 2, (frames.height - 4) * aspect);
  const pictureHeight = pictureWidth / aspect;
  for (let at = start; at <= end; at += seen.pictureStep) {
    const left = xOf(grid.origin + at * grid.samplesPerFrame, view, width);
    // A frame that begins left of the canvas is shown at its edge while it lasts.
    const x = Math.min(Math.max(left + 1, 1), Math.max(left + 1, left + cell - pictureWidth - 1));
    const picture = pictureOf(at);
    if (picture instanceof HTMLCanvasElement) context.drawImage(picture, x, frames.top + 2, pictureWidth, pictureHeight);
    else {
      context.globalAlpha = palette.bandStrength;
      context.fillStyle = palette.quiet;
      context.fillRect(x, frames.top + 2, pictureWidth, pictureHeight);
      context.globalAlpha = 1;
      if (picture === null && pictureWidth > 60) {
        context.fillStyle = palette.quiet;
        context.textAlign = 'left';
        context.fillText('no frame', x + 4, frames.top + 14);
      }
    }
  }
}

function paintPicked({ context, layout, view, palette, grid, seen, picked, isGuess, pictureOf, aspect }: DeskFrame): void {
  if (grid === null || seen === null || picked === null || isGuess) return;
  const { frames, numbers, width } = layout;
  const left = xOf(grid.origin + picked * grid.samplesPerFrame, view, width);
  const cell = Math.max(3, seen.pixelsPerFrame);
  const isPicture = pictureOf !== null && seen.pictureStep === 1;
  const wide = isPicture ? Math.min(cell, (frames.height - 4) * aspect + 2) : cell;
  const high = isPicture ? Math.min(frames.height - 2, (wide - 2) / aspect + 4) : frames.height - 2;
  context.strokeStyle = palette.focus;
  context.lineWidth = 3;
  context.strokeRect(left + 1.5, frames.top + 1.5, Math.max(1, wide - 3), Math.max(6, high - 3));
  if (seen.pixelsPerFrame < 24) return;
  context.textAlign = 'left';
  const words = seen.pixelsPerFrame < 90 ? String(picked) : `${picked} picked`;
  haloText(context, words, left + 4, numbers.top + numbers.height / 2, palette, true);
}

function paintPlayhead({ context, layout, view, palette, playhead }: DeskFrame): void {
  if (playhead === null) return;
  context.fillStyle = palette.error;
  context.fillRect(Math.round(xOf(playhead, view, layout.width)) - 1, 0, 2, layout.height);
}

/** The whole recording, the claps in it, and what of it is seen below. */
export function paintOverview(frame: {
  readonly context: CanvasRenderingContext2D;
  readonly width: number;
  readonly height: number;
  readonly palette: Palette;
  readonly peaks: PagePeaks | null;
  readonly sampleCount: number;
  readonly view: DeskView;
  readonly claps: readonly ClapItem[];
  readonly edge: Rational | null;
}): void {
  const { context, width, height, palette, peaks, sampleCount, view, claps, edge } = frame;
  const whole: DeskView = { start: 0, end: sampleCount };
  context.fillStyle = palette.paper;
  context.fillRect(0, 0, width, height);
  const from = xOf(view.start, whole, width);
  const to = Math.max(from + 3, xOf(view.end, whole, width));
  context.fillStyle = palette.information;
  context.globalAlpha = palette.bandStrength * 2;
  context.fillRect(from, 0, to - from, height);
  context.globalAlpha = 1;
  if (peaks !== null && peaks.lows.length > 0) {
    let loudest = 0.001;
    for (const high of peaks.highs) loudest = Math.max(loudest, high);
    for (const low of peaks.lows) loudest = Math.max(loudest, -low);
    const scale = (0.45 * height) / loudest;
    const wide = Math.max(1, width / peaks.lows.length);
    context.fillStyle = palette.ink;
    context.globalAlpha = 0.75;
    for (let column = 0; column < peaks.lows.length; column += 1) {
      const top = height / 2 - (peaks.highs[column] as number) * scale;
      const bottom = height / 2 - (peaks.lows[column] as number) * scale;
      context.fillRect((column * width) / peaks.lows.length, top, wide, Math.max(1, bottom - top));
    }
    context.globalAlpha = 1;
  }
  context.fillStyle = palette.ink;
  for (const { sample, isClap } of claps) {
    if (!isClap) continue;
    const x = xOf(toNumber(sample), whole, width);
    context.beginPath();
    context.moveTo(x - 5, 0);
    context.lineTo(x + 5, 0);
    context.lineTo(x, 8);
    context.fill();
  }
  if (edge !== null) {
    context.fillStyle = palette.focus;
    context.fillRect(Math.round(xOf(toNumber(edge), whole, width)) - 1, 0, 2, height);
  }
  context.strokeStyle = palette.ink;
  context.lineWidth = 1;
  context.strokeRect(from + 0.5, 0.5, Math.max(2, to - from - 1), height - 1);
}
