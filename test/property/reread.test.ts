/**
 * A key press costs one clip, and gives what a reading of the whole would give: timeline, comparisons and findings alike.
 */

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readReport } from '../../server/src/core/alignment/readReport.ts';
import { readSettings } from '../../server/src/core/alignment/readSettings.ts';
import { type Audit, audit, auditAgain } from '../../server/src/core/audit.ts';
import { formatFor } from '../../server/src/core/formats/formatFor.ts';
import { differingRange } from '../../server/src/core/text/differingRange.ts';
import { writeOtio } from '../support/cut.ts';
import { writeTestReport } from '../support/report.ts';
import { cameraReport, cutOf, STAMP, shot } from '../unit/rules/fixtures.ts';

const cut = writeOtio(
  cutOf(
    shot('V1', 'CAM_A_0001.mov', { name: 'wide' }),
    shot('V1', 'CAM_A_0001.mov', { recordIn: 240, sourceIn: STAMP + 900, name: 'close' }),
    shot('A1', 'DECK_0001.wav', { sourceIn: STAMP + 201 }),
    shot('A1', 'DECK_0001.wav', { recordIn: 250, length: 200, sourceIn: STAMP + 910 }),
    shot('A2', 'DECK_0002.wav', { recordIn: 250, length: 200, sourceIn: STAMP + 910, isDisabled: true }),
  ),
);
const warped = cut.replace(
  '"active_media_reference_key"',
  '"effects": [{"OTIO_SCHEMA": "LinearTimeWarp.1", "effect_name": "", "time_scalar": 2.0}], "active_media_reference_key"',
);
const nested = nest(cut);
const reports = [readReport('day1.alignment.json', writeTestReport(cameraReport))];
const settings = readSettings('afterclap.json', '{}');

/**
 * Nine takes, each with a camera and two recordings, cut one after the other: some in, some out, one doubled, one under the
 * wrong picture, one that no report knows, and the camera's own sound left in here and there.
 */
const TAKES = ['01', '02', '03', '04', '05', '06', '07', '08', '09'];
const day = writeOtio({
  rate: [24000, 1001],
  media: [],
  shots: TAKES.flatMap((take, number) => {
    const at = { recordIn: number * 100, length: 100 };
    const other = TAKES[(number + 1) % TAKES.length];
    return [
      shot('V1', `CAM_A_${take}.mov`, { ...at, name: `shot ${take}` }),
      shot('A1', `DECK_1_${take}.wav`, { ...at, sourceIn: STAMP + 200 + (number % 3) * 2 - 2 }),
      shot('A2', number === 4 ? `DECK_2_${other}.wav` : `DECK_2_${take}.wav`, { ...at, isDisabled: number === 6 }),
      shot('A3', number % 4 === 0 ? `CAM_A_${take}.mov` : 'ROOM.wav', at),
      shot('A4', `DECK_1_${take}.wav`, { ...at, recordIn: number * 100 + 20, length: 30, sourceIn: STAMP + 221 }),
      ...(number === 8 ? [shot('V2', `CAM_A_${take}.mov`, { ...at, sourceIn: STAMP + 190 })] : []),
    ];
  }),
});
const dayReports = [
  readReport(
    'day1.alignment.json',
    writeTestReport({
      pictures: Object.fromEntries(
        TAKES.map((take) => [
          `cam-${take}`,
          { names: [`CAM_A_${take}.mov`], rate: take === '07' ? 25 : '24000/1001', start: '14:00:00:00', frames: 5000 },
        ]),
      ),
      sounds: Object.fromEntries(
        TAKES.flatMap((take) =>
          [1, 2].map((deck) => [
            `deck-${deck}-${take}`,
            { names: [`DECK_${deck}_${take}.wav`], sampleRate: 48000, startSample: STAMP * 2002, samples: 5000 * 2002 },
          ]),
        ),
      ),
      pairs: TAKES.flatMap((take) =>
        [1, 2].map((deck) => ({ picture: `cam-${take}`, sound: `deck-${deck}-${take}`, frame: 100, sample: 200200 })),
      ),
    }),
  ),
];
const ACCEPTING = JSON.stringify({
  grid: '1f',
  rules: { 'no-sound': 'warning', 'short-handles': 'information', 'sound-doubled': 'error' },
  accept: [
    { code: 'sound-lags', clip: 'DECK_1_03.wav', reason: 'meant so' },
    { code: 'unmeasured', reason: 'room tone' },
  ],
});

/** Somebody works on clips: a digit of a start, a letter of a name or an address. */
const keyPresses = fc.record({
  site: fc.nat(),
  at: fc.nat(),
  removed: fc.constantFrom(0, 1, 1),
  inserted: fc.constantFrom('', '1', '2', '2', '9', '10', '_', 'x'),
});

/** In starts, names and addresses, and now and then anywhere. */
function placeOf(text: string, site: number, at: number): number {
  const sites = [...text.matchAll(/"start_time": \{[^}]*"value": |"(?:name|target_url)": "/g)];
  const found = sites[site % sites.length];
  if (found === undefined || at % 12 === 0) return at % (text.length + 1);
  return found.index + found[0].length + (at % 14);
}

/** Somebody types, deletes or pastes: mostly digits and letters, now and then what breaks the text. */
const edits = fc.record({
  at: fc.nat(),
  removed: fc.constantFrom(0, 0, 1, 1, 2, 40),
  inserted: fc.constantFrom('', '1', '7', '.5', 'x', ' ', '\n', '"', '}', '{', ',', '24', 'é', '𝄞', '"name": "new", '),
});

describe('reading again after an edit', () => {
  it.each([
    ['a plain cut', cut],
    ['a cut with a speed', warped],
    ['a nested and trimmed cut', nested],
  ])('gives what reading the whole gives: %s', (_name, text) => {
    fc.assert(
      fc.property(fc.array(edits, { minLength: 1, maxLength: 4 }), (presses) => {
        let before = run(text);
        for (const { at, removed, inserted } of presses) {
          const place = at % (before.input.text.length + 1);
          const after = before.input.text.slice(0, place) + inserted + before.input.text.slice(place + removed);
          const again = auditAgain(before, { ...before.input, text: after });
          const whole = run(after);
          expect(plain(again)).toEqual(plain(whole));
          before = again;
        }
      }),
      { numRuns: 250 },
    );
  });

  it.each([
    ['plain settings', '{}'],
    ['acceptances, severities and a grid', ACCEPTING],
  ])('gives it where files of many takes are tied to each other by pairs, with %s', (_name, text) => {
    const settings = readSettings('afterclap.json', text);
    const whole = (otio: string): Audit => audit({ format: 'otio', text: otio, reports: dayReports, settings });
    const first = whole(day);
    expect(new Set(first.findings.map(({ code }) => code)).size).toBeGreaterThan(6);
    let nearCount = 0;
    fc.assert(
      fc.property(fc.array(keyPresses, { minLength: 1, maxLength: 4 }), (presses) => {
        let before = first;
        for (const { site, at, removed, inserted } of presses) {
          const place = placeOf(before.input.text, site, at);
          const after = before.input.text.slice(0, place) + inserted + before.input.text.slice(place + removed);
          before = auditAgain(before, { ...before.input, text: after });
          if (before.base !== null) nearCount += 1;
          expect(plain(before)).toEqual(plain(whole(after)));
        }
      }),
      { numRuns: 100 },
    );
    expect(nearCount).toBeGreaterThan(80);
  });

  it('takes the short way for a digit of a clip, and the long one for its length', () => {
    const start = cut.indexOf(`"value": ${STAMP + 201}`) + '"value": '.length;
    const length = cut.indexOf('"value": 240', start) + '"value": '.length;
    for (const [place, isShort] of [
      [start + 2, true],
      [length, false],
    ] as const) {
      const after = `${cut.slice(0, place)}3${cut.slice(place + 1)}`;
      const previous = run(cut).timeline;
      const reread = formatFor('otio').reread?.(previous, cut, after, differingRange(cut, after)) ?? null;
      expect(reread !== null).toBe(isShort);
    }
  });
});

describe('the range in which two texts differ', () => {
  it('is the smallest: outside they are the same, and they differ at its ends', () => {
    fc.assert(
      fc.property(
        fc.string({ maxLength: 60 }),
        fc.string({ maxLength: 8 }),
        fc.nat(60),
        fc.nat(8),
        fc.constantFrom(0, 700, 3000),
        fc.nat(7000),
        (middle, inserted, at, removed, padding, guess) => {
          const text = 'a'.repeat(padding) + middle + 'b'.repeat(padding);
          const place = (padding + at) % (text.length + 1);
          const after = text.slice(0, place) + inserted + text.slice(place + removed);
          const { start, endBefore, endAfter } = differingRange(text, after);
          const near = { start: guess, endBefore: guess + at, endAfter: guess };
          expect(differingRange(text, after, near)).toEqual({ start, endBefore, endAfter });
          expect(text.slice(0, start)).toBe(after.slice(0, start));
          expect(text.slice(endBefore)).toBe(after.slice(endAfter));
          if (text === after) {
            expect([start, endBefore, endAfter]).toEqual([text.length, text.length, text.length]);
          } else if (start < endBefore && start < endAfter) {
            expect(text[start]).not.toBe(after[start]);
            expect(text[endBefore - 1]).not.toBe(after[endAfter - 1]);
          }
        },
      ),
    );
  });
});

function run(text: string): Audit {
  return audit({ format: 'otio', text, reports, settings });
}

/** What both ways must agree on: all of the timeline, and all that is said of it. */
function plain({ timeline, comparisons, findings, accepted, context }: Audit): unknown {
  const { outline, ...rest } = timeline;
  const { clips } = context;
  const overlaps = context.overlaps.map(({ picture, sound, record }) => [picture.clip.index, sound.clip.index, record]);
  return JSON.parse(
    JSON.stringify({ rest, outline, comparisons, findings, accepted, clips, overlaps }, (_key, value) =>
      typeof value === 'bigint' ? `${value}n` : isRational(value) ? canonical(value) : value,
    ),
  );
}

function isRational(value: unknown): value is { readonly numerator: number | bigint; readonly denominator: number | bigint } {
  return typeof value === 'object' && value !== null && 'numerator' in value && 'denominator' in value;
}

/** Equal values may be reduced differently. */
function canonical({
  numerator,
  denominator,
}: {
  readonly numerator: number | bigint;
  readonly denominator: number | bigint;
}): string {
  const [n, d] = [BigInt(numerator), BigInt(denominator)];
  const gcd = (a: bigint, b: bigint): bigint => (b === 0n ? (a < 0n ? -a : a) : gcd(b, a % b));
  const divisor = gcd(n, d) || 1n;
  return `${n / divisor}/${d / divisor}`;
}

/** The whole cut inside a stack that shows frames 20 to 420 of it. */
function nest(text: string): string {
  const timeline = JSON.parse(text);
  const rate = timeline.global_start_time.rate;
  const time = (value: number): object => ({ OTIO_SCHEMA: 'RationalTime.1', rate, value });
  timeline.tracks.source_range = { OTIO_SCHEMA: 'TimeRange.1', start_time: time(20), duration: time(400) };
  timeline.tracks = { OTIO_SCHEMA: 'Stack.1', name: 'outer', children: [timeline.tracks] };
  return JSON.stringify(timeline, null, 2);
}
