/**
 * What each button or key that moves the view makes of it. Pure.
 */

import { type ChartView, panned, wholeView, zoomed } from '../../../../server/src/core/report/lagChart/chartView.ts';
import type { Charted } from './pageState.ts';

type ViewAction =
  | 'zoom-in'
  | 'zoom-out'
  | 'zoom-lag-in'
  | 'zoom-lag-out'
  | 'earlier'
  | 'later'
  | 'pan-up'
  | 'pan-down'
  | 'fit'
  | 'whole';

/** What a button or key of the page asks for. */
export type Action = ViewAction | 'table' | 'export';

const ZOOM_STEP = 1.6;
const PAN_STEP = 0.2;

/** The view after the action; null for the fitted one. */
export function viewAfter(action: ViewAction, charted: Charted, view: ChartView, chosen: number | null): ChartView | null {
  const { marks, isShown } = charted;
  const zoom = (record: number, lag: number): ChartView =>
    zoomed(view, { record, lag, ...zoomCentre(charted, view, chosen) }, marks);
  switch (action) {
    case 'zoom-in':
      return zoom(1 / ZOOM_STEP, 1);
    case 'zoom-out':
      return zoom(ZOOM_STEP, 1);
    case 'zoom-lag-in':
      return zoom(1, 1 / ZOOM_STEP);
    case 'zoom-lag-out':
      return zoom(1, ZOOM_STEP);
    case 'earlier':
      return panned(view, -PAN_STEP, 0, marks);
    case 'later':
      return panned(view, PAN_STEP, 0, marks);
    case 'pan-up':
      return panned(view, 0, PAN_STEP, marks);
    case 'pan-down':
      return panned(view, 0, -PAN_STEP, marks);
    case 'fit':
      return null;
    case 'whole':
      return wholeView(marks, isShown);
  }
}

/** Record time around what is chosen, if that is in view; lags around zero, so that the band stays. */
function zoomCentre(
  { marks }: Charted,
  view: ChartView,
  chosen: number | null,
): { readonly across: number; readonly up: number } {
  const middle = chosen === null ? null : ((marks.start[chosen] as number) + (marks.end[chosen] as number)) / 2;
  const across = middle === null ? 0.5 : (middle - view.recordStart) / (view.recordEnd - view.recordStart);
  const up = -view.lagLow / (view.lagHigh - view.lagLow);
  const within = (part: number): number => (part > 0 && part < 1 ? part : 0.5);
  return { across: within(across), up: within(up) };
}
