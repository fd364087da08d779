/**
 * A row for each track with its compared clips, under the chart: where in the cut one is.
 */

import { shortened } from '../../../../server/src/core/report/lagChart/chartLabels.ts';
import { TONES, VERDICTS } from '../../../../server/src/core/report/lagChart/chartMarks.ts';
import { DOT_RADIUS, MARK_CORNERS } from '../../../../server/src/core/report/lagChart/markShapes.ts';
import type { Frame } from './frame.ts';
import { toneColour } from './paintMarks.ts';

const SHAPE = 9;

export function paintRows(frame: Frame): void {
  const { context, charted, layout, palette } = frame;
  context.textBaseline = 'middle';
  for (const { track, box } of layout.rows) {
    const middle = box.top + box.height / 2;
    context.globalAlpha = 1;
    context.fillStyle = palette.ink;
    context.textAlign = 'right';
    context.fillText(shortened(charted.chart.tracks[track]?.name ?? '', 11), box.left - 8, middle);
    paintClips(frame, track, box.top, box.height);
  }
  const last = layout.rows.at(-1)?.box;
  if (layout.hiddenTrackCount > 0 && last !== undefined) {
    const words = `${layout.hiddenTrackCount} more ${layout.hiddenTrackCount === 1 ? 'track is' : 'tracks are'} not drawn; make the chart taller`;
    context.textAlign = 'left';
    context.fillStyle = palette.quiet;
    context.fillText(words, last.left, last.top + last.height + 9);
  }
}

function paintClips(frame: Frame, track: number, top: number, height: number): void {
  const { context, charted, layout, scale, palette, caretClips } = frame;
  const { marks } = charted;
  const shownClips = clipsShown(frame);
  const left = layout.plot.left;
  const right = left + layout.plot.width;
  const wide: { readonly clip: number; readonly from: number; readonly to: number }[] = [];
  const edge = Math.min(1, palette.gridStrength * 1.8);
  // Clips too narrow to have an outline are drawn as one piece for as long as they follow each other.
  let run: { from: number; to: number } | null = null;
  const endRun = (): void => {
    if (run === null) return;
    context.globalAlpha = Math.min(1, edge + 0.08);
    context.fillRect(run.from, top, Math.max(run.to - run.from, 1), height);
    run = null;
  };
  context.fillStyle = palette.ink;
  context.strokeStyle = palette.ink;
  context.lineWidth = 1;
  for (let clip = 0; clip < marks.clipTrack.length; clip += 1) {
    if (marks.clipTrack[clip] !== track || shownClips[clip] !== 1) continue;
    const from = Math.max(scale.x(marks.clipStart[clip] as number), left);
    const to = Math.min(scale.x(marks.clipEnd[clip] as number), right);
    if (to <= from) continue;
    if (to - from < NARROW) {
      if (run !== null && from <= run.to + 1 && from >= run.from) run.to = Math.max(run.to, to);
      else {
        endRun();
        run = { from, to };
      }
      continue;
    }
    context.globalAlpha = 0.08;
    context.fillRect(from, top, to - from, height);
    context.globalAlpha = edge;
    context.strokeRect(from + 0.5, top + 0.5, to - from - 1, height - 1);
    if (to - from > 14) wide.push({ clip, from, to });
  }
  endRun();
  context.globalAlpha = 1;
  for (const { clip, from, to } of wide) paintClip(frame, clip, from, to, top + height / 2);
  context.strokeStyle = palette.ink;
  context.lineWidth = 2;
  for (const clip of caretClips) {
    if (marks.clipTrack[clip] !== track) continue;
    const from = Math.max(scale.x(marks.clipStart[clip] as number), left);
    const to = Math.min(scale.x(marks.clipEnd[clip] as number), right);
    if (to > from) context.strokeRect(from, top, Math.max(to - from, 3), height);
  }
}

/** Pixels; a narrower clip would be nothing but outline. */
const NARROW = 3;

/** The name where it fits, behind the shape of the gravest verdict of a sound that is out. */
function paintClip({ context, charted, palette, widthOf }: Frame, clip: number, from: number, to: number, middle: number): void {
  const { marks, chart } = charted;
  let x = from + 5;
  const gravest = marks.clipGravest[clip] as number;
  if (gravest >= 0) {
    paintShape(
      context,
      marks.verdict[gravest] as number,
      x + 5,
      middle,
      toneColour(TONES[marks.tone[gravest] as number] ?? 'plain', palette),
    );
    x += 14;
  }
  const room = to - x - 4;
  if (room < 22) return;
  const name = chart.clips[clip]?.name ?? '';
  const text = widthOf(name) <= room ? name : shortened(name, Math.floor((room / widthOf(name)) * [...name].length) - 1);
  if (text.length < 3) return;
  context.textAlign = 'left';
  context.fillStyle = palette.ink;
  context.fillText(text, x, middle + 0.5);
}

function paintShape(context: CanvasRenderingContext2D, verdict: number, x: number, y: number, colour: string): void {
  const corners = MARK_CORNERS[VERDICTS[verdict] ?? 'in'];
  context.fillStyle = colour;
  context.beginPath();
  if (corners.length === 0) context.arc(x, y, DOT_RADIUS * SHAPE, 0, 2 * Math.PI);
  for (const [at, [dx, dy]] of corners.entries()) {
    if (at === 0) context.moveTo(x + dx * SHAPE, y + dy * SHAPE);
    else context.lineTo(x + dx * SHAPE, y + dy * SHAPE);
  }
  context.fill();
}

const known = new WeakMap<Uint8Array, Uint8Array>();

/** 1 for each clip of a comparison that the filters let through; worked out once for each setting of the filters. */
function clipsShown({ charted: { chart, shown } }: Frame): Uint8Array {
  let clips = known.get(shown);
  if (clips === undefined) {
    clips = new Uint8Array(chart.clips.length);
    for (const [index, { picture, sound }] of chart.comparisons.entries()) {
      if (shown[index] === 1) {
        clips[picture] = 1;
        clips[sound] = 1;
      }
    }
    known.set(shown, clips);
  }
  return clips;
}
