/**
 * The lag chart as a picture of its own: SVG that needs nothing from outside and runs no script.
 *
 * It shows what the view and the filters show on the screen, says in words how much that is, and carries every number of its
 * marks as the title of the mark, so that a reader who points at one, or listens, gets it exactly.
 */

import type { LagChart } from '../../views/lagChartData.ts';
import { text } from '../plots/panel.ts';
import { coordinate, element, pathThrough, textOf } from '../plots/svgText.ts';
import { wrapText } from '../wrapText.ts';
import { chartLabels, fixedWords, shortened } from './chartLabels.ts';
import { type ChartLayout, type ChartScale, chartLayout, chartScale } from './chartLayout.ts';
import { type ChartMarks, chartMarks, TONES, VERDICTS } from './chartMarks.ts';
import { frameTicks, lagTicks, recordTicks } from './chartTicks.ts';
import { type ChartView, fittedView } from './chartView.ts';
import { type ChartPalette, lagChartStyle } from './lagChartStyle.ts';
import { beyondView, beyondWords, emptyPlace, placeMark } from './markPlaces.ts';
import { DOT_RADIUS, MARK_CORNERS, MARK_SIZE, VERDICT_WORDS } from './markShapes.ts';

export interface LagChartPicture {
  readonly chart: LagChart;
  /** What is seen; null for the whole record, fitted. */
  readonly view: ChartView | null;
  /** Which comparisons are drawn, by index; null for all. */
  readonly shown: readonly boolean[] | null;
  /** What the filters are set to, as a sentence; empty when they let everything through. */
  readonly filterWords: string;
  readonly palette: ChartPalette | null;
  readonly width: number;
  /** Of the chart itself; title and legend come on top. */
  readonly height: number;
}

/** Stands in the first line, so that a chart can be told from a drawing somebody made. */
const LAG_CHART_SIGNATURE = '<!-- A lag chart, drawn by afterclap. -->';

interface Drawing {
  readonly chart: LagChart;
  readonly marks: ChartMarks;
  readonly layout: ChartLayout;
  readonly scale: ChartScale;
  readonly view: ChartView;
  readonly isShown: (index: number) => boolean;
  readonly chosen: readonly number[];
}

const LINE = 17;

export function renderLagChart(picture: LagChartPicture): string {
  const { chart, width, shown } = picture;
  const title = chart.name === '' ? 'Lag chart' : `Lag chart: ${shortened(chart.name, 80)}`;
  const sentences = [chart.empty ?? chart.summary, picture.filterWords].filter((words) => words !== '');
  const lines = [...sentences.flatMap((words) => wrapText(words, Math.floor(width / 7.2))), limitsOf(chart)].filter(
    (line) => line !== '',
  );
  const head = 44 + LINE * lines.length + 36;
  const height = head + (chart.empty === null ? picture.height : 0);
  const content = [
    element('title', { id: 'lag-chart-title' }, textOf(title)),
    element('desc', { id: 'lag-chart-words' }, textOf(sentences.join(' '))),
    `<style>${lagChartStyle(picture.palette)}</style>`,
    element('rect', { class: 'paper', x: 0, y: 0, width, height, fill: 'white' }),
    text(12, 24, title, { class: 'heading' }),
    ...lines.map((line, index) => text(12, 44 + LINE * index, line)),
    chart.empty === null ? legend(12, head - 22) : '',
    chart.empty === null
      ? element('g', { transform: `translate(0 ${coordinate(head)})` }, chartGroup(drawingOf(picture, shown)))
      : '',
  ];
  const opening = `<svg xmlns="http://www.w3.org/2000/svg" class="afterclap lag-chart" viewBox="0 0 ${coordinate(width)} ${coordinate(height)}" width="${coordinate(width)}" height="${coordinate(height)}" role="img" aria-labelledby="lag-chart-title lag-chart-words">`;
  return `${LAG_CHART_SIGNATURE}\n${opening}\n${content.filter((part) => part !== '').join('\n')}\n</svg>\n`;
}

function drawingOf({ chart, view, width, height }: LagChartPicture, shown: readonly boolean[] | null): Drawing {
  const marks = chartMarks(chart);
  const isShown = (index: number): boolean => shown === null || shown[index] === true;
  const seen = view ?? fittedView(marks, isShown);
  const layout = chartLayout(chart, width, height);
  const scale = chartScale(layout, seen);
  const place = emptyPlace();
  const chosen: number[] = [];
  for (let tone = 0; tone < TONES.length; tone += 1) {
    for (let index = 0; index < marks.count; index += 1) {
      if (marks.tone[index] !== tone || !isShown(index)) continue;
      placeMark(marks, index, layout, scale, place);
      if (place.isInView) chosen.push(index);
    }
  }
  return { chart, marks, layout, scale, view: seen, isShown, chosen };
}

function chartGroup(drawing: Drawing): string {
  return [
    band(drawing),
    axes(drawing),
    rows(drawing),
    ...drawing.chosen.map((index) => mark(drawing, index)),
    labels(drawing),
  ].join('\n');
}

/** One sentence where all recordings have one tolerance. */
function limitsOf({ pairs }: LagChart): string {
  const limits = new Set(pairs.map(({ limits: words }) => words));
  const [only] = limits;
  if (only === undefined) return '';
  return limits.size === 1 ? only : 'What is allowed is counted in samples and differs by recording; the band shows both ends.';
}

function legend(x: number, y: number): string {
  const parts: string[] = [];
  let at = x;
  const words = [...VERDICTS.map((verdict) => [verdict, VERDICT_WORDS[verdict]] as const)];
  for (const [verdict, word] of words) {
    parts.push(element('g', { class: 'tone-plain' }, shape(verdict, at + 6, y - 4)), text(at + 18, y, word));
    at += 34 + word.length * 7;
  }
  parts.push(text(at + 6, y, 'hollow: accepted; whiskers: what the report leaves open', { class: 'quiet' }));
  return parts.join('');
}

function band({ marks, layout, scale }: Drawing): string {
  const { plot } = layout;
  const bottom = plot.top + plot.height;
  const clamped = (lag: number): number => Math.min(Math.max(scale.y(lag), plot.top), bottom);
  const box = (low: number, high: number): string => {
    const top = clamped(high);
    return element('rect', {
      class: 'band',
      x: plot.left,
      y: top,
      width: plot.width,
      height: Math.max(0, clamped(low) - top),
      'fill-opacity': '0.15',
    });
  };
  const { inner, outer } = marks.band;
  const edges = [inner.low, inner.high].filter((lag) => scale.y(lag) >= plot.top && scale.y(lag) <= bottom);
  const isSame = inner.low === outer.low && inner.high === outer.high;
  return [
    box(inner.low, inner.high),
    isSame ? '' : box(outer.low, outer.high),
    ...edges.map((lag) =>
      element('line', {
        class: 'band-edge',
        x1: plot.left,
        x2: plot.left + plot.width,
        y1: scale.y(lag),
        y2: scale.y(lag),
        stroke: 'black',
      }),
    ),
  ].join('');
}

function axes({ chart, layout, scale, view, marks, isShown }: Drawing): string {
  const { plot, over, under } = layout;
  const right = plot.left + plot.width;
  const across = (y: number, className: string): string =>
    element('line', { class: className, x1: plot.left, x2: right, y1: y, y2: y, stroke: 'black', 'stroke-opacity': '0.3' });
  const parts = [
    ...lagTicks(view, plot.height).map(({ at, text: words }) => {
      const y = scale.y(at);
      return across(y, at === 0 ? 'zero' : 'grid') + text(plot.left - 8, y + 4, words, { 'text-anchor': 'end' });
    }),
    ...frameTicks(chart, view, plot.height).map(({ at, text: words }) =>
      text(right + 8, scale.y(at) + 4, words, { class: 'quiet' }),
    ),
    ...recordTicks(chart, view, plot.width).map(({ at, text: words }) => {
      const x = scale.x(at);
      return (
        element('line', {
          class: 'grid',
          x1: x,
          x2: x,
          y1: plot.top,
          y2: plot.top + plot.height,
          stroke: 'black',
          'stroke-opacity': '0.2',
        }) +
        element('line', {
          class: 'grid',
          x1: x,
          x2: x,
          y1: under.top + under.height,
          y2: under.top + under.height + 5,
          stroke: 'black',
        }) +
        text(x, layout.recordAxis + 2, words, { 'text-anchor': 'middle' })
      );
    }),
    element('rect', {
      class: 'frame',
      x: plot.left,
      y: plot.top,
      width: plot.width,
      height: plot.height,
      fill: 'none',
      stroke: 'black',
    }),
    ...[over, under].map((box) =>
      element('rect', {
        class: 'edge',
        x: box.left,
        y: box.top,
        width: box.width,
        height: box.height,
        fill: 'none',
        stroke: 'black',
      }),
    ),
    ...fixedWords(layout, scale, marks.band).map(({ text: words, x, y, anchor }) =>
      text(x, y, words, { class: 'quiet over', 'text-anchor': anchor }),
    ),
  ];
  const beyond = beyondView(marks, view, isShown);
  for (const [box, words] of [
    [over, beyondWords(beyond.over, 'above')],
    [under, beyondWords(beyond.under, 'below')],
  ] as const) {
    for (const [line, word] of words.entries()) {
      parts.push(text(box.left - 8, box.top + 11 + 12 * line, word, { 'text-anchor': 'end', style: 'font-size: 11px' }));
    }
  }
  return parts.join('');
}

function rows({ chart, marks, layout, scale, chosen }: Drawing): string {
  const { plot } = layout;
  const right = plot.left + plot.width;
  const clips = new Set(
    chosen.flatMap((index) => [chart.comparisons[index]?.picture ?? -1, chart.comparisons[index]?.sound ?? -1]),
  );
  const parts: string[] = [];
  for (const { track, box } of layout.rows) {
    parts.push(text(box.left - 8, box.top + 14, shortened(chart.tracks[track]?.name ?? '', 11), { 'text-anchor': 'end' }));
    for (const [at, { name }] of chart.clips.entries()) {
      if (marks.clipTrack[at] !== track || !clips.has(at)) continue;
      const from = Math.max(scale.x(marks.clipStart[at] as number), plot.left);
      const to = Math.min(scale.x(marks.clipEnd[at] as number), right);
      if (to - from < 0.5) continue;
      const bar = element(
        'rect',
        { class: 'clip', x: from, y: box.top, width: to - from, height: box.height, fill: 'none', stroke: 'black' },
        element('title', {}, textOf(name)),
      );
      const room = Math.floor((to - from - 10) / 6.4);
      parts.push(bar, room < 4 ? '' : text(from + 5, box.top + 14, shortened(name, room)));
    }
  }
  const last = layout.rows.at(-1)?.box;
  if (layout.hiddenTrackCount > 0 && last !== undefined) {
    const words = `${layout.hiddenTrackCount} more ${layout.hiddenTrackCount === 1 ? 'track is' : 'tracks are'} not drawn`;
    parts.push(text(last.left, last.top + last.height + 14, words, { class: 'quiet' }));
  }
  return parts.join('');
}

const place = emptyPlace();

function mark({ chart, marks, layout, scale }: Drawing, index: number): string {
  placeMark(marks, index, layout, scale, place);
  const verdict = VERDICTS[marks.verdict[index] as number] ?? 'in';
  const tone = TONES[marks.tone[index] as number] ?? 'plain';
  const parts = [element('title', {}, textOf(markWords(chart, index)))];
  if (place.hasLine) {
    parts.push(
      element('line', { class: 'line', x1: place.x1, x2: place.x2, y1: place.y1, y2: place.y2, stroke: 'black' }),
      whisker(),
      shape(verdict, place.x, place.y),
    );
  }
  if (place.over !== null) parts.push(shape(verdict, place.over, layout.over.top + layout.over.height / 2));
  if (place.under !== null) parts.push(shape(verdict, place.under, layout.under.top + layout.under.height / 2));
  return element('g', { class: `tone-${tone}` }, parts.join(''));
}

/** 'door, latch (deck) leads by 41.7 ms, 1 frame, 2002 samples, 01:00:10:00 to 01:00:20:00.' */
export function markWords(chart: LagChart, index: number): string {
  const comparison = chart.comparisons[index];
  if (comparison === undefined) return '';
  const name = chart.clips[comparison.sound]?.name ?? '';
  return [`${name} ${comparison.words}, ${comparison.at}.`, comparison.remarks].filter((words) => words !== '').join(' ');
}

function whisker(): string {
  if (!place.hasWhisker) return '';
  const { x, whiskerTop, whiskerBottom } = place;
  const cap = (y: number): string =>
    pathThrough([
      [x - 3, y],
      [x + 3, y],
    ]);
  const parts = [
    pathThrough([
      [x, whiskerTop],
      [x, whiskerBottom],
    ]),
    place.hasTopCap ? cap(whiskerTop) : '',
    place.hasBottomCap ? cap(whiskerBottom) : '',
  ];
  return element('path', { class: 'whisker', d: parts.filter((part) => part !== '').join(' '), stroke: 'black', fill: 'none' });
}

function shape(verdict: (typeof VERDICTS)[number], x: number, y: number): string {
  const corners = MARK_CORNERS[verdict];
  if (corners.length === 0) return element('circle', { class: 'shape', cx: x, cy: y, r: DOT_RADIUS * MARK_SIZE });
  const points = corners.map(([dx, dy]) => [x + dx * MARK_SIZE, y + dy * MARK_SIZE] as const);
  return element('path', { class: 'shape', d: `${pathThrough(points)} Z` });
}

/** Texts can't be measured here: sans-serif letters take about this much, and a little too much is better than too little. */
const LETTER_WIDTH = 6.9;

function labels({ chart, marks, layout, scale, isShown }: Drawing): string {
  const widthOf = (words: string): number => [...words].length * LETTER_WIDTH;
  const found = chartLabels({ chart, marks, layout, scale, isShown, first: null, widthOf });
  return found.labels.map(({ x, y, text: words }) => text(x, y, words, { class: 'over', 'text-anchor': 'middle' })).join('');
}
