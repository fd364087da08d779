/**
 * Charts for tests: of the samples, whose lags are worked out by .build/samples and explained in samples/README.md, and of long
 * invented cuts.
 */

import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { readReport } from '../../../server/src/core/alignment/readReport.ts';
import { readSettings } from '../../../server/src/core/alignment/readSettings.ts';
import { type Audit, audit } from '../../../server/src/core/audit.ts';
import type { FormatId } from '../../../server/src/core/timeline/model.ts';
import { lagChart } from '../../../server/src/core/views/lagChart.ts';
import type { ChartComparison, LagChart } from '../../../server/src/core/views/lagChartData.ts';

const samples = join(import.meta.dirname, '..', '..', '..', 'samples');
const read = (name: string): string => readFileSync(join(samples, name), 'utf8');

export const REASON = 'millrace.alignment.json is used: named in afterclap.json.';
const FILES: Readonly<Record<string, string>> = {
  otio: 'millrace.otio',
  xml: 'millrace.timeline.xml',
  edl: 'millrace.edl',
};

/** `text` in place of the sample's own, for edits. */
export function auditSample(format: Exclude<FormatId, 'cpl'>, text = read(FILES[format] as string)): Audit {
  return audit({
    format,
    text,
    reports: [readReport('millrace.alignment.json', read('millrace.alignment.json'))],
    settings: readSettings('afterclap.json', read('afterclap.json')),
  });
}

export function sampleChart(format: Exclude<FormatId, 'cpl'> = 'otio'): LagChart {
  return lagChart(auditSample(format), REASON);
}

export interface PlainMark {
  readonly start: number;
  readonly end: number;
  /** Milliseconds; positive lags. */
  readonly head: number;
  readonly tail?: number;
  readonly recording?: string;
  readonly picture?: string;
}

/** A chart of marks given in plain numbers, with a tolerance of 1 ms and 40 ms, and 5 ms left open either way. */
export function chartOf(marks: readonly PlainMark[], duration = Math.max(1, ...marks.map(({ end }) => end))): LagChart {
  const pairKeys = [...new Set(marks.map(({ recording = 'deck-01', picture = 'cam-01' }) => `${picture} ${recording}`))];
  const comparisons = marks.map(({ start, end, head, tail = head, recording = 'deck-01', picture = 'cam-01' }, at) => {
    const sides = [head, tail].map((lag) => (lag < -1 ? 'leads' : lag > 40 ? 'lags' : 'in'));
    const verdict = (sides[0] === sides[1] ? sides[0] : 'drifts') as ChartComparison['verdict'];
    const words = `${head < 0 ? 'leads' : 'lags'} by ${Math.abs(head)} ms`;
    return {
      pair: pairKeys.indexOf(`${picture} ${recording}`),
      picture: 2 * at,
      sound: 2 * at + 1,
      start: micro(start),
      end: micro(end),
      head: micro(head / 1000),
      tail: micro(tail / 1000),
      verdict,
      severity: verdict === 'in' ? ('none' as const) : ('error' as const),
      isAccepted: false,
      words,
      short: words.replace('by ', ''),
      at: `${start} s to ${end} s`,
      remarks: '',
    };
  });
  return {
    name: 'invented',
    rate: '24',
    isDropFrame: false,
    startFrame: '86400',
    duration: micro(duration),
    summary: `${marks.length} comparisons.`,
    empty: marks.length === 0 ? 'Nothing is compared.' : null,
    tracks: [
      { name: 'V1', kind: 'picture' },
      { name: 'A1', kind: 'sound' },
    ],
    clips: marks.flatMap(({ start, end }, at) =>
      [0, 1].map((track) => ({
        index: 2 * at + track,
        track,
        name: `${track === 0 ? 'picture' : 'sound'} ${at + 1}`,
        start: micro(start),
        end: micro(end),
      })),
    ),
    pairs: pairKeys.map((key) => ({
      picture: key.split(' ')[0] as string,
      sound: key.split(' ')[1] as string,
      early: '1/200',
      late: '1/200',
      lead: '1/1000',
      lag: '1/25',
      words: `${key} are paired.`,
      limits: 'Allowed: leads by up to 1 ms, lags by up to 40 ms.',
    })),
    comparisons,
  };
}

/** Ten thousand and more: a reel of short clips, every seventh a frame or so out, some drifting, a few far out. */
export function longChart(count: number): LagChart {
  return chartOf(
    Array.from({ length: count }, (_, at) => {
      const start = at * 2;
      const wild = at % 997 === 500 ? 36_000 : 0;
      const off = at % 7 === 3 ? ((at % 5) - 2) * 41.7 : (at % 23) - 1;
      const drift = at % 31 === 9 ? 60 : 0;
      return {
        start,
        end: start + 2,
        head: off - wild,
        tail: off - wild + drift,
        recording: `deck-${at % 40}`,
        picture: `cam-${at % 40}`,
      };
    }),
  );
}

function micro(value: number): string {
  return `${Math.round(value * 1_000_000)}/1000000`;
}
