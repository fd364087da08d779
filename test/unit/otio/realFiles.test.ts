/**
 * Sample files of the OTIO project, where the shared folder beside the repository has them, with the numbers its own
 * library gives (expected.json there says where each comes from).
 *
 * Those numbers leave time warps out and do not cut nested clips to what is shown of them; the three clips of
 * nested_example.otio where that matters are listed here with numbers worked out by hand.
 */

import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { resolve } from 'node:path';
import { describe, expect, it } from 'vitest';
import {
  add,
  compare,
  formatRational,
  multiply,
  parseDecimal,
  type Rational,
  rational,
  subtract,
} from '../../../server/src/core/time/rational.ts';
import type { Clip, Timeline } from '../../../server/src/core/timeline/model.ts';
import { readText } from './otioObjects.ts';

interface Assertion {
  readonly id: string;
  readonly file: string | null;
  readonly kind: string;
  readonly subject: { readonly name?: string; readonly path?: readonly number[]; readonly record?: readonly number[] };
  readonly expect: unknown;
}

interface ClipRanges {
  readonly trimmed: readonly [number, number];
  readonly visible: readonly [number, number];
  readonly recordInRoot?: readonly [number, number];
  readonly rate: number;
}

/** Length on record in frames where it differs from the library's: cut by the stack around, stretched, frozen. */
const SHOWN_LENGTHS: Readonly<Record<string, string>> = {
  'Clip Inside A Stack 1': '31',
  'Clip Inside A Stack 2': formatRational(multiplyOut(rational(24), decimal('0.8545454551724138'))),
  'Clip Inside A Track': '4',
};

const folder = resolve(import.meta.dirname, '../../../../shared/timelines');
const isThere = existsSync(folder);

describe.skipIf(!isThere)(`sample files${isThere ? '' : ' (skipped: no shared folder beside the repository)'}`, () => {
  const assertions: readonly Assertion[] = isThere
    ? (JSON.parse(readFileSync(resolve(folder, 'expected.json'), 'utf8')) as { assertions: Assertion[] }).assertions
    : [];
  const files = isThere ? readdirSync(resolve(folder, 'otio')).filter((name) => name.endsWith('.otio')) : [];
  const timelines = new Map(files.map((name) => [`otio/${name}`, readText(readFileSync(resolve(folder, 'otio', name), 'utf8'))]));
  const about = (kind: string): readonly Assertion[] =>
    assertions.filter((one) => one.kind === kind && timelines.has(one.file ?? ''));

  it('are read without trouble, save for old versions of Clip', () => {
    expect(files.length).toBeGreaterThan(0);
    for (const timeline of timelines.values()) {
      expect(timeline.observations.map(({ kind }) => kind)).toEqual(['old-schema']);
      expect(timeline.clips.every(({ doubt }) => doubt === null)).toBe(true);
    }
  });

  it.each(about('timeline-duration'))('$id', (assertion) => {
    const { value, rate } = assertion.expect as { value: number; rate: number };
    expect(frames(timelineOf(assertion).duration, rate)).toBe(String(value));
  });

  it.each(about('clip-count'))('$id', (assertion) => {
    expect(timelineOf(assertion).clips).toHaveLength(assertion.expect as number);
  });

  it.each(about('clip-ranges'))('$id: $subject.name', (assertion) => {
    const wanted = assertion.expect as ClipRanges;
    const clip = clipOf(assertion);
    const head = clip.start?.count ?? multiply(clip.sourceStart, rational(wanted.rate));
    const length = clip.length?.count ?? multiply(subtract(clip.record.end, clip.record.start), rational(wanted.rate));
    expect([formatRational(head), formatRational(length)]).toEqual(wanted.trimmed.map(String));
    const visibleHead = subtract(head, multiply(clip.headOverlap, rational(wanted.rate)));
    const overlaps = multiply(add(clip.headOverlap, clip.tailOverlap), rational(wanted.rate));
    expect([formatRational(visibleHead), formatRational(add(length, overlaps))]).toEqual(wanted.visible.map(String));
    if (wanted.recordInRoot === undefined) return;
    expect(frames(clip.record.start, wanted.rate)).toBe(String(wanted.recordInRoot[0]));
    const shown = SHOWN_LENGTHS[clip.name] ?? String(wanted.recordInRoot[1]);
    expect(frames(subtract(clip.record.end, clip.record.start), wanted.rate)).toBe(shown);
  });

  it.each(about('record-position'))('$id', (assertion) => {
    const { recordStart, rate } = assertion.expect as { recordStart: number; rate: number };
    expect(frames(clipOf(assertion).record.start, rate)).toBe(String(recordStart));
  });

  it.each(about('range'))('$id', (assertion) => {
    const { start, duration, rate } = assertion.expect as { start: number; duration: number; rate: number };
    const [transition] = timelineOf(assertion).transitions;
    if (transition === undefined) throw new Error('no transition was read');
    expect(frames(subtract(transition.at, transition.before), rate)).toBe(String(start));
    expect(frames(add(transition.before, transition.after), rate)).toBe(String(duration));
  });

  it.each(about('handles'))('$id', (assertion) => {
    const { tail } = assertion.expect as { tail: { value: number; rate: number } };
    const [clip] = timelineOf(assertion).clips;
    expect(frames(clip?.tailOverlap ?? rational(0), tail.rate)).toBe(String(tail.value));
    expect(frames(clip?.headOverlap ?? rational(1), tail.rate)).toBe('0');
  });

  it.each(about('global-start'))('$id', (assertion) => {
    const { value, rate } = assertion.expect as { value: number; rate: number };
    const { startFrame, rate: own } = timelineOf(assertion);
    expect([startFrame === null ? null : formatRational(startFrame), formatRational(own)]).toEqual([String(value), String(rate)]);
  });

  it.each(about('effect-on-composition'))('$id', (assertion) => {
    const { time_scalar: scalar } = assertion.expect as { time_scalar: number };
    const inside = { 'q-warp': 'Clip Inside A Stack 2', 'q-freeze': 'Clip Inside A Track' }[assertion.id];
    const clip = timelineOf(assertion).clips.find(({ name }) => name === inside);
    expect(clip?.speed.kind === 'constant' && compare(clip.speed.scalar, decimal(String(scalar))) === 0).toBe(true);
  });

  // The first file of the sequence is in its URL; the others follow one a frame, so the file number is that plus the offset.
  it.each(about('media-frame'))('$id', (assertion) => {
    const { fileNumber } = assertion.expect as { fileNumber: readonly number[] };
    const [clip] = timelineOf(assertion).clips;
    const first = Number(/\.(\d+)\.exr$/.exec(clip?.media.url ?? '')?.[1]);
    const offset = subtract(clip?.sourceStart ?? rational(0), clip?.media.available?.start ?? rational(0));
    const numbers = (assertion.subject.record ?? []).map((frame) => first + Number(frames(offset, 24)) + frame);
    expect(numbers).toEqual(fileNumber);
  });

  function timelineOf(assertion: Assertion): Timeline {
    const timeline = timelines.get(assertion.file ?? '');
    if (timeline === undefined) throw new Error(`no file ${assertion.file}`);
    return timeline;
  }

  function clipOf(assertion: Assertion): Clip {
    const clip = timelineOf(assertion).clips.find(({ name }) => name === assertion.subject.name);
    if (clip === undefined) throw new Error(`no clip ${assertion.subject.name}`);
    return clip;
  }
});

function frames(seconds: Rational, rate: number): string {
  return formatRational(multiply(seconds, rational(rate)));
}

function decimal(text: string): Rational {
  return parseDecimal(text) ?? rational(0);
}

/** value / by */
function multiplyOut(value: Rational, by: Rational): Rational {
  return multiply(value, rational(BigInt(by.denominator), BigInt(by.numerator)));
}
