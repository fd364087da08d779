/**
 * Lists against a writer and a counter of the tests' own: labels are named one by one, never by the formula under test.
 */

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { edlFormat } from '../../server/src/core/formats/edl/edlFormat.ts';
import type { ReadOptions } from '../../server/src/core/formats/timelineFormat.ts';
import { EVENT_ROW, lineSpan, valueSpan } from '../../server/src/core/syntax/edl/edlTape.ts';
import { scanEdl } from '../../server/src/core/syntax/edl/scanEdl.ts';
import type { Span } from '../../server/src/core/text/span.ts';
import { applyEdits } from '../../server/src/core/text/textEdit.ts';
import { formatRational, rational } from '../../server/src/core/time/rational.ts';
import type { Timeline } from '../../server/src/core/timeline/model.ts';
import { type Fraction, fraction, fractionText } from '../support/fraction.ts';

const UNDECIDED: ReadOptions = { edlRate: null, sharedPictureRate: null };

interface Counting {
  readonly name: string;
  readonly rate: Fraction;
  readonly nominal: number;
  readonly dropped: number;
  readonly mode: string;
  readonly mark: string;
}

const COUNTINGS: readonly Counting[] = [
  { name: '23.976', rate: fraction(24000, 1001), nominal: 24, dropped: 0, mode: 'NON-DROP FRAME', mark: ':' },
  { name: '24', rate: fraction(24), nominal: 24, dropped: 0, mode: 'NON-DROP FRAME', mark: ':' },
  { name: '25', rate: fraction(25), nominal: 25, dropped: 0, mode: 'NON-DROP FRAME', mark: '.' },
  { name: '29.97 drop-frame', rate: fraction(30000, 1001), nominal: 30, dropped: 2, mode: 'DROP FRAME', mark: ';' },
  { name: '29.97 drop-frame with colons', rate: fraction(30000, 1001), nominal: 30, dropped: 2, mode: 'DROP FRAME', mark: ':' },
  { name: '29.97 non-drop', rate: fraction(30000, 1001), nominal: 30, dropped: 0, mode: 'NON-DROP FRAME', mark: ':' },
  { name: '59.94 drop-frame', rate: fraction(60000, 1001), nominal: 60, dropped: 4, mode: 'DROP FRAME', mark: ';' },
];

/**
 * The label of a frame, found by walking minute by minute and taking away the labels each one has. Slow and obvious on purpose.
 */
function labelByHand(counting: Counting, frame: number): string {
  const two = (value: number): string => String(value).padStart(2, '0');
  let rest = frame;
  let minute = 0;
  for (;;) {
    const missing = minute % 10 === 0 ? 0 : counting.dropped;
    const held = 60 * counting.nominal - missing;
    if (rest < held) {
      const named = rest + missing;
      const clock = `${two(Math.floor(minute / 60) % 24)}:${two(minute % 60)}:${two(Math.floor(named / counting.nominal))}`;
      return `${clock}${counting.mark}${two(named % counting.nominal)}`;
    }
    rest -= held;
    minute += 1;
  }
}

interface CutEvent {
  readonly channels: string;
  readonly gap: number;
  readonly length: number;
  readonly sourceIn: number;
  readonly reel: string;
  readonly name: string | null;
  readonly comments: readonly string[];
}

const CHANNELS: Readonly<Record<string, readonly string[]>> = {
  V: ['V'],
  A: ['A1'],
  A2: ['A2'],
  AA: ['A1', 'A2'],
  B: ['V', 'A1'],
  'AA/V': ['V', 'A1', 'A2'],
  V2: ['V2'],
  A7: ['A7'],
};

const cutEvent: fc.Arbitrary<CutEvent> = fc.record({
  channels: fc.constantFrom(...Object.keys(CHANNELS)),
  gap: fc.nat(40),
  length: fc.integer({ min: 1, max: 4000 }),
  // From the first hour on, where minutes and tens of minutes end often enough.
  sourceIn: fc.nat(200_000),
  reel: fc.constantFrom('CAM_A', 'DECK 12', '123', '123B', 'A_REEL_NAME_LONGER_THAN_ITS_COLUMN', 'C', 'V', 'B7;x'),
  name: fc.option(fc.constantFrom('SHOT 1', 'take two', 'é'), { nil: null }),
  comments: fc.array(fc.constantFrom('* a word', '* LOC: 01:00:00:00 RED', 'words 01:00:00:00', '* ASC_SAT 1', ''), {
    maxLength: 3,
  }),
});

const cut = fc.record({
  counting: fc.constantFrom(...COUNTINGS),
  events: fc.array(cutEvent, { minLength: 1, maxLength: 12 }),
  first: fc.nat(110_000),
  ending: fc.constantFrom('\n', '\r\n', '\r'),
  isTabbed: fc.boolean(),
});

interface WrittenCut {
  readonly text: string;
  readonly rate: Fraction;
  /** `track name recordIn recordOut sourceIn`, in exact seconds. */
  readonly clips: readonly string[];
}

function writeCut(value: {
  counting: Counting;
  events: readonly CutEvent[];
  first: number;
  ending: string;
  isTabbed: boolean;
}): WrittenCut {
  const { counting, events, first, ending, isTabbed } = value;
  const lines = ['TITLE:   AN INVENTED CUT', `FCM: ${counting.mode}`];
  const clips: string[] = [];
  let record = first;
  const places = events.map((event) => {
    record += event.gap;
    const place = { in: record, out: record + event.length };
    record = place.out;
    return place;
  });
  const base = places[0]?.in ?? 0;
  const seconds = (frames: number): string => fractionText(fraction(BigInt(frames) * counting.rate[1], counting.rate[0]));
  events.forEach((event, index) => {
    const place = places[index] as { in: number; out: number };
    const label = (frame: number): string => labelByHand(counting, frame);
    const fields = [
      String(index + 1).padStart(3, '0'),
      event.reel,
      event.channels,
      'C',
      label(event.sourceIn),
      label(event.sourceIn + event.length),
      label(place.in),
      label(place.out),
    ];
    lines.push(
      fields.join(isTabbed ? '\t' : '  '),
      ...(event.name === null ? [] : [`* FROM CLIP NAME:  ${event.name}`]),
      ...event.comments,
    );
    for (const track of CHANNELS[event.channels] ?? []) {
      clips.push(
        [track, event.name ?? event.reel, seconds(place.in - base), seconds(place.out - base), seconds(event.sourceIn)].join(
          ' | ',
        ),
      );
    }
  });
  return { text: lines.join(ending), rate: counting.rate, clips };
}

function clipsOf(timeline: Timeline): readonly string[] {
  return timeline.clips.map((clip) =>
    [
      timeline.tracks[clip.track]?.name,
      clip.name,
      formatRational(clip.record.start),
      formatRational(clip.record.end),
      formatRational(clip.sourceStart),
    ].join(' | '),
  );
}

function read(written: WrittenCut): Timeline {
  return edlFormat.read(written.text, { ...UNDECIDED, edlRate: rational(...written.rate) });
}

/** Every place a timeline names. */
function placesOf(timeline: Timeline): readonly Span[] {
  const places: (Span | null)[] = [
    timeline.rateSpan,
    ...timeline.tracks.map((track) => track.span),
    ...timeline.clips.flatMap((clip) => [
      clip.span,
      clip.nameSpan,
      clip.start?.span ?? null,
      clip.speed.span,
      clip.media.nameSpan,
      clip.media.urlSpan,
      clip.media.reelSpan,
    ]),
    ...timeline.transitions.map((transition) => transition.span),
    ...timeline.observations.map((observation) => observation.span),
    ...timeline.acceptances.map((acceptance) => acceptance.span),
    ...timeline.outline.flatMap((node) => [node.span, ...node.children.flatMap((child) => [child.span, child.nameSpan])]),
  ];
  return places.filter((place) => place !== null);
}

function expectPlacesInside(text: string, timeline: Timeline): void {
  for (const { start, end } of placesOf(timeline)) {
    if (!(start >= 0 && start <= end && end <= text.length)) throw new Error(`a place ${start}-${end} outside ${text.length}`);
  }
  for (const clip of timeline.clips) {
    const start = clip.start?.span ?? clip.span;
    expect(start.start >= clip.span.start && start.end <= clip.span.end).toBe(true);
    expect(timeline.tracks[clip.track]).toBeDefined();
  }
  timeline.clips.forEach((clip, index) => {
    expect(clip.index).toBe(index);
  });
}

describe('random cuts, written by hand', () => {
  it('give exactly the record and source times they were written with', () => {
    fc.assert(
      fc.property(cut, (value) => {
        const written = writeCut(value);
        const timeline = read(written);
        expect(clipsOf(timeline)).toEqual(written.clips);
        expect(timeline.observations.filter(({ kind }) => kind !== 'note')).toEqual([]);
        expectPlacesInside(written.text, timeline);
      }),
      { numRuns: 400 },
    );
  });

  it('read the same whatever blank lines and padding stand between their lines', () => {
    fc.assert(
      fc.property(cut, fc.constantFrom('', ' ', '\t', '\0'), (value, padding) => {
        const written = writeCut(value);
        const padded = written.text.replaceAll(value.ending, `${padding}${value.ending}${padding}${value.ending}${padding}`);
        expect(clipsOf(read({ ...written, text: padded }))).toEqual(written.clips);
      }),
    );
  });
});

describe('slips', () => {
  const slip = fc.tuple(cut, fc.nat(1000), fc.integer({ min: -3000, max: 3000 }));

  it('change the characters of labels only, and there and back is where it was', () => {
    fc.assert(
      fc.property(slip, ([value, pick, by]) => {
        const written = writeCut(value);
        const timeline = read(written);
        const clip = timeline.clips[pick % timeline.clips.length];
        const from = clip?.start?.count;
        if (clip === undefined || from === undefined) throw new Error('every clip of these cuts has a start');
        const to = rational(Number(from.numerator) + by);
        const there = edlFormat.editsFor(written.text, timeline, { kind: 'set-source-start', clip: clip.index, count: to });
        if (Number(to.numerator) < 0) {
          expect(there.ok).toBe(false);
          return;
        }
        if (!there.ok) throw new Error(there.reason);
        for (const edit of there.edits) {
          const label = /^\d\d[:;.]\d\d[:;.]\d\d[:;.]\d\d$/;
          expect(written.text.slice(edit.span.start, edit.span.end)).toMatch(label);
          expect(edit.newText).toMatch(label);
        }
        const moved = applyEdits(written.text, there.edits) ?? '';
        const after = read({ ...written, text: moved });
        // Source in of this event is where it was asked to be, every other number of every clip where it was.
        expect(clipsOf(after)).toEqual(
          timeline.clips.map((other, index) =>
            other.textGroup === clip.textGroup
              ? (written.clips[index] as string).replace(/[^|]*$/, ` ${seconds(written.rate, Number(to.numerator))}`)
              : written.clips[index],
          ),
        );
        expect(after.observations.filter(({ kind }) => kind !== 'note')).toEqual([]);
        const back = edlFormat.editsFor(moved, after, { kind: 'set-source-start', clip: clip.index, count: from });
        if (!back.ok) throw new Error(back.reason);
        expect(applyEdits(moved, back.edits)).toBe(written.text);
      }),
      { numRuns: 300 },
    );
  });

  it('an acceptance is read back on the clips it was written for, and touches nothing else', () => {
    fc.assert(
      fc.property(cut, fc.nat(1000), fc.string({ unit: 'grapheme', maxLength: 20 }), (value, pick, reason) => {
        const written = writeCut(value);
        const timeline = read(written);
        const clip = timeline.clips[pick % timeline.clips.length];
        if (clip === undefined) throw new Error('these cuts have clips');
        const result = edlFormat.editsFor(written.text, timeline, {
          kind: 'accept',
          clip: clip.index,
          code: 'sound-lags',
          reason,
        });
        if (!result.ok) throw new Error(result.reason);
        const text = applyEdits(written.text, result.edits) ?? '';
        const after = read({ ...written, text });
        expect(clipsOf(after)).toEqual(written.clips);
        expect(after.acceptances.map(({ code, clips }) => [code, clips])).toEqual([
          ['sound-lags', timeline.clips.filter((other) => other.textGroup === clip.textGroup).map((other) => other.index)],
        ]);
      }),
    );
  });
});

function seconds(rate: Fraction, frames: number): string {
  return fractionText(fraction(BigInt(frames) * rate[1], rate[0]));
}

/** Pieces that lists are made of, so that random text goes deep into the reader. */
const piece = fc.oneof(
  fc.string({ unit: 'binary', maxLength: 8 }),
  fc.constantFrom(
    '001',
    '002',
    ' CAM_A ',
    ' BL ',
    ' AX ',
    ' V ',
    ' AA/V ',
    ' NONE ',
    ' C ',
    ' D 010 ',
    ' W001 030 ',
    ' K B ',
    ' K 012 (F) ',
    ' KO ',
    '01:00:00:00',
    '01:00:01:00',
    '23:59:59;29',
    '00:01:00;00',
    '99:99:99:99',
    '0',
    '100',
    ' ',
    '\t',
    '\n',
    '\r',
    '\r\n',
    '\x1a',
    '\ufeff',
    '\ufffd',
    '\ud800',
    'TITLE:',
    'FCM: DROP FRAME',
    'FCM: NON-DROP FRAME',
    'FCM:',
    'M2 CAM_A 047.6 01:00:00:00',
    'M2',
    'AUD 3 4',
    'AUD',
    'SPLIT: AUDIO DELAY= 00:00:01:00',
    'SPLIT:',
    '* ',
    '* FROM CLIP NAME: X',
    '* TO CLIP NAME:',
    '* FREEZE FRAME',
    '* SOURCE FILE: a.mov',
    '* REEL CAM_A IS b',
    '* AFTERCLAP ACCEPT ',
    'GPI',
    '>>>',
    '001  CAM_A V C 01:00:00:00 01:00:01:00 00:00:00:00 00:00:01:00\n',
    '002  CAM_A V C 01:00:01:00 01:00:01:00 00:00:01:00 00:00:01:00\n002  CAM_B V D 010 01:00:00:00 01:00:01:00 00:00:01:00 00:00:02:00\n',
  ),
);
const anyText = fc.oneof(
  fc.string({ unit: 'binary' }),
  fc.array(piece, { maxLength: 40 }).map((pieces) => pieces.join('')),
);
const anyOptions: fc.Arbitrary<ReadOptions> = fc.record({
  edlRate: fc.constantFrom(
    null,
    rational(24),
    rational(30000, 1001),
    rational(60000, 1001),
    rational(25, 2),
    rational(1, 1001),
    rational(10 ** 12),
    rational(7n, 10n ** 30n),
  ),
  sharedPictureRate: fc.constantFrom(null, rational(24000, 1001)),
});

describe('any text', () => {
  it('is read without a throw, all places inside it, and the same twice', () => {
    fc.assert(
      fc.property(anyText, anyOptions, (text, options) => {
        const timeline = edlFormat.read(text, options);
        expectPlacesInside(text, timeline);
        expect(clipsOf(edlFormat.read(text, options))).toEqual(clipsOf(timeline));
        const tape = scanEdl(text);
        for (let line = 0; line < tape.lineCount; line += 1) {
          const { start, end } = lineSpan(tape, line);
          expect(start >= 0 && start < end && end <= text.length).toBe(true);
        }
        expect(tape.events.length).toBeGreaterThanOrEqual(tape.eventCount * EVENT_ROW.size);
        if (tape.lineCount > 0) expect(valueSpan(tape, 0).end).toBeLessThanOrEqual(text.length);
      }),
      { numRuns: 1500 },
    );
  });

  it('no change asked of it throws, and what is offered can be made', () => {
    fc.assert(
      fc.property(
        anyText,
        anyOptions,
        fc.nat(5),
        fc.integer({ min: -10, max: 3_000_000 }),
        fc.string({ maxLength: 8 }),
        (text, options, clip, count, reason) => {
          const timeline = edlFormat.read(text, options);
          for (const change of [
            { kind: 'set-source-start', clip, count: rational(count) },
            { kind: 'set-source-start', clip, count: rational(count, 7) },
            { kind: 'accept', clip, code: 'sound-leads', reason },
            { kind: 'set-rate', span: { start: 0, end: 1 }, rate: rational(25) },
            { kind: 'replace', span: { start: clip, end: clip + 3 }, newText: reason },
          ] as const) {
            const result = edlFormat.editsFor(text, timeline, change);
            if (result.ok) expect(applyEdits(text, result.edits)).not.toBeNull();
            else expect(result.reason).not.toBe('');
          }
        },
      ),
      { numRuns: 500 },
    );
  });
});

describe('a list cut off', () => {
  const whole = [
    'TITLE: CUT OFF',
    'FCM: DROP FRAME',
    ...Array.from({ length: 12 }, (_, index) => {
      const ten = String(index).padStart(2, '0');
      const next = String(index + 1).padStart(2, '0');
      return [
        `${String(index + 1).padStart(3, '0')}  CAM_A AA/V C        01:00:${ten};02 01:00:${next};02 00:00:${ten};02 00:00:${next};02`,
        `* FROM CLIP NAME:  SHOT ${index}`,
        `M2   CAM_A       030.0                01:00:${ten};02`,
        'AUD  3    4',
      ].join('\n');
    }),
  ].join('\n');
  const complete = clipsOf(edlFormat.read(whole, UNDECIDED));

  it.each(Array.from({ length: 51 }, (_, part) => part))('at %i/50 keeps what came before', (part) => {
    const text = whole.slice(0, Math.floor((whole.length * part) / 50));
    const timeline = edlFormat.read(text, UNDECIDED);
    expectPlacesInside(text, timeline);
    // All events but the last, whose comments may be cut off, are as in the whole list.
    const lastGroup = timeline.clips.at(-1)?.textGroup ?? 0;
    const sure = timeline.clips.filter((clip) => clip.textGroup < lastGroup);
    expect(clipsOf({ ...timeline, clips: sure })).toEqual(complete.slice(0, sure.length));
    expect(timeline.clips.length).toBeLessThanOrEqual(complete.length);
  });
});
