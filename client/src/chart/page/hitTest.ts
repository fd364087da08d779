/**
 * Which comparison lies under the pointer.
 */

import type { ChartLayout, ChartScale } from '../../../../server/src/core/report/lagChart/chartLayout.ts';
import type { ChartMarks } from '../../../../server/src/core/report/lagChart/chartMarks.ts';
import { emptyPlace, placeMark } from '../../../../server/src/core/report/lagChart/markPlaces.ts';
import type { LagChart } from '../../../../server/src/core/views/lagChartData.ts';

export interface HitRequest {
  readonly chart: LagChart;
  readonly marks: ChartMarks;
  readonly layout: ChartLayout;
  readonly scale: ChartScale;
  readonly isShown: (index: number) => boolean;
}

/** Pixels from a mark or a line that still count. */
const REACH = 10;

const place = emptyPlace();

/** The nearest mark within reach; on a row, the comparison of the clip there. Null where there is nothing. */
export function hitTest(request: HitRequest, x: number, y: number): number | null {
  const row = request.layout.rows.find(({ box }) => y >= box.top && y <= box.top + box.height);
  return row === undefined ? nearestMark(request, x, y) : comparisonInRow(request, row.track, x);
}

function nearestMark({ marks, layout, scale, isShown }: HitRequest, x: number, y: number): number | null {
  const overY = layout.over.top + layout.over.height / 2;
  const underY = layout.under.top + layout.under.height / 2;
  let nearest: number | null = null;
  let nearestDistance = REACH;
  for (let index = 0; index < marks.count; index += 1) {
    if (!isShown(index)) continue;
    placeMark(marks, index, layout, scale, place);
    if (!place.isInView) continue;
    let distance = Number.POSITIVE_INFINITY;
    if (place.hasLine) {
      // The mark itself is what people aim at; its line counts as a little farther away.
      distance = Math.min(Math.hypot(x - place.x, y - place.y), toLine(x, y) + 2);
    }
    if (place.over !== null) distance = Math.min(distance, Math.hypot(x - place.over, y - overY));
    if (place.under !== null) distance = Math.min(distance, Math.hypot(x - place.under, y - underY));
    const isNearer = distance < nearestDistance - 0.5;
    const isGraver =
      nearest !== null && distance < nearestDistance + 0.5 && (marks.tone[index] as number) > (marks.tone[nearest] as number);
    if (isNearer || isGraver) {
      nearest = index;
      nearestDistance = Math.min(distance, nearestDistance);
    }
  }
  return nearest;
}

function toLine(x: number, y: number): number {
  const { x1, y1, x2, y2 } = place;
  const length = (x2 - x1) ** 2 + (y2 - y1) ** 2;
  const along = length === 0 ? 0 : Math.min(Math.max(((x - x1) * (x2 - x1) + (y - y1) * (y2 - y1)) / length, 0), 1);
  return Math.hypot(x - (x1 + along * (x2 - x1)), y - (y1 + along * (y2 - y1)));
}

function comparisonInRow({ chart, marks, scale, isShown }: HitRequest, track: number, x: number): number | null {
  const at = scale.recordAt(x);
  let found: number | null = null;
  for (const [index, { picture, sound }] of chart.comparisons.entries()) {
    if (!isShown(index) || (marks.start[index] as number) > at || (marks.end[index] as number) < at) continue;
    if (marks.clipTrack[picture] !== track && marks.clipTrack[sound] !== track) continue;
    if (found === null || (marks.tone[index] as number) > (marks.tone[found] as number)) found = index;
  }
  return found;
}
