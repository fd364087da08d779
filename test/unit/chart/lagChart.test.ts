/**
 * The data of the lag chart: exact numbers, and the words that read them out.
 *
 * The lags of the sample come from its generator, which works them out with fractions of its own (.build/samples, samples/README.md).
 * One frame at 24000/1001 is 2002 samples at 48 kHz (48000 x 1001 / 24000; SMPTE ST 12-1 rate). 'Leads' and 'lags' with a positive
 * number and never a bare sign: common practice, since published documents disagree on the sign (ITU-R BT.1359-1 calls early sound
 * positive).
 */

import { describe, expect, it } from 'vitest';
import { placeCut } from '../../../.build/samples/place.ts';
import { formatRational } from '../../../server/src/core/time/rational.ts';
import { lagChart } from '../../../server/src/core/views/lagChart.ts';
import type { ChartComparison, LagChart } from '../../../server/src/core/views/lagChartData.ts';
import { auditText } from '../../support/auditText.ts';
import { writeEdl } from '../../support/cut.ts';
import type { TestReport } from '../../support/report.ts';
import { auditSample, REASON, sampleChart } from './charts.ts';

const FORMATS = ['otio', 'xml', 'edl'] as const;

function comparisonOf(chart: LagChart, soundClip: string): ChartComparison {
  const found = chart.comparisons.find(({ sound }) => chart.clips[sound]?.name === soundClip);
  if (found === undefined) throw new Error(`nothing is compared with ${soundClip}`);
  return found;
}

describe('the sample', () => {
  it.each(FORMATS)('%s has the lags that its generator worked out, exactly', (format) => {
    const chart = sampleChart(format);
    const drawn = chart.comparisons.map(({ sound, start, end, head, tail }) =>
      [chart.clips[sound]?.name, start, end, head, tail].join(' '),
    );
    const expected = placeCut().pairs.map(({ soundClip, record, lag }) =>
      [soundClip, record.start, record.end, lag.head, lag.tail].join(' '),
    );
    expect(drawn.toSorted()).toEqual(expected.toSorted());
  });

  it.each([
    ['door, latch (deck)', 'leads by 41.7 ms, 1 frame, 2002 samples', 'leads 41.7 ms'],
    ['door, wide (deck)', 'is exact', 'exact'],
    ['door, wide (pocket)', 'lags by 8.4 ms, 0.2 frames, 401.5 samples; that is allowed', 'lags 8.4 ms'],
    [
      'miller, long take (pocket)',
      'lags by 6.4 ms, 0.15 frames, 305.51 samples at the head and by 66.9 ms, 1.6 frames, 3212.41 samples at the tail',
      'lags 6.4 ms to 66.9 ms',
    ],
  ])('reads out %s', (soundClip, words, short) => {
    expect(comparisonOf(sampleChart(), soundClip)).toMatchObject({ words, short });
  });

  it('sums up, and says what is compared with nothing', () => {
    expect(sampleChart().summary).toBe('18 comparisons: 9 in, 3 lead, 5 lag, 1 drifts. 1 enabled clip is compared with nothing.');
  });

  it('names the record time as the timeline does', () => {
    expect(comparisonOf(sampleChart(), 'door, latch (deck)').at).toBe('01:00:10:00 to 01:00:20:00');
  });

  it('names the likely cause, and the reason for which a finding was accepted', () => {
    expect(comparisonOf(sampleChart(), 'door, latch (deck)').remarks).toBe(
      'Likely cause: cut 1 whole frame too early at 23.976.',
    );
    const bell = comparisonOf(sampleChart(), 'bell, far (deck)');
    expect(bell.isAccepted).toBe(true);
    expect(bell.remarks).toMatch(/^Accepted: the bell hangs across the valley and should be heard late\./);
  });

  it('is as grave as the list of problems, also where one event on two channels gives one finding', () => {
    const { findings } = auditSample('edl');
    const chart = sampleChart('edl');
    const errors = findings.filter(({ code, severity }) => severity === 'error' && /^sound-(leads|lags|drifts)$/.test(code));
    const marked = chart.comparisons.filter(({ severity, isAccepted }) => severity === 'error' && !isAccepted);
    const twins = chart.comparisons.filter(({ sound }) => chart.clips[sound]?.name === 'door, step (deck)');
    expect(twins.map(({ severity }) => severity)).toEqual(['error', 'error']);
    expect(marked.length).toBe(errors.length + 1);
  });

  it('keeps the tolerance and the uncertainty of each pair as exact numbers', () => {
    const [pair] = sampleChart().pairs;
    expect(pair).toMatchObject({ early: '209/10000', late: '209/10000', lead: '1/1000', lag: '1001/24000' });
    expect(pair?.limits).toBe('Allowed: leads by up to 1 ms, lags by up to 41.7 ms.');
  });

  it('holds tables that fit: every index leads to what it names', () => {
    const result = auditSample('otio');
    const chart = lagChart(result, REASON);
    for (const [at, comparison] of chart.comparisons.entries()) {
      const audited = result.comparisons[at];
      expect(chart.clips[comparison.picture]?.index).toBe(audited?.pictureClip);
      expect(chart.clips[comparison.sound]?.index).toBe(audited?.soundClip);
      expect(chart.pairs[comparison.pair]?.sound).toBe(audited?.pair.sound.key);
      expect(comparison.verdict).toBe(audited?.verdict);
    }
    for (const clip of chart.clips) {
      const own = result.timeline.clips[clip.index];
      expect(chart.tracks[clip.track]?.name).toBe(result.timeline.tracks[own?.track ?? -1]?.name);
      expect(clip.start).toBe(formatRational(own?.record.start ?? { numerator: -1, denominator: 1 }));
    }
  });

  it('never shows a bare sign', () => {
    for (const { words, short, at, remarks } of sampleChart().comparisons) {
      expect(`${words} ${short} ${at} ${remarks}`).not.toMatch(/(?:^|\s)[-+−]\d/);
    }
  });
});

describe('a tolerance', () => {
  const cut = {
    rate: [24, 1] as const,
    media: [],
    shots: [
      { track: 'V1', media: 'CAM.mov', recordIn: 0, length: 48, sourceIn: 86_400 },
      { track: 'A1', media: 'LOW.wav', recordIn: 0, length: 48, sourceIn: 86_400 },
      { track: 'A2', media: 'HIGH.wav', recordIn: 0, length: 48, sourceIn: 86_400 },
    ],
  };
  const report = {
    pictures: { cam: { names: ['CAM.mov'], rate: 24 } },
    sounds: { low: { names: ['LOW.wav'], sampleRate: 48000 }, high: { names: ['HIGH.wav'], sampleRate: 96000 } },
    pairs: [
      { picture: 'cam', sound: 'low', frame: 0, sample: 0 },
      { picture: 'cam', sound: 'high', frame: 0, sample: 0 },
    ],
  };

  it('in samples is another time at another sample rate', () => {
    const result = auditText('edl', writeEdl(cut), report, { edlRate: 24, tolerance: { lead: '48smp', lag: '480smp' } });
    const limits = lagChart(result, REASON).pairs.map(({ sound, lead, lag }) => `${sound} ${lead} ${lag}`);
    expect(limits.toSorted()).toEqual(['high 1/2000 1/200', 'low 1/1000 1/100']);
  });

  it('that a finding exceeds by less than the report is sure of is said to be in doubt', () => {
    const late = { ...cut, shots: cut.shots.slice(0, 2).map((shot, at) => ({ ...shot, sourceIn: shot.sourceIn - at })) };
    const unsure = {
      ...report,
      pairs: [{ ...report.pairs[0], frame: 0, sample: 0, picture: 'cam', sound: 'low', uncertaintyMs: { early: 20, late: 20 } }],
    };
    const result = auditText('edl', writeEdl(late), unsure, { edlRate: 24, tolerance: { lead: '1ms', lag: '30ms' } });
    const [comparison] = lagChart(result, REASON).comparisons;
    // 1/24 s is 41.7 ms, 11.7 ms past 30 ms, and the report leaves 20 ms open: one severity less.
    expect(comparison).toMatchObject({ verdict: 'lags', severity: 'warning' });
    expect(comparison?.remarks).toContain('The report is not sure enough to tell whether this is out.');
  });

  it('whose finding is switched off says so, and is toned as nothing', () => {
    const early = { ...cut, shots: cut.shots.slice(0, 2).map((shot, at) => ({ ...shot, sourceIn: shot.sourceIn + at })) };
    const result = auditText('edl', writeEdl(early), report, { edlRate: 24, rules: { 'sound-leads': 'off' } });
    expect(lagChart(result, REASON).comparisons[0]).toMatchObject({
      verdict: 'leads',
      severity: 'none',
      remarks: 'The settings of this project switch the finding off.',
    });
  });
});

describe('nothing to draw', () => {
  const shots = [
    { track: 'V1', media: 'CAM.mov', recordIn: 0, length: 48, sourceIn: 86_400 },
    { track: 'A1', media: 'DECK.wav', recordIn: 96, length: 48, sourceIn: 86_400 },
  ];
  const text = writeEdl({ rate: [24, 1], media: [], shots });
  const known = {
    pictures: { cam: { names: ['CAM.mov'], rate: 24 } },
    sounds: { deck: { names: ['DECK.wav'], sampleRate: 48000 } },
    pairs: [{ picture: 'cam', sound: 'deck', frame: 0, sample: 0 }],
  };
  const emptyOf = (written: string, report: TestReport | null): string | null =>
    lagChart(auditText('edl', written, report, { edlRate: 24 }), 'No report is used: none stands beside the timeline.').empty;

  it('for want of a report', () => {
    expect(emptyOf(text, null)).toBe(
      'There is no alignment report to hold this timeline against. No report is used: none stands beside the timeline.',
    );
  });

  it('because the report knows other media', () => {
    const other = {
      ...known,
      pictures: { other: { names: ['OTHER.mov'], rate: 24 } },
      sounds: { others: { names: ['OTHER.wav'], sampleRate: 48000 } },
      pairs: [{ picture: 'other', sound: 'others', frame: 0, sample: 0 }],
    };
    expect(emptyOf(text, other)).toMatch(
      /^day1\.alignment\.json knows none of the media of this timeline.*added to "names" in the report\.$/,
    );
  });

  it('because picture and sound never meet', () => {
    expect(emptyOf(text, known)).toBe(
      'day1.alignment.json knows 1 picture clip and 1 sound clip of this timeline, but nowhere does an enabled picture stand over enabled sound of its pair. If it should, look for disabled clips and tracks.',
    );
  });

  it('because there are no clips', () => {
    expect(emptyOf('TITLE: EMPTY\n', known)).toMatch(/^This timeline holds no clips/);
  });

  it('is never claimed where something is compared', () => {
    expect(sampleChart().empty).toBeNull();
  });
});
