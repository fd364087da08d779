/**
 * The chart as a file: well-formed SVG that stands alone, shows what the view shows, and trusts no name.
 *
 * Well-formedness is checked by libxml2 (xmllint-wasm). SVG 1.1 and XML 1.0 are the published sources; that colours follow the reader
 * is CSS Color 4, 'System Colors'.
 */

import { describe, expect, it } from 'vitest';
import { validateXML } from 'xmllint-wasm';
import { chartMarks } from '../../../server/src/core/report/lagChart/chartMarks.ts';
import { fittedView } from '../../../server/src/core/report/lagChart/chartView.ts';
import { renderLagChart } from '../../../server/src/core/report/lagChart/renderLagChart.ts';
import type { LagChart } from '../../../server/src/core/views/lagChartData.ts';
import { chartOf, longChart, sampleChart } from './charts.ts';

function pictureOf(chart: LagChart, more: Partial<Parameters<typeof renderLagChart>[0]> = {}): string {
  return renderLagChart({ chart, view: null, shown: null, filterWords: '', palette: null, width: 1200, height: 560, ...more });
}

async function complaintsOf(svg: string): Promise<readonly string[]> {
  // Any schema will do: what is asked is whether libxml2 can read it.
  const schema =
    '<xs:schema xmlns:xs="http://www.w3.org/2001/XMLSchema" targetNamespace="http://www.w3.org/2000/svg"><xs:element name="svg"><xs:complexType><xs:sequence><xs:any minOccurs="0" maxOccurs="unbounded" processContents="skip"/></xs:sequence><xs:anyAttribute processContents="skip"/></xs:complexType></xs:element></xs:schema>';
  const { errors } = await validateXML({ xml: { fileName: 'chart.svg', contents: svg }, schema });
  return errors.map(({ message }) => message);
}

describe('the file', () => {
  it('is well-formed, and asks for nothing from outside', async () => {
    const svg = pictureOf(sampleChart());
    expect(await complaintsOf(svg)).toEqual([]);
    expect(svg.replace('http://www.w3.org/2000/svg', '')).not.toMatch(/https?:|<script|<image|<foreignObject|@import|url\(/);
  });

  it('is the same each time', () => {
    expect(pictureOf(sampleChart())).toBe(pictureOf(sampleChart()));
  });

  it('carries every number of every mark in words', () => {
    const chart = sampleChart();
    const svg = pictureOf(chart);
    for (const { words, at } of chart.comparisons) expect(svg).toContain(`${words}, ${at}.`);
    expect(svg.match(/<g class="tone-(?:error|warning|information|accepted|plain)"><title>/g)).toHaveLength(18);
  });

  it('tells verdicts by shape and word, and fixes no colour but black on white for programs without style', () => {
    const svg = pictureOf(sampleChart());
    for (const word of ['>in<', '>leads<', '>lags<', '>drifts<']) expect(svg).toContain(word);
    expect(svg).not.toMatch(/#[0-9a-f]{3,8}\b|rgba?\(|hsl/i);
  });

  it('takes the editor’s colours along, and nothing else with them', async () => {
    const palette = {
      paper: 'rgb(31, 31, 31)',
      ink: '#cccccc',
      error: 'red</style><script>',
      warning: 'rgb(1, 2, 3)',
      information: 'blue',
    };
    const svg = pictureOf(sampleChart(), { palette });
    expect(svg).toContain('--paper: rgb(31, 31, 31)');
    expect(svg).not.toContain('<script');
    expect(await complaintsOf(svg)).toEqual([]);
  });

  it('writes names as text, whatever is in them', async () => {
    const chart = chartOf([{ start: 0, end: 10, head: -80 }]);
    const clips = chart.clips.map((clip) => ({ ...clip, name: '<b>&"\u0007\u202e\ufffe</b>' }));
    const svg = pictureOf({ ...chart, name: ']]><x>', clips });
    expect(svg).not.toMatch(/<b>|<x>/);
    expect(await complaintsOf(svg)).toEqual([]);
  });
});

describe('what it shows', () => {
  it('is what the filters let through, and says so', () => {
    const chart = sampleChart();
    const shown = chart.comparisons.map(({ verdict }) => verdict === 'leads');
    const svg = pictureOf(chart, { shown, filterWords: 'Shown: 3 of 18 comparisons; only leads.' });
    expect(svg.match(/<g class="tone-\w+"><title>/g)).toHaveLength(3);
    expect(svg).toContain('Shown: 3 of 18 comparisons; only leads.');
  });

  it('is the part of the record that the view shows', () => {
    const chart = sampleChart();
    const marks = chartMarks(chart);
    const view = { ...fittedView(marks, () => true), recordStart: 9, recordEnd: 21 };
    expect(pictureOf(chart, { view })).not.toContain('<title>race, wide (deck)');
  });

  it('is the reason where there is nothing to draw', async () => {
    const svg = pictureOf({ ...chartOf([]), empty: 'There is no alignment report.' });
    expect(svg).toContain('There is no alignment report.');
    expect(await complaintsOf(svg)).toEqual([]);
  });

  it('names a whole band where recordings have different tolerances', () => {
    const chart = chartOf([
      { start: 0, end: 1, head: 0 },
      { start: 1, end: 2, head: 0, recording: 'deck-02' },
    ]);
    const pairs = chart.pairs.map((pair, at) => (at === 0 ? pair : { ...pair, lag: '1/10', limits: 'Allowed: more.' }));
    const svg = pictureOf({ ...chart, pairs });
    expect(svg).toContain('differs by recording');
    expect(svg.match(/class="band"/g)).toHaveLength(2);
  });

  it('stays one picture with ten thousand marks', async () => {
    const svg = pictureOf(longChart(10_000));
    expect(svg.match(/<g class="tone-/g)?.length).toBeGreaterThanOrEqual(10_000);
    expect(svg.length).toBeLessThan(12_000_000);
  });
});
