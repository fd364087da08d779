/**
 * Plots: well-formed pictures of their own, without a fixed colour, that say in words what they show.
 */

import fc from 'fast-check';
import sax from 'sax';
import { describe, expect, test } from 'vitest';
import { type MatchPlotData, PLOT_SIGNATURE, renderMatchPlot } from '../../../server/src/core/report/plots/matchPlot.ts';
import { roundTicks, scaleOf, tickText } from '../../../server/src/core/report/plots/plotScale.ts';
import { likeness } from '../../../server/src/project/measure/likeness.ts';
import { seededRandom } from '../sound/synthesis/random.ts';
import { lowPass, resampleExactly, whiteNoise } from '../sound/synthesis/signal.ts';

const SAMPLES = Float32Array.from({ length: 480 }, (_, index) => Math.sin(index / 3) * Math.exp(-index / 100));

const PLOT: MatchPlotData = {
  title: 'CAM_A.mov with DECK.wav',
  sentences: ['Start of frame 45 = sample 127785.', 'Sure to 0.98 of 1.'],
  instant: {
    sound: { first: -5, step: 1 / 48, samples: SAMPLES },
    scratch: { first: -5, step: 1 / 48, samples: SAMPLES },
    isScratchTurned: true,
    edge: { at: 0, name: 'clap 1' },
    frames: [-120, -80, -40, 0, 40, 80].map((at, index) => ({ number: 42 + index, at })),
    anchor: { at: 0, early: 20, late: 40, name: 'frame 45' },
    origin: 'the leading edge',
  },
  closeReach: 5,
  correlation: { curve: { first: -5, step: 1 / 48, samples: SAMPLES }, peakAt: 0, remark: '0.7 s at 0:31.000 of the scratch' },
  drift: {
    windows: [0, 100, 200].map((seconds) => ({ seconds, lag: seconds / 100, agrees: seconds !== 100 })),
    line: [
      { seconds: 0, lag: 0 },
      { seconds: 250, lag: 2.5 },
    ],
    jumps: [{ seconds: 120, name: 'jump of 10 ms' }],
    remark: '10 ppm',
  },
};

interface Read {
  readonly elements: readonly { readonly name: string; readonly attributes: Readonly<Record<string, string>> }[];
  readonly text: string;
}

/** A strict reader that is not ours; throws where the XML is not well-formed. */
function read(svg: string): Read {
  const elements: { name: string; attributes: Record<string, string> }[] = [];
  let text = '';
  const parser = sax.parser(true);
  parser.onerror = (error) => {
    throw error;
  };
  parser.onopentag = ({ name, attributes }) => elements.push({ name, attributes: attributes as Record<string, string> });
  parser.ontext = (part) => {
    text += part;
  };
  parser.write(svg).close();
  return { elements, text };
}

describe('a plot', () => {
  const svg = renderMatchPlot(PLOT);
  const { elements, text } = read(svg);

  test('is one picture with a title and a description, which it names as its labels', () => {
    const [root] = elements;
    expect(root).toMatchObject({
      name: 'svg',
      attributes: { xmlns: 'http://www.w3.org/2000/svg', role: 'img', 'aria-labelledby': 'title description' },
    });
    for (const [name, id] of [
      ['title', 'title'],
      ['desc', 'description'],
    ]) {
      expect(elements).toContainEqual({ name, attributes: { id } });
    }
    expect(svg.startsWith(PLOT_SIGNATURE)).toBe(true);
  });

  test('shows waveform, edge, frames, uncertainty, likeness, drift and jumps, in words', () => {
    for (const words of [
      'frame 45',
      'clap 1',
      'sound lags',
      'the sound leads here',
      'peak',
      'Drift along the take',
      'jump of 10 ms',
      '1 off it (hollow)',
      'turned over',
    ]) {
      expect(text).toContain(words);
    }
  });

  test('has no colour of its own: system colours, that follow light and dark', () => {
    expect(svg).not.toMatch(/#[0-9a-f]{3,8}\b|rgba?\(|hsla?\(/i);
    for (const word of ['Canvas', 'CanvasText', 'color-scheme: light dark', 'prefers-color-scheme: dark'])
      expect(svg).toContain(word);
    // For readers without style sheets there is black and white.
    const named = elements
      .flatMap(({ attributes }) => [attributes['fill'], attributes['stroke']])
      .filter((colour) => colour !== undefined);
    expect([...new Set(named)].toSorted()).toEqual(['black', 'none', 'white']);
  });

  test('needs nothing from outside and runs nothing', () => {
    expect(svg).not.toMatch(/<script|<image|<use|href|@import|url\(/i);
  });

  test('shows no sign: below and above are told in words', () => {
    const numbers = text.match(/[-\u2212]\s?\d/g) ?? [];
    expect(numbers).toEqual([]);
  });

  test('is the same text every time', () => {
    expect(renderMatchPlot(PLOT)).toBe(svg);
  });
});

test('a plot of a clap alone has neither likeness nor drift', () => {
  const { text } = read(
    renderMatchPlot({ ...PLOT, instant: { ...PLOT.instant, scratch: null }, correlation: null, drift: null }),
  );
  expect(text).not.toMatch(/Likeness|Drift/);
});

test('names and numbers of any kind leave it well-formed', () => {
  const number = fc.oneof(fc.double(), fc.constantFrom(Number.NaN, Number.POSITIVE_INFINITY, 0, -1e9));
  fc.assert(
    fc.property(fc.string({ unit: 'binary' }), number, number, fc.array(number, { maxLength: 40 }), (name, at, size, samples) => {
      const instant = {
        ...PLOT.instant,
        sound: { ...PLOT.instant.sound, samples },
        edge: { at, name },
        anchor: { at, early: size, late: size, name },
      };
      expect(read(renderMatchPlot({ ...PLOT, title: name, sentences: [name], instant })).elements[0]?.name).toBe('svg');
    }),
    { numRuns: 40 },
  );
});

describe('an axis', () => {
  test.each([
    [0, 10, 5, ['0', '2', '4', '6', '8', '10']],
    [-0.2, 0.2, 5, ['0.2', '0.1', '0', '0.1', '0.2']],
    [14, 1234, 4, ['500', '1000']],
    [3, 3, 4, []],
  ])('from %d to %d has round numbers', (low, high, count, expected) => {
    const ticks = roundTicks(low, high, count);
    expect(ticks.map((tick) => tickText(tick, ticks))).toEqual(expected);
  });

  test('puts its ends at the ends, and what has no extent somewhere', () => {
    const scale = scaleOf(-5, 15, 100, 300);
    expect([-5, 5, 15].map(scale.place)).toEqual([100, 200, 300]);
    expect(Number.isFinite(scaleOf(2, 2, 0, 10).place(2))).toBe(true);
  });
});

describe('likeness', () => {
  // Microphones hear less the higher it gets; of full-band noise a delay of half a sample has no one peak.
  const sound = lowPass(whiteNoise(seededRandom('likeness'), 5000), 5000, 48000);

  test.each([0, 3, -17, 0.5, 12.25])('has its peak at a delay of %d samples, whichever way up', (delay) => {
    const scratch = Float32Array.from(resampleExactly(sound, 200 + delay, 1, 4000));
    for (const sign of [1, -1]) {
      const { values, peak } = likeness(
        scratch.map((value) => sign * value),
        Float32Array.from(sound.subarray(100, 4300)),
        100,
      );
      // A parabola through three samples (Smith) is off by 0.12 sample at most even on a critically sampled peak (computed).
      expect(Math.abs(peak - delay)).toBeLessThan(0.2);
      expect(Math.sign(values[Math.round(peak) + 100] as number)).toBe(sign);
    }
  });

  test('of unrelated noise stays near its floor of 1/sqrt(N)', () => {
    const other = Float32Array.from(whiteNoise(seededRandom('unrelated'), 4000));
    const { values } = likeness(other, Float32Array.from(sound.subarray(0, 4200)), 100);
    // Textbook: deviation 1/sqrt(N) for white signals; these are nearly that.
    expect(Math.max(...values.map(Math.abs))).toBeLessThan(6 / Math.sqrt(4000));
  });
});
