/**
 * The shape of a verdict as a small picture beside its word.
 */

import { DOT_RADIUS, MARK_CORNERS } from '../../../../server/src/core/report/lagChart/markShapes.ts';
import type { ChartComparison } from '../../../../server/src/core/views/lagChartData.ts';
import { setAttributes } from './elements.ts';

const SVG = 'http://www.w3.org/2000/svg';

export function markIcon(verdict: ChartComparison['verdict'], tone = 'plain'): SVGElement {
  const icon = document.createElementNS(SVG, 'svg');
  setAttributes(icon, { viewBox: '-0.8 -0.8 1.6 1.6', class: `mark-icon tone-${tone}`, 'aria-hidden': 'true' });
  const corners = MARK_CORNERS[verdict];
  const shape = document.createElementNS(SVG, corners.length === 0 ? 'circle' : 'path');
  setAttributes(
    shape,
    corners.length === 0
      ? { r: DOT_RADIUS * 1.2 }
      : { d: `${corners.map(([x, y], at) => `${at === 0 ? 'M' : 'L'}${x},${y}`).join(' ')} Z` },
  );
  icon.append(shape);
  return icon;
}
