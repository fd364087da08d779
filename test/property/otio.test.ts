/**
 * OTIO reading on anything: no string makes it fail, every place is inside the text, and places on record agree with a
 * second formulation.
 *
 * That second formulation asks the other way round: for one instant of record it goes down the tree and lists what is
 * seen, as the library's transformed_time does level by level; the reader works out ranges once and never asks again.
 */

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { otioFormat } from '../../server/src/core/formats/otio/otioFormat.ts';
import { applyEdits } from '../../server/src/core/text/textEdit.ts';
import {
  add,
  compare,
  formatRational,
  multiply,
  type Rational,
  rational,
  subtract,
} from '../../server/src/core/time/rational.ts';
import type { Clip, OutlineNode, Timeline } from '../../server/src/core/timeline/model.ts';
import { longOtio } from '../bench/otioText.ts';
import { type Fraction, fraction, fractionText, less, minus, over, plus, times } from '../support/fraction.ts';

const OPTIONS = { edlRate: null, sharedPictureRate: null };
const read = (text: string): Timeline => otioFormat.read(text, OPTIONS);

/** A composition as the second formulation sees it: frames at 24. */
interface Item {
  readonly kind: 'clip' | 'gap' | 'stack' | 'track' | 'transition';
  readonly name: string;
  readonly range: readonly [start: number, duration: number] | null;
  readonly scalar: readonly [numerator: number, denominator: number];
  readonly children: readonly Item[];
}

const scalars = fc.constantFrom<Item['scalar']>([1, 1], [1, 1], [1, 1], [2, 1], [1, 2], [3, 4], [0, 1]);
const ranges = fc.tuple(fc.integer({ min: 0, max: 30 }), fc.integer({ min: 0, max: 20 }));

const { composition } = fc.letrec<{ composition: Item; stack: Item; track: Item; leaf: Item; item: Item }>((tie) => ({
  leaf: fc.record({
    kind: fc.constantFrom<Item['kind']>('clip', 'clip', 'gap', 'transition'),
    name: fc.uuid(),
    range: ranges,
    scalar: scalars,
    children: fc.constant([]),
  }),
  stack: fc.record({
    kind: fc.constant<Item['kind']>('stack'),
    name: fc.constant('stack'),
    range: fc.option(ranges),
    scalar: scalars,
    children: fc.array(tie('composition'), { maxLength: 3 }),
  }),
  track: fc.record({
    kind: fc.constant<Item['kind']>('track'),
    name: fc.constant('track'),
    range: fc.option(ranges),
    scalar: scalars,
    children: fc.array(fc.oneof({ maxDepth: 4 }, tie('leaf'), tie('leaf'), tie('composition')), { maxLength: 5 }),
  }),
  composition: fc.oneof({ maxDepth: 4 }, tie('track'), tie('stack'), tie('track')),
  item: tie('composition'),
}));

describe('any string', () => {
  const words = [
    '{',
    '}',
    '[',
    ']',
    ',',
    ':',
    '"',
    'null',
    '1',
    '-1',
    'NaN',
    '"OTIO_SCHEMA"',
    '"Timeline.1"',
    '"Stack.1"',
    '"Track.1"',
    '"Clip.2"',
    '"children"',
    '"tracks"',
    '"source_range"',
    '"TimeRange.1"',
    '"start_time"',
    '"duration"',
    '"RationalTime.1"',
    '"value"',
    '"rate"',
    '"media_references"',
    '"effects"',
  ];
  const scraps = fc.array(fc.constantFrom(...words), { maxLength: 60 }).map((parts) => parts.join(' '));

  it('is read without an error, with every place inside the text', () => {
    fc.assert(
      fc.property(fc.oneof(fc.string({ unit: 'binary' }), fc.json(), scraps), (text) => {
        expectSound(text);
      }),
      { numRuns: 2000 },
    );
  });

  it('is, when a sample is cut off, doubled or damaged anywhere', () => {
    const sample = longOtio(3, { indent: 1, nameSuffix: ' é' });
    fc.assert(
      fc.property(
        fc.nat(sample.length),
        fc.nat(40),
        fc.constantFrom('', '}', ']', ',', '"', 'NaN', '-', '\\', '\u0000', '{"OTIO_SCHEMA": "Clip.9"},'),
        (start, length, put) => {
          expectSound(sample.slice(0, start) + put + sample.slice(start + length));
        },
      ),
      { numRuns: 1000 },
    );
  });

  it('is, cut off at every fiftieth of a sample, and keeps the clips before the cut', () => {
    const sample = longOtio(6, { indent: 2, nameSuffix: '' });
    let most = 0;
    for (let part = 0; part <= 50; part += 1) {
      const timeline = expectSound(sample.slice(0, Math.floor((sample.length * part) / 50)));
      if (part < 50) expect(timeline.observations.some(({ kind }) => kind === 'unreadable')).toBe(true);
      most = Math.max(most, timeline.clips.length);
    }
    expect(most).toBe(6);
  });
});

describe('places on record', () => {
  it('agree with going down the tree instant by instant', () => {
    fc.assert(
      fc.property(composition, fc.array(fc.nat({ max: 1000 }), { minLength: 20, maxLength: 20 }), (root, instants) => {
        const text = JSON.stringify({ OTIO_SCHEMA: 'Timeline.1', tracks: { ...written({ ...root, kind: 'stack' }) } });
        const timeline = read(text);
        expect(timeline.observations.filter(({ kind }) => kind !== 'note')).toEqual([]);
        for (const instant of instants) {
          const at = fraction(instant, 16 * 24);
          expect(shownBy(timeline, rational(instant, 16 * 24))).toEqual(shownIn({ ...root, kind: 'stack' }, at));
        }
      }),
      { numRuns: 1500 },
    );
  });

  it('do not depend on the order of members', () => {
    fc.assert(
      fc.property(composition, (root) => {
        const object = written({ ...root, kind: 'stack' });
        const there = read(JSON.stringify(object));
        const back = read(JSON.stringify(reversed(object)));
        expect(back.clips.map(summary)).toEqual(there.clips.map(summary));
      }),
      { numRuns: 300 },
    );
  });
});

describe('a new source start', () => {
  it('changes one number, and the clip shows what was asked', () => {
    const sample = longOtio(5, { indent: 3, nameSuffix: '' });
    const timeline = read(sample);
    const counts = fc
      .tuple(fc.integer({ min: -1_000_000, max: 1_000_000 }), fc.constantFrom(1, 10, 80, 100))
      .map(([n, d]) => rational(n, d));
    fc.assert(
      fc.property(fc.nat(4), counts, (index, count) => {
        const result = otioFormat.editsFor(sample, timeline, { kind: 'set-source-start', clip: index, count });
        if (!result.ok) throw new Error(result.reason);
        const after = applyEdits(sample, result.edits) ?? '';
        const place = timeline.clips[index]?.start?.span ?? { start: 0, end: 0 };
        expect(after.slice(0, place.start)).toBe(sample.slice(0, place.start));
        expect(sample.slice(place.end).length).toBeGreaterThan(0);
        expect(after.endsWith(sample.slice(place.end))).toBe(true);
        const again = read(after);
        const own = again.clips[index];
        expect(own?.start === null || own === undefined ? null : formatRational(own.start.count)).toBe(formatRational(count));
        const others = (cut: Timeline): unknown => cut.clips.filter((clip) => clip.index !== index).map(summary);
        expect(others(again)).toEqual(others(timeline));
        expect(again.clips.map(({ record }) => formatRational(record.start))).toEqual(
          timeline.clips.map(({ record }) => formatRational(record.start)),
        );
      }),
      { numRuns: 200 },
    );
  });
});

describe('large and deep', () => {
  it('reads 100,000 stacks in each other', () => {
    const depth = 100_000;
    const clip =
      '{"OTIO_SCHEMA":"Clip.2","name":"deep","source_range":{"OTIO_SCHEMA":"TimeRange.1","start_time":{"OTIO_SCHEMA":"RationalTime.1","value":5,"rate":24},"duration":{"OTIO_SCHEMA":"RationalTime.1","value":48,"rate":24}},"media_references":{},"active_media_reference_key":"DEFAULT_MEDIA"}';
    const text = `${'{"OTIO_SCHEMA":"Stack.1","children":['.repeat(depth)}${clip}${']}'.repeat(depth)}`;
    const timeline = read(text);
    expect(timeline.clips.map(({ name, record }) => [name, formatRational(record.end)])).toEqual([['deep', '2']]);
    expect(depthOf(timeline.outline)).toBeLessThan(100);
    expect(read(text.slice(0, -depth)).clips).toHaveLength(1);
  });

  it('reads a line of 50 MB', () => {
    const name = 'Weir '.repeat(10_000_000);
    const timeline = read(`{"OTIO_SCHEMA":"Timeline.1","name":"${name}","tracks":null}`);
    expect(timeline.name.length).toBe(name.length);
    expect(read(name).clips).toEqual([]);
  });

  it('reads ten thousand clips alike in a regular and in a broken text', () => {
    const regular = longOtio(10_000, { indent: 0, nameSuffix: '' });
    const broken = `${regular} x`;
    const there = read(regular);
    expect(there.clips).toHaveLength(10_000);
    expect(there.observations).toEqual([]);
    const again = read(broken);
    expect(again.observations.map(({ kind }) => kind)).toEqual(['unreadable']);
    expect(again.clips).toEqual(there.clips);
  });
});

/** Reads, and looks at every span the timeline holds. */
function expectSound(text: string): Timeline {
  const timeline = read(text);
  const open: unknown[] = [timeline];
  while (open.length > 0) {
    const value = open.pop();
    if (typeof value !== 'object' || value === null) continue;
    const { start, end } = value as { start?: unknown; end?: unknown };
    if (typeof start === 'number' && typeof end === 'number') {
      if (!(start >= 0 && start <= end && end <= text.length))
        throw new Error(`span ${start}..${end} in a text of ${text.length}`);
    }
    open.push(...Object.values(value));
  }
  for (const [index, clip] of timeline.clips.entries()) {
    expect(clip.index).toBe(index);
    expect(clip.track).toBeLessThan(timeline.tracks.length);
    expect(compare(clip.record.start, clip.record.end)).toBe(-1);
  }
  return timeline;
}

function summary(clip: Clip): unknown {
  const scalar = clip.speed.kind === 'constant' ? formatRational(clip.speed.scalar) : clip.speed.reason;
  return [
    clip.name,
    formatRational(clip.record.start),
    formatRational(clip.record.end),
    formatRational(clip.sourceStart),
    scalar,
    clip.doubt,
  ];
}

function depthOf(nodes: readonly OutlineNode[]): number {
  return nodes.length === 0 ? 0 : 1 + Math.max(...nodes.map(({ children }) => depthOf(children)));
}

function written(item: Item): Record<string, unknown> {
  const time = (value: number): unknown => ({ OTIO_SCHEMA: 'RationalTime.1', rate: 24, value });
  const range =
    item.range === null ? null : { OTIO_SCHEMA: 'TimeRange.1', start_time: time(item.range[0]), duration: time(item.range[1]) };
  const [numerator, denominator] = item.scalar;
  const effects =
    numerator === denominator ? [] : [{ OTIO_SCHEMA: 'LinearTimeWarp.1', effect_name: '', time_scalar: numerator / denominator }];
  const common = { name: item.name, source_range: range, effects };
  switch (item.kind) {
    case 'clip':
      return { OTIO_SCHEMA: 'Clip.2', ...common, media_references: {}, active_media_reference_key: 'DEFAULT_MEDIA' };
    case 'gap':
      return { OTIO_SCHEMA: 'Gap.1', ...common };
    case 'transition':
      return { OTIO_SCHEMA: 'Transition.1', in_offset: time(0), out_offset: time(0), transition_type: 'SMPTE_Dissolve' };
    case 'stack':
      return { OTIO_SCHEMA: 'Stack.1', ...common, children: item.children.map(written) };
    case 'track':
      return { OTIO_SCHEMA: 'Track.1', kind: 'Video', ...common, children: item.children.map(written) };
  }
}

function reversed(value: unknown): unknown {
  if (Array.isArray(value)) return value.map(reversed);
  if (typeof value !== 'object' || value === null) return value;
  return Object.fromEntries(
    Object.entries(value)
      .reverse()
      .map(([name, inner]) => [name, reversed(inner)]),
  );
}

/** What the reader says is seen at a record instant: clip and source time. */
function shownBy(timeline: Timeline, at: Rational): readonly string[] {
  return timeline.clips
    .filter(({ record }) => compare(record.start, at) <= 0 && compare(at, record.end) < 0)
    .map(({ name, speed, sourceStart, record }) => {
      const scalar = speed.kind === 'constant' ? speed.scalar : rational(1);
      return `${name} ${formatRational(add(sourceStart, multiply(scalar, subtract(at, record.start))))}`;
    })
    .sort();
}

/** The same from the definitions: down the tree, one level at a time. */
function shownIn(root: Item, at: Fraction): readonly string[] {
  const found: string[] = [];
  if (less(at, lengthOf(root))) descend(root, at, found);
  return found.sort();
}

/** `sinceHead`: time since the item's own head, in its parent's time, known to be inside the item. */
function descend(item: Item, sinceHead: Fraction, found: string[]): void {
  const own = plus(seconds(item.range?.[0] ?? 0), times(fraction(item.scalar[0], item.scalar[1]), sinceHead));
  if (item.kind === 'clip') found.push(`${item.name} ${fractionText(own)}`);
  if (item.kind !== 'stack' && item.kind !== 'track') return;
  let start = fraction(0, 1);
  for (const child of item.children) {
    const since = minus(own, start);
    if (!less(since, fraction(0, 1)) && less(since, lengthOf(child))) descend(child, since, found);
    if (item.kind === 'track' && child.kind !== 'transition') start = plus(start, lengthOf(child));
  }
}

function lengthOf(item: Item): Fraction {
  if (item.kind === 'transition') return fraction(0, 1);
  if (item.range !== null) return seconds(item.range[1]);
  const lengths = item.children.map(lengthOf);
  if (item.kind === 'track') return lengths.reduce(plus, fraction(0, 1));
  return lengths.reduce((longest, length) => (less(longest, length) ? length : longest), fraction(0, 1));
}

function seconds(frames: number): Fraction {
  return over(fraction(frames, 1), fraction(24, 1));
}
