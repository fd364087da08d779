/**
 * One match as a picture of its own: what was measured, as an engineer would want to see it before signing.
 *
 * Standalone SVG 1.1 with a style of its own; it needs nothing from outside and runs no script.
 */

import { wrapText } from '../wrapText.ts';
import { edgePanel, framesPanel, type InstantData } from './clapPanels.ts';
import { type CorrelationData, correlationPanel } from './correlationPanel.ts';
import { type DriftData, driftPanel } from './driftPanel.ts';
import { text } from './panel.ts';
import { PLOT_STYLE } from './plotStyle.ts';
import { element, textOf } from './svgText.ts';

export interface MatchPlotData {
  /** 'CAM_A_0007.mov with DECK_0012.wav'. */
  readonly title: string;
  /** What the report says of it, in sentences. */
  readonly sentences: readonly string[];
  readonly instant: InstantData;
  /** Milliseconds to either side in the close-up. */
  readonly closeReach: number;
  readonly correlation: CorrelationData | null;
  readonly drift: DriftData | null;
}

/** Stands in the first line of every plot, so that a plot can be told from a drawing somebody made. */
export const PLOT_SIGNATURE = '<!-- Drawn by afterclap measure. -->';

const WIDTH = 980;
const LINE = 18;

export function renderMatchPlot(data: MatchPlotData): string {
  const lines = data.sentences.flatMap((sentence) => wrapText(sentence, 130));
  const headHeight = 44 + LINE * lines.length;
  const rows: string[] = [];
  let top = headHeight;
  const isCloseWide = data.correlation === null;
  rows.push(framesPanel({ left: 0, top, width: WIDTH, height: 300 }, data.instant));
  top += 310;
  rows.push(edgePanel({ left: 0, top, width: isCloseWide ? WIDTH : WIDTH / 2, height: 240 }, data.instant, data.closeReach));
  if (data.correlation !== null) {
    rows.push(correlationPanel({ left: WIDTH / 2, top, width: WIDTH / 2, height: 240 }, data.correlation));
  }
  top += 250;
  if (data.drift !== null) {
    rows.push(driftPanel({ left: 0, top, width: WIDTH, height: 240 }, data.drift));
    top += 250;
  }
  const content = [
    element('title', { id: 'title' }, textOf(data.title)),
    element('desc', { id: 'description' }, textOf(data.sentences.join(' ') || data.title)),
    `<style>${PLOT_STYLE}</style>`,
    element('rect', { class: 'paper', x: 0, y: 0, width: WIDTH, height: top, fill: 'white' }),
    text(12, 28, data.title, { class: 'heading' }),
    ...lines.map((line, index) => text(12, 50 + LINE * index, line)),
    ...rows,
  ];
  const opening = `<svg xmlns="http://www.w3.org/2000/svg" class="afterclap" viewBox="0 0 ${WIDTH} ${top}" width="${WIDTH}" height="${top}" role="img" aria-labelledby="title description">`;
  return `${PLOT_SIGNATURE}\n${opening}\n${content.join('\n')}\n</svg>\n`;
}
