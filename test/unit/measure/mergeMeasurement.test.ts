/**
 * Measuring again into a report that people keep by hand: only what was measured changes.
 */

import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { readReport } from '../../../server/src/core/alignment/readReport.ts';
import { formatRational, rational } from '../../../server/src/core/time/rational.ts';
import type { Measurement } from '../../../server/src/project/measure/measurement.ts';
import { mergeClaps } from '../../../server/src/project/measure/mergeClaps.ts';
import { mergeMeasurement } from '../../../server/src/project/measure/mergeMeasurement.ts';
import { joinNotes, measuredNote } from '../../../server/src/project/measure/notes.ts';
import { clapPair, measurementOf, pictureNamed, soundNamed } from './measurements.ts';

const REPORT = `{
  "alignment": 1,
  "unit": "second camera team",
  "pictures": {
    "wide":  { "names": ["CAM_A.mov"], "rate": 25, "colour": "day" },
    "close": { "names": ["CAM_B.mov"], "rate": 25 }
  },
  "sounds": {
    "deck": { "names": ["DECK.wav"], "sampleRate": 48000, "claps": [100000, 200000] }
  },
  "pairs": [
    { "picture": "wide",  "sound": "deck", "at": { "frame": 40, "sample": 100000 }, "by": "clap", "clap": 1, "note": "first clap" },
    { "picture": "close", "sound": "deck", "at": {"frame":90,"sample":200000},
      "by": "clap", "clap": 2, "seen by": "the editor" }
  ]
}
`;

const DECK = (...claps: number[]) => ({ ...soundNamed('DECK.wav', 'deck_1', claps) });
const CAM_A = pictureNamed('cam_a.MOV', 'cam_a');

/** The text after merging; the reader must have nothing new to complain of. */
function merged(measurement: Partial<Measurement>, text = REPORT): string {
  const merging = mergeMeasurement('day1.alignment.json', text, measurementOf(measurement));
  if (!merging.ok) throw new Error(merging.reason);
  expect(merging.refused).toEqual([]);
  const complaints = (report: string): readonly string[] => readReport('r', report).problems.map(({ message }) => message);
  expect(complaints(merging.text).filter((message) => !complaints(text).includes(message))).toEqual([]);
  return merging.text;
}

/** Lines that differ. */
function difference(before: string, after: string): readonly string[] {
  const [old, fresh] = [before.split('\n'), after.split('\n')];
  return [
    ...old.filter((line) => !fresh.includes(line)).map((line) => `- ${line.trim()}`),
    ...fresh.filter((line) => !old.includes(line)).map((line) => `+ ${line.trim()}`),
  ];
}

describe('a pair measured again', () => {
  const again = { sounds: [DECK(100012, 200000)], pictures: [CAM_A], pairs: [clapPair('cam_a', 'deck_1', 41, 100012, 1)] };

  test('changes its numbers and nothing that a person wrote', () => {
    expect(difference(REPORT, merged(again))).toEqual([
      '- "wide":  { "names": ["CAM_A.mov"], "rate": 25, "colour": "day" },',
      '- "deck": { "names": ["DECK.wav"], "sampleRate": 48000, "claps": [100000, 200000] }',
      '- { "picture": "wide",  "sound": "deck", "at": { "frame": 40, "sample": 100000 }, "by": "clap", "clap": 1, "note": "first clap" },',
      '+ "wide":  { "names": ["CAM_A.mov"], "rate": 25, "colour": "day", "frames": 250 },',
      '+ "deck": { "names": ["DECK.wav"], "sampleRate": 48000, "claps": [100012, 200000], "samples": 480000 }',
      '+ { "picture": "wide",  "sound": "deck", "at": { "frame": 41, "sample": 100012 }, "by": "clap", "clap": 1, "note": "first clap", "uncertaintyMs": { "early": 0, "late": 40 } },',
    ]);
  });

  test('and a third time changes nothing', () => {
    const once = merged(again);
    expect(merged(again, once)).toBe(once);
  });
});

describe('claps', () => {
  test('that are new go to their place, and pairs count them', () => {
    const text = merged({ sounds: [DECK(50000, 100000, 150000, 200000)] });
    expect(text).toContain('"claps": [50000, 100000, 150000, 200000]');
    expect(text).toContain('"clap": 2, "note": "first clap"');
    expect(text).toContain('"clap": 4, "seen by": "the editor"');
  });

  test('listed by hand stay where they are, unless a pair is measured by them', () => {
    expect(merged({ sounds: [DECK(100012, 200000)] })).toContain('"claps": [100000, 200000]');
  });

  test('that are new may stand beside one that moves', () => {
    const pairs = [clapPair('cam_a', 'deck_1', 41, 100012, 2)];
    expect(merged({ sounds: [DECK(5, 100012, 100900)], pictures: [CAM_A], pairs })).toContain(
      '"claps": [5, 100012, 100900, 200000]',
    );
  });

  test('listed by hand stay, also when nothing was heard there', () => {
    expect(merged({ sounds: [DECK(200000)] })).toContain('"claps": [100000, 200000]');
  });

  test('joined keep their order, and every one can be found under its number', () => {
    const samples = fc
      .uniqueArray(fc.integer({ min: 0, max: 40 }), { maxLength: 8 })
      .map((list) => list.toSorted((a, b) => a - b));
    fc.assert(
      fc.property(samples, samples, (listedTens, heardTens) => {
        // Listed claps lie 10 ms apart and heard ones up to 0.4 ms beside them, so which is which is beyond doubt.
        const listed = listedTens.map((ten) => rational(ten * 480));
        const heard = heardTens.map((ten) => rational(ten * 480 + 19));
        const { added, numbersOfListed, numbersOfHeard } = mergeClaps(listed, heard, rational(48000), new Set());
        const joined = [...listedTens.map((ten) => ten * 480), ...added.map(({ sample }) => Number(sample.numerator))].toSorted(
          (a, b) => a - b,
        );
        expect(new Set(joined).size).toBe(joined.length);
        listedTens.forEach((ten, index) => {
          expect(joined[(numbersOfListed[index] as number) - 1]).toBe(ten * 480);
        });
        heardTens.forEach((ten, index) => {
          expect(joined[(numbersOfHeard[index] as number) - 1]).toBe(ten * 480 + (listedTens.includes(ten) ? 0 : 19));
        });
      }),
    );
  });
});

describe('files the report does not know', () => {
  test('are added with their pair, laid out as their neighbours', () => {
    const text = merged({
      sounds: [soundNamed('POCKET.wav', 'pocket', [70000])],
      pictures: [CAM_A],
      pairs: [clapPair('cam_a', 'pocket', 40, 70000, 1)],
    });
    expect(difference(REPORT, text).slice(-3)).toEqual([
      '+ "pocket": { "names": ["POCKET.wav"], "sampleRate": 48000, "samples": 480000, "claps": [70000] }',
      '+ { "picture": "wide", "sound": "pocket", "at": { "frame": 40, "sample": 70000 },',
      '+ "driftPpm": 0, "uncertaintyMs": { "early": 0, "late": 40 }, "by": "clap", "clap": 1 },',
    ]);
  });

  test('go into maps that are empty', () => {
    const empty = '{ "alignment": 1, "pictures": {}, "sounds": {}, "pairs": [] }';
    const report = readReport(
      'r',
      merged({ sounds: [DECK(1000)], pictures: [CAM_A], pairs: [clapPair('cam_a', 'deck_1', 3, 1000, 1)] }, empty),
    );
    expect(report.problems).toEqual([]);
    expect(report.pairs.map(({ sample }) => formatRational(sample))).toEqual(['1000']);
  });
});

describe('what the report and the file say differently', () => {
  const refusals = (measurement: Partial<Measurement>, text = REPORT): readonly string[] => {
    const merging = mergeMeasurement('day1.alignment.json', text, measurementOf(measurement));
    if (!merging.ok) throw new Error(merging.reason);
    expect(merging.text).toBe(text);
    return merging.refused.map(({ name, reason }) => `${name}: ${reason}`);
  };

  test('is told, and the pairs stay as they were', () => {
    const at24 = { ...CAM_A, data: { ...CAM_A.data, rate: rational(24) } };
    expect(refusals({ pictures: [at24], sounds: [], pairs: [clapPair('cam_a', 'deck_1', 1, 1, 1)] }).join()).toContain(
      'cam_a.MOV: Not put into day1.alignment.json: the report says 25 frames per second, the file 24.',
    );
    const longer = REPORT.replace('"sampleRate": 48000', '"sampleRate": 48000, "samples": 480001');
    expect(refusals({ sounds: [DECK(100000)] }, longer).join()).toContain('the report says 480001 samples, the file 480000');
  });

  test('includes a key that belongs to another file', () => {
    expect(refusals({ sounds: [soundNamed('OTHER.wav', 'deck')] }).join()).toContain('the key "deck" stands there already');
  });
});

test('a report with errors is left alone', () => {
  const merging = mergeMeasurement('day1.alignment.json', REPORT.replace('"alignment": 1,', '"alignment": 1'), measurementOf({}));
  expect(merging).toMatchObject({ ok: false, reason: expect.stringContaining('day1.alignment.json has errors') });
});

describe('a note', () => {
  const note = measuredNote(['2 m of air taken out']);

  test('of a person stays in front of what was measured', () => {
    expect(joinNotes('second clap', note)).toBe('second clap [measured: 2 m of air taken out]');
  });

  test('of an earlier measurement is replaced, or taken out', () => {
    expect(joinNotes('second clap [measured: 9 m of air taken out]', note)).toBe('second clap [measured: 2 m of air taken out]');
    expect(joinNotes('second clap [measured: 9 m of air taken out]', null)).toBe('second clap');
  });

  test('that says the same is not written again', () => {
    expect(joinNotes('[measured: 2 m of air taken out]', note)).toBeNull();
    expect(joinNotes('', null)).toBeNull();
    expect(joinNotes('only mine', null)).toBeNull();
  });
});
