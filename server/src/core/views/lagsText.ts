/**
 * The lag chart as text, for editors that show text and nothing else: a line for each comparison, in the chart's own words and order.
 */

import type { Audit } from '../audit.ts';
import { alignedLines } from '../report/alignedLines.ts';
import { visibleText } from '../report/visibleText.ts';
import type { Comparison } from '../rules/comparison.ts';
import { amountOfTime } from '../text/words.ts';
import { isZero, sign, subtract } from '../time/rational.ts';
import { lagChart } from './lagChart.ts';
import { verdictSummary } from './verdictSummary.ts';

const COLUMNS = ['RECORD TIME', 'SOUND CLIP', 'PICTURE CLIP', 'PICTURE/RECORDING', 'VERDICT', 'LAG', 'DRIFT', 'REMARKS'];

/** `reportReason` says which report is used and why. */
export function lagsText(result: Audit, reportReason: string): string {
  const { name, clips, pairs, comparisons, empty } = lagChart(result, reportReason);
  const nameOf = (clip: number): string => clips[clip]?.name ?? '';
  const rows = comparisons.map(({ at, sound, picture, pair, verdict, words, remarks }, index) => {
    const files = `${pairs[pair]?.picture}/${pairs[pair]?.sound}`;
    return [at, nameOf(sound), nameOf(picture), files, verdict, words, driftWords(result.comparisons[index]), remarks];
  });
  const summary = verdictSummary(result);
  const heading = [name === '' ? summary : `${name}: ${summary}`, ...(empty?.includes(reportReason) ? [] : [reportReason])];
  const table = empty === null ? alignedLines([COLUMNS, ...rows.map((row) => row.map(visibleText))]) : [empty];
  return `${[...heading.map(visibleText), '', ...table].join('\n')}\n`;
}

function driftWords(comparison: Comparison | undefined): string {
  if (comparison === undefined) return '';
  const drift = subtract(comparison.lag.tail, comparison.lag.head);
  return isZero(drift) ? 'none' : `${amountOfTime(drift)} ${sign(drift) < 0 ? 'earlier' : 'later'} at the tail`;
}
