/**
 * The numbers of a lag chart as floats in flat arrays, ready to be drawn many times a second.
 *
 * This is where exact numbers become places on a screen. Nothing is judged with these floats: verdicts and words come with the
 * data. Ten thousand comparisons are six arrays instead of ten thousand objects, so panning makes no garbage.
 */

import type { Verdict } from '../../rules/comparison.ts';
import { parseRational, toNumber } from '../../time/rational.ts';
import type { ChartSeverity, LagChart } from '../../views/lagChartData.ts';

/** How a mark is toned: as the finding is, `accepted` where a person let it stand, `plain` where nothing is reported. */
export type Tone = Exclude<ChartSeverity, 'none'> | 'accepted' | 'plain';

/** In the order in which they are drawn: what matters most comes last and lies on top. */
export const TONES: readonly Tone[] = ['plain', 'accepted', 'information', 'warning', 'error'];
/** In the order in which a legend lists them. */
export const VERDICTS: readonly Verdict[] = ['in', 'leads', 'lags', 'drifts'];

export interface ChartMarks {
  readonly count: number;
  /** Record seconds of the overlap. */
  readonly start: Float64Array;
  readonly end: Float64Array;
  /** Seconds of lag; positive is late. */
  readonly head: Float64Array;
  readonly tail: Float64Array;
  /** The lowest and highest lag that the report's uncertainty leaves open, over both ends. */
  readonly least: Float64Array;
  readonly most: Float64Array;
  /** Indices into `VERDICTS` and `TONES`. */
  readonly verdict: Uint8Array;
  readonly tone: Uint8Array;
  readonly duration: number;
  readonly band: Band;
  /** Of the chart's clips: record seconds, row, and the gravest comparison it is the sound of; -1 for none that is out. */
  readonly clipStart: Float64Array;
  readonly clipEnd: Float64Array;
  readonly clipTrack: Uint32Array;
  readonly clipGravest: Int32Array;
}

/** The tolerance in seconds of lag. Where it differs by recording, `inner` holds for all of them and `outer` for some. */
interface Band {
  readonly inner: { readonly low: number; readonly high: number };
  readonly outer: { readonly low: number; readonly high: number };
}

export function chartMarks(chart: LagChart): ChartMarks {
  const { comparisons, clips } = chart;
  const count = comparisons.length;
  const marks = {
    count,
    start: new Float64Array(count),
    end: new Float64Array(count),
    head: new Float64Array(count),
    tail: new Float64Array(count),
    least: new Float64Array(count),
    most: new Float64Array(count),
    verdict: new Uint8Array(count),
    tone: new Uint8Array(count),
    duration: Math.max(secondsOf(chart.duration), 1e-3),
    band: bandOf(chart),
    clipStart: Float64Array.from(clips, ({ start }) => secondsOf(start)),
    clipEnd: Float64Array.from(clips, ({ end }) => secondsOf(end)),
    clipTrack: Uint32Array.from(clips, ({ track }) => track),
    clipGravest: new Int32Array(clips.length).fill(-1),
  };
  const doubts = chart.pairs.map(({ early, late }) => ({ early: secondsOf(early), late: secondsOf(late) }));
  for (const [at, comparison] of comparisons.entries()) {
    const head = secondsOf(comparison.head);
    const tail = comparison.tail === comparison.head ? head : secondsOf(comparison.tail);
    const { early, late } = doubts[comparison.pair] ?? { early: 0, late: 0 };
    marks.start[at] = secondsOf(comparison.start);
    marks.end[at] = secondsOf(comparison.end);
    marks.head[at] = head;
    marks.tail[at] = tail;
    marks.least[at] = Math.min(head, tail) - early;
    marks.most[at] = Math.max(head, tail) + late;
    marks.verdict[at] = VERDICTS.indexOf(comparison.verdict);
    marks.tone[at] = TONES.indexOf(
      comparison.isAccepted ? 'accepted' : comparison.severity === 'none' ? 'plain' : comparison.severity,
    );
    const before = marks.clipGravest[comparison.sound] as number;
    const isGraver = before < 0 || (marks.tone[at] as number) > (marks.tone[before] as number);
    if (comparison.verdict !== 'in' && isGraver) marks.clipGravest[comparison.sound] = at;
  }
  return marks;
}

/** The float nearest to a rational's text; 0 for a text that is none, so that a chart is drawn all the same. */
function secondsOf(text: string): number {
  const value = parseRational(text);
  return value === null ? 0 : toNumber(value);
}

/** A chart without pairs has an empty band at zero. */
function bandOf({ pairs }: LagChart): Band {
  const [first] = pairs;
  if (first === undefined) return { inner: { low: 0, high: 0 }, outer: { low: 0, high: 0 } };
  const inner = { low: -secondsOf(first.lead), high: secondsOf(first.lag) };
  const outer = { ...inner };
  for (const pair of pairs) {
    const [lead, lag] = [secondsOf(pair.lead), secondsOf(pair.lag)];
    inner.low = Math.max(inner.low, -lead);
    inner.high = Math.min(inner.high, lag);
    outer.low = Math.min(outer.low, -lead);
    outer.high = Math.max(outer.high, lag);
  }
  return { inner, outer };
}
