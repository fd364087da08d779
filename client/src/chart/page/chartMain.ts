/**
 * The page of the lag chart: what comes in changes the state, and each state is shown once a frame.
 *
 * It runs in a sandbox without network or Node, on the desktop as in a browser, and knows the editor only by its messages.
 */

import './chart.css';
import { type ChartView, panned, showing, zoomed } from '../../../../server/src/core/report/lagChart/chartView.ts';
import { markWords, renderLagChart } from '../../../../server/src/core/report/lagChart/renderLagChart.ts';
import { KEY_LIST, type KeyAction, keyAction } from './chartKeys.ts';
import { followPointer } from './chartPointer.ts';
import { createChartSurface } from './chartSurface.ts';
import { make, setAttributes, setText } from './elements.ts';
import { createEmptyState } from './emptyState.ts';
import { createFilterBar } from './filterBar.ts';
import { type Filters, filterWords, NO_FILTERS } from './filters.ts';
import { hitTest } from './hitTest.ts';
import { createHost } from './host.ts';
import { across, along, alongOut, firstOf, lastOf } from './neighbours.ts';
import { type Charted, EMPTY_STATE, type PageState, viewOf, withChart, withFilters } from './pageState.ts';
import { createReadout } from './readout.ts';
import { createTable, ROWS_PER_PAGE } from './table.ts';
import { createToolbar } from './toolbar.ts';
import { type Action, viewAfter } from './viewActions.ts';
import { createViewMotion } from './viewMotion.ts';

const host = createHost();
const memory = host.memory();
const uri = document.body.dataset['uri'] ?? memory?.uri ?? '';

let state: PageState = {
  ...EMPTY_STATE,
  view: memory?.view ?? null,
  isTableOpen: memory?.isTableOpen ?? false,
  filters: {
    verdicts: NO_FILTERS.verdicts.filter((verdict) => memory?.verdicts?.includes(verdict) ?? true),
    recording: memory?.recording ?? null,
    picture: memory?.picture ?? null,
  },
};
let isFrameDue = false;
const motion = createViewMotion();

const update = (change: Partial<PageState>): void => {
  state = { ...state, ...change };
  requestFrame();
};
const requestFrame = (): void => {
  if (isFrameDue) return;
  isFrameDue = true;
  requestAnimationFrame(showState);
};

const surface = createChartSurface(requestFrame);
const filterBar = createFilterBar((change: (filters: Filters) => Filters) => {
  state = withFilters(state, change(state.filters));
  requestFrame();
});
const toolbar = createToolbar(act);
const readout = createReadout();
const table = createTable({
  onReveal: (index, clip) => {
    choose(index, false);
    reveal(clip);
  },
  onPage: (tablePage) => update({ tablePage }),
});
const empty = createEmptyState(
  () => {
    state = withFilters(state, NO_FILTERS);
    requestFrame();
  },
  () => host.send({ kind: 'open' }),
);
const READING =
  'A dot is in, a triangle down leads, a triangle up lags, a diamond drifts. Colours are those of the list of problems; a hollow mark was accepted, one in the colour of the text is not reported. Whiskers show what the uncertainty of the report leaves open. What lies beyond the view stands at its upper or lower edge, with its number.';
const hint = make('p', { class: 'hint', id: 'hint' });
const keys = make(
  'details',
  {},
  make('summary', {}, 'How to read it, keys and wheel'),
  make('p', {}, READING),
  make('dl', { id: 'keys' }, ...KEY_LIST.flatMap(([key, what]) => [make('dt', {}, key), make('dd', {}, what)])),
  make(
    'p',
    {},
    'Wheel: record time. With Alt, or over the numbers at the left: lag. With Shift: along the record. Drag to move, click a mark to show its text.',
  ),
);
surface.element.setAttribute('aria-describedby', 'hint keys');
document.body.append(
  make(
    'main',
    { class: 'page' },
    filterBar.element,
    toolbar.element,
    surface.element,
    empty.element,
    readout.element,
    make('div', { class: 'foot' }, keys, hint),
    table.element,
  ),
);

function showState(now: number): void {
  isFrameDue = false;
  const { charted } = state;
  const isEmpty = empty.show(state);
  surface.element.hidden = isEmpty;
  filterBar.show(charted?.chart ?? null, state.filters);
  toolbar.show({ hasChart: charted !== null && !isEmpty, isTableOpen: state.isTableOpen });
  readout.show(state, restingWords(charted));
  table.show(state);
  const target = viewOf(state);
  if (charted !== null && !isEmpty && target !== null) {
    setAttributes(surface.element, { 'aria-label': `Lag chart of ${charted.chart.name}. ${charted.chart.summary}` });
    const painted = surface.paint(state, charted, motion.at(target, now));
    if (painted !== null) setText(hint, hintOf(painted, charted));
    if (motion.isMoving(now)) requestFrame();
  } else setText(hint, '');
  host.remember({
    uri,
    view: state.view,
    verdicts: state.filters.verdicts,
    recording: state.filters.recording,
    picture: state.filters.picture,
    isTableOpen: state.isTableOpen,
  });
}

function restingWords(charted: Charted | null): string {
  if (charted === null) return '';
  const limits = new Set(charted.chart.pairs.map((pair) => pair.limits));
  const [only] = limits;
  const band = limits.size === 1 && only !== undefined ? only : 'What is allowed differs by recording; the band shows both ends.';
  return `${band} Point at a mark, or move to one by keys, to read its numbers.`;
}

function hintOf(painted: { hasHiddenNames: boolean; hasHiddenWhiskers: boolean }, { chart, shownCount }: Charted): string {
  const hidden = [painted.hasHiddenNames ? 'names' : '', painted.hasHiddenWhiskers ? 'whiskers' : ''].filter(
    (word) => word !== '',
  );
  const room = hidden.length === 0 ? '' : `Some ${hidden.join(' and ')} have no room: zoom in to see them.`;
  return [filterWords(state.filters, shownCount, chart.comparisons.length), room].filter((words) => words !== '').join(' ');
}

/** Another view; `isMoved` lets the eye follow. Null fits. */
function look(view: ChartView | null, isMoved: boolean): void {
  const before = viewOf(state);
  if (isMoved && before !== null) motion.startFrom(motion.at(before, performance.now()), performance.now());
  update({ view });
}

function act(action: Action): void {
  const { charted } = state;
  const view = viewOf(state);
  if (charted === null || view === null) return;
  if (action === 'table') update({ isTableOpen: !state.isTableOpen });
  else if (action === 'export') exportPicture(charted, view);
  else look(viewAfter(action, charted, view, state.chosen), true);
}

function choose(index: number | null, isSaid: boolean): void {
  const { charted } = state;
  const view = viewOf(state);
  if (charted === null || view === null) return;
  const seen = index === null ? view : showing(view, charted.marks, index);
  const isMoved = seen !== view;
  update({ chosen: index, hovered: null, ...(index === null ? {} : { tablePage: pageOf(charted, index) }) });
  if (isMoved) look(seen, true);
  if (isSaid && index !== null) readout.announce(markWords(charted.chart, index));
}

/** The page of the table on which a comparison stands. */
function pageOf({ shown }: Charted, index: number): number {
  let before = 0;
  for (let at = 0; at < index; at += 1) before += shown[at] as number;
  return Math.floor(before / ROWS_PER_PAGE);
}

function move(to: Extract<KeyAction, { kind: 'move' }>['to']): void {
  const { charted, chosen } = state;
  if (charted === null) return;
  const { marks, isShown } = charted;
  const found = {
    next: () => along(marks, isShown, chosen, 1),
    previous: () => along(marks, isShown, chosen, -1),
    'next-out': () => alongOut(marks, isShown, chosen, 1),
    'previous-out': () => alongOut(marks, isShown, chosen, -1),
    first: () => firstOf(marks, isShown),
    last: () => lastOf(marks, isShown),
    up: () => across(marks, isShown, chosen, 'up'),
    down: () => across(marks, isShown, chosen, 'down'),
  }[to]();
  if (found === null) readout.announce('There is none further on.');
  else choose(found, true);
}

function reveal(clip: number | undefined): void {
  if (state.charted === null || clip === undefined) return;
  host.send({ kind: 'reveal', clip, version: state.charted.version });
}

function exportPicture({ chart, shown, shownCount }: Charted, view: ChartView): void {
  const { width, height } = surface.size();
  const svg = renderLagChart({
    chart,
    view,
    shown: Array.from(shown, (one) => one === 1),
    filterWords: filterWords(state.filters, shownCount, chart.comparisons.length),
    palette: surface.palette(),
    width: Math.max(width, 640),
    height: Math.max(height, 360),
  });
  host.send({ kind: 'export', svg });
}

surface.element.addEventListener('keydown', (event) => {
  const action = keyAction(event);
  if (action === null) return;
  event.preventDefault();
  if (action.kind === 'action') act(action.action);
  else if (action.kind === 'move') move(action.to);
  else if (action.kind === 'leave') choose(null, false);
  else reveal(state.charted?.chart.comparisons[state.chosen ?? -1]?.[action.role]);
});

/** What lies at a place of the chart; null where nothing does. */
function hitAt(x: number, y: number): number | null {
  const view = viewOf(state);
  return state.charted === null || view === null ? null : hitTest(surface.hitRequest(state.charted, view), x, y);
}

followPointer(surface.element, {
  axisWidth: () => (state.charted === null ? 0 : surface.layout(state.charted).plot.left),
  onHover: (x, y) => {
    const hovered = hitAt(x, y);
    surface.element.classList.toggle('over-mark', hovered !== null);
    if (hovered !== state.hovered) update({ hovered });
  },
  onLeave: () => {
    if (state.hovered !== null) update({ hovered: null });
  },
  onClick: (x, y, isWithShift) => {
    const index = hitAt(x, y);
    choose(index, false);
    const comparison = state.charted?.chart.comparisons[index ?? -1];
    reveal(isWithShift ? comparison?.picture : comparison?.sound);
  },
  onDrag: (dx, dy) => {
    const view = viewOf(state);
    if (state.charted === null || view === null) return;
    const { plot } = surface.layout(state.charted);
    look(panned(view, -dx / plot.width, dy / plot.height, state.charted.marks), false);
  },
  onZoom: (record, lag, x, y) => {
    const view = viewOf(state);
    if (state.charted === null || view === null) return;
    const { plot } = surface.layout(state.charted);
    const across = Math.min(Math.max((x - plot.left) / plot.width, 0), 1);
    const up = 1 - Math.min(Math.max((y - plot.top) / plot.height, 0), 1);
    look(zoomed(view, { record, lag, across, up }, state.charted.marks), false);
  },
  onScroll: (dx) => {
    const view = viewOf(state);
    if (state.charted === null || view === null) return;
    look(panned(view, dx / surface.layout(state.charted).plot.width, 0, state.charted.marks), false);
  },
});

host.onMessage((message) => {
  if (message.kind === 'chart') state = withChart(state, message.chart, message.version);
  else if (message.kind === 'caret') state = { ...state, caret: new Set(message.clips) };
  else state = { ...state, notice: { words: message.words, canOpen: message.canOpen } };
  requestFrame();
});
requestFrame();
host.send({ kind: 'ready' });
