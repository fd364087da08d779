/**
 * What must hold for every hand-off, whatever its numbers: pops, ranges, reels, tables, names.
 */

import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { readReport } from '../../server/src/core/alignment/readReport.ts';
import { defaultSettings } from '../../server/src/core/alignment/readSettings.ts';
import { audit } from '../../server/src/core/audit.ts';
import { safeFileName, uniqueNames } from '../../server/src/core/handoff/fileNames.ts';
import { handleLength } from '../../server/src/core/handoff/handleLength.ts';
import { readManifest } from '../../server/src/core/handoff/manifest.ts';
import { popPositions } from '../../server/src/core/handoff/popPositions.ts';
import { pullList } from '../../server/src/core/handoff/pullList.ts';
import { planCutReels, planPictureReels } from '../../server/src/core/handoff/reelPlan.ts';
import { syncSheet } from '../../server/src/core/handoff/syncSheet.ts';
import { csvTable } from '../../server/src/core/report/handoff/csvTable.ts';
import { renderSheetPage } from '../../server/src/core/report/handoff/renderSheetPage.ts';
import { renderSheetTable } from '../../server/src/core/report/handoff/renderSheetTable.ts';
import { nominalFramesPerSecond, type Rate, TIMECODE_RATES } from '../../server/src/core/time/rate.ts';
import { compare, rational } from '../../server/src/core/time/rational.ts';
import { formatTimecode, labelToFrame, parseTimecode, type TimecodeLabel } from '../../server/src/core/time/timecode.ts';
import { byteSourceOf } from '../../server/src/sound/byteSource.ts';
import { reelTiming } from '../../server/src/sound/reel/reelTiming.ts';
import { readWaveHeader } from '../../server/src/sound/wave/readWaveHeader.ts';
import { waveFields } from '../support/waveFields.ts';
import { piece, recordingOf, waveBytes, write } from '../unit/handoff/reels.ts';

describe('sync pops', () => {
  const dropRates: readonly Rate[] = [rational(30000, 1001), rational(60000, 1001)];

  /** Two seconds of labels further on, by the clock of the labels themselves: what a person would say, where both labels exist. */
  function twoSecondsLater(label: string): string {
    const { hours, minutes, seconds } = parseTimecode(label) as TimecodeLabel;
    const total = hours * 3600 + minutes * 60 + seconds + 2;
    const two = (value: number): string => String(value).padStart(2, '0');
    return `${two(Math.floor(total / 3600) % 24)}:${two(Math.floor(total / 60) % 60)}:${two(total % 60)}${label.slice(8)}`;
  }

  test('stand two seconds of labels away wherever no label is skipped between', () => {
    fc.assert(
      fc.property(fc.constantFrom(...TIMECODE_RATES), fc.nat(2_000_000), (rate, frame) => {
        const { head } = popPositions(frame, frame, rate);
        fc.pre(head >= 0);
        expect(twoSecondsLater(formatTimecode(head, rate, false))).toBe(formatTimecode(frame, rate, false));
      }),
    );
  });

  test('lie the programme and four seconds apart, less one frame', () => {
    fc.assert(
      fc.property(fc.constantFrom(...TIMECODE_RATES), fc.nat(1_000_000), fc.nat(1_000_000), (rate, first, length) => {
        const { head, tail } = popPositions(first, first + length, rate);
        expect(tail - head).toBe(length + 1 + 4 * nominalFramesPerSecond(rate) - 1);
      }),
    );
  });

  test('count frames across dropped labels: the label is one that exists, and counting on from it comes back', () => {
    fc.assert(
      fc.property(fc.constantFrom(...dropRates), fc.nat(2_000_000), (rate, frame) => {
        const { head, distanceFrames } = popPositions(frame, frame, rate);
        fc.pre(head >= 0);
        const label = parseTimecode(formatTimecode(head, rate, true)) as TimecodeLabel;
        expect(labelToFrame(label, rate, true)).toEqual({ ok: true, frame: frame - distanceFrames });
      }),
    );
  });
});

describe('reels', () => {
  const recorded = Float64Array.from({ length: 3000 }, (_, index) => Math.sin(index * 0.7) * 0.4 + Math.sin(index * 0.013) * 0.3);

  test('copied from anywhere are the recording, and silence outside of it', async () => {
    const source = waveBytes('s24', [recorded]);
    const recording = await recordingOf(source);
    const truth = waveFields(source).samples(0);
    await fc.assert(
      fc.asyncProperty(fc.integer({ min: -5000, max: 5000 }), fc.integer({ min: 1, max: 4000 }), async (from, count) => {
        const { bytes } = await write(count, [piece(recording, count, from)]);
        const made = waveFields(bytes).samples(0);
        expect(made.length).toBe(count);
        for (let index = 0; index < count; index += 1)
          if (made[index] !== (truth[from + index] ?? 0)) throw new Error(`sample ${index}`);
      }),
    );
  });

  test('are wave files that say of themselves what they are, whatever their form and length', async () => {
    await fc.assert(
      fc.asyncProperty(
        fc.constantFrom('u8', 's16', 's24', 's32', 'f32', 'f64'),
        fc.integer({ min: 1, max: 5 }),
        fc.integer({ min: 0, max: 2000 }),
        fc.constantFrom(rational(0), rational(1, 2), rational(-77, 3)),
        fc.constantFrom(rational(1), rational(1_000_050, 1_000_000), rational(441, 480)),
        async (kind, channels, count, from, step) => {
          const source = waveBytes(kind, new Array(channels).fill(recorded));
          const { bytes } = await write(count, [piece(await recordingOf(source), count, from, step)]);
          const { header, problems } = await readWaveHeader(byteSourceOf(bytes));
          expect(problems.filter(({ severity }) => severity === 'error')).toEqual([]);
          expect(problems.filter(({ severity }) => severity === 'warning' && count > 0)).toEqual([]);
          expect(header).toMatchObject({
            channelCount: channels,
            sampleCount: count,
            format: (await recordingOf(source)).header.format,
          });
          expect(bytes.length % 2).toBe(0);
        },
      ),
      { numRuns: 60 },
    );
  });

  test('are nowhere further off than half a sample and half of what may drift', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: -10_000_000, max: 10_000_000 }),
        fc.integer({ min: -200, max: 200 }),
        fc.integer({ min: 1, max: 400_000_000 }),
        fc.integer({ min: 0, max: 100 }),
        (start, ppm, count, threshold) => {
          const from = rational(start, 7);
          const step = rational(1_000_000 + ppm, 1_000_000);
          const timing = reelTiming(from, step, count, rational(threshold));
          const number = (value: typeof from): number => Number(value.numerator) / Number(value.denominator);
          const drift = (Math.abs(ppm) * (count - 1)) / 1e6;
          expect(timing.isResampled).toBe(BigInt(Math.abs(ppm)) * BigInt(count - 1) > BigInt(threshold) * 1_000_000n);
          expect(number(timing.largestError)).toBeLessThanOrEqual(timing.isResampled ? 0 : 0.5 + drift / 2 + 1e-6);
          if (timing.isResampled) expect([timing.from, timing.step]).toEqual([from, step]);
        },
      ),
    );
  });
});

describe('tables', () => {
  /** RFC 4180 read by hand, on its own terms. */
  function parse(text: string): readonly (readonly string[])[] {
    const rows: string[][] = [[]];
    let cell = '';
    let isQuoted = false;
    for (let at = 1; at < text.length; at += 1) {
      const character = text[at] as string;
      if (isQuoted) {
        if (character !== '"') cell += character;
        else if (text[at + 1] === '"') {
          cell += '"';
          at += 1;
        } else isQuoted = false;
      } else if (character === '"') isQuoted = true;
      else if (character === ',' || character === '\r') {
        (rows.at(-1) as string[]).push(cell);
        cell = '';
      } else if (character === '\n') rows.push([]);
      else cell += character;
    }
    return rows.slice(0, -1);
  }

  test('are read again cell for cell, and no cell is a formula', () => {
    const cells = fc.array(fc.string({ unit: 'binary' }), { minLength: 3, maxLength: 3 });
    fc.assert(
      fc.property(fc.array(cells), (rows) => {
        const text = csvTable(['a', 'b', 'c'], rows);
        expect(text.startsWith('\ufeff')).toBe(true);
        const read = parse(text);
        expect(read).toHaveLength(rows.length + 1);
        for (const row of read) {
          expect(row).toHaveLength(3);
          for (const cell of row) expect(cell).not.toMatch(/^\s*[=+\-@]/);
        }
        // Letters and punctuation come through as they are.
        for (const [index, row] of rows.entries()) {
          for (const [column, cell] of row.entries())
            if (/^[\p{L}\p{N} ,"';]*$/u.test(cell)) expect(read[index + 1]?.[column]).toBe(cell);
        }
      }),
    );
  });
});

describe('names of files', () => {
  test('hold nothing that some system refuses, and never overwrite each other', () => {
    fc.assert(
      fc.property(fc.array(fc.string({ unit: 'binary' }), { maxLength: 30 }), (texts) => {
        const unique = uniqueNames();
        const names = texts.map((text) => unique(safeFileName(text), '.wav'));
        for (const name of names) {
          expect(name).toMatch(/^[^<>:"/\\|?*\p{Cc}]+$/u);
          expect(name).not.toMatch(/^(?:con|prn|aux|nul|com\d|lpt\d)\./i);
          expect(name).not.toMatch(/^[. ]/);
        }
        expect(new Set(names.map((name) => name.normalize('NFC').toLowerCase())).size).toBe(names.length);
      }),
    );
  });
});

describe('any timeline, damaged or not', () => {
  const folder = join(import.meta.dirname, '../../samples');
  const reports = [readReport('millrace.alignment.json', readFileSync(join(folder, 'millrace.alignment.json'), 'utf8'))];
  const texts = (['otio', 'xml', 'edl'] as const).map((format) => ({
    format,
    text: readFileSync(join(folder, format === 'xml' ? 'millrace.timeline.xml' : `millrace.${format}`), 'utf8'),
  }));

  test('gives a sheet with all of its clips, a pull list, and reels that fit each other', () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...texts),
        fc.double({ min: 0, max: 1, noNaN: true }),
        fc.double({ min: 0, max: 1, noNaN: true }),
        fc.boolean(),
        ({ format, text }, cutAt, cutLength, hasReport) => {
          const start = Math.floor(cutAt * text.length);
          const damaged = text.slice(0, start) + text.slice(start + Math.floor(cutLength * cutLength * 400));
          const result = audit({ format, text: damaged, reports: hasReport ? reports : [], settings: defaultSettings });
          const timeline = {
            path: 'cut',
            audit: result,
            handles: handleLength({ unit: 's', value: rational(2) }, result.timeline.rate),
          };
          const recordings = pullList([timeline], () => null);
          const sheet = syncSheet({
            timeline,
            reportReason: '',
            toleranceSource: '',
            handlesAsked: '',
            programmeStart: null,
            recordings,
            reels: [],
            missing: [],
            made: '',
            command: '',
          });
          expect(sheet.clips).toHaveLength(result.timeline.clips.length);
          expect(renderSheetPage(sheet, null)).toContain('</html>');
          expect(renderSheetTable(sheet).split('\r\n').length).toBeGreaterThan(sheet.clips.length);
          for (const { ranges } of recordings) {
            for (const [index, { range, used }] of ranges.entries()) {
              const next = ranges[index + 1];
              if (next !== undefined) expect(compare(range.end, next.range.start)).toBeLessThanOrEqual(0);
              expect(compare(used.start, used.end)).toBeLessThanOrEqual(0);
            }
          }
          for (const { pieces, sampleCount } of [...planCutReels(timeline).reels, ...planPictureReels([timeline]).reels]) {
            let at = 0;
            for (const piece of pieces) {
              expect(piece.at).toBeGreaterThanOrEqual(at);
              at = piece.at + piece.count;
            }
            expect(at).toBeLessThanOrEqual(sampleCount);
          }
        },
      ),
      { numRuns: 150 },
    );
  });
});

describe('a manifest', () => {
  test('is read or refused, never thrown at, on any text', () => {
    fc.assert(
      fc.property(
        fc.oneof(
          fc.string(),
          fc.json(),
          fc.json().map((text) => `{"handoff":1,"files":${text}}`),
        ),
        (text) => {
          const reading = readManifest(text);
          expect(reading.ok || reading.reason.length > 10).toBe(true);
        },
      ),
    );
  });
});
