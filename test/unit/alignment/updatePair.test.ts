/**
 * Editing a report that people keep by hand: only the characters that must change do.
 */

import { describe, expect, it } from 'vitest';
import { readReport } from '../../../server/src/core/alignment/readReport.ts';
import type { PairData, PictureData, SoundData } from '../../../server/src/core/alignment/reportText.ts';
import { updatePair } from '../../../server/src/core/alignment/updatePair.ts';
import { reportData } from '../../../server/src/core/alignment/writeReport.ts';
import { applyEdits } from '../../../server/src/core/text/textEdit.ts';
import { type Rational, rational } from '../../../server/src/core/time/rational.ts';
import { SAMPLE_REPORT } from './sampleReport.ts';

const SAMPLE_DATA = reportData(readReport('day1.alignment.json', SAMPLE_REPORT));
const PAIR = SAMPLE_DATA.pairs[0] as PairData;
const PICTURE = SAMPLE_DATA.pictures[0] as PictureData;
const SOUND = SAMPLE_DATA.sounds[0] as SoundData;

const milliseconds = (early: number, late: number): { early: Rational; late: Rational } => ({
  early: rational(early, 10000),
  late: rational(late, 10000),
});

/** The text after the update; its reader must have no new complaint, and a second update must change nothing. */
function updated(text: string, pair: Partial<PairData>, entries: { picture?: PictureData; sound?: SoundData } = {}): string {
  const report = readReport('day1.alignment.json', text);
  const update = { pair: { ...PAIR, ...pair }, picture: entries.picture ?? null, sound: entries.sound ?? null };
  const result = updatePair(report, update);
  if (!result.ok) return result.reason;
  const changed = applyEdits(text, result.edits);
  if (changed === null) throw new Error('the edits overlap');
  const again = readReport('day1.alignment.json', changed);
  const errors = again.problems.filter((problem) => problem.severity === 'error');
  expect(errors).toEqual(report.problems.filter((problem) => problem.severity === 'error'));
  expect(updatePair(again, update)).toEqual({ ok: true, edits: [] });
  return changed;
}

/** The lines that differ, before and after. */
function difference(before: string, after: string): string {
  const old = before.split('\n');
  const fresh = after.split('\n');
  return [
    ...old.filter((line) => !fresh.includes(line)).map((line) => `- ${line.trim()}`),
    ...fresh.filter((line) => !old.includes(line)).map((line) => `+ ${line.trim()}`),
  ].join('\n');
}

describe('a pair that is there', () => {
  it('is left alone when nothing changes', () => {
    expect(updated(SAMPLE_REPORT, {})).toBe(SAMPLE_REPORT);
  });

  it('changes number by number', () => {
    const changed = updated(SAMPLE_REPORT, {
      sample: rational(2469135, 2),
      driftPpm: rational(-41, 10),
      uncertainty: milliseconds(1, 209),
    });
    expect(changed).toBe(
      SAMPLE_REPORT.replace('1234567.25 }', '1234567.5 }')
        .replace('"driftPpm": 0', '"driftPpm": -4.1')
        .replace('"early": 20.9', '"early": 0.1'),
    );
  });

  it('keeps notes, spacing and members nobody knows', () => {
    const text = SAMPLE_REPORT.replace(
      '"note": ""',
      '"note":   "second stick, see log" ,\n      "operator" : { "shift": 2 }',
    ).replace('"frame": 132', '"frame":132.0');
    const changed = updated(text, { frame: rational(133) });
    expect(changed).toBe(text.replace('"frame":132.0', '"frame":133'));
  });

  it('gets members it lacks, and loses those that no longer hold', () => {
    const changed = updated(SAMPLE_REPORT, { by: 'waveform', clap: null, uncertainty: null });
    expect(difference(SAMPLE_REPORT, changed)).toBe(
      '- "driftPpm": 0, "uncertaintyMs": { "early": 20.9, "late": 20.9 }, "by": "clap", "clap": 1, "note": "" }\n' +
        '+ "driftPpm": 0, "by": "waveform", "note": "" }',
    );
    const bare = SAMPLE_REPORT.replace(/,\n {6}"driftPpm.*\}/, ' }');
    expect(difference(bare, updated(bare, { driftPpm: rational(3), clap: 2, note: 'a "note"' }))).toBe(
      '- { "picture": "cam-a-07", "sound": "deck-12", "at": { "frame": 132, "sample": 1234567.25 } }\n' +
        '+ { "picture": "cam-a-07", "sound": "deck-12", "at": { "frame": 132, "sample": 1234567.25 }, "driftPpm": 3, "uncertaintyMs": { "early": 20.9, "late": 20.9 }, "by": "clap", "clap": 2, "note": "a \\"note\\"" }',
    );
  });

  it('loses members wherever they stand', () => {
    const pair = '{ "picture": "cam-a-07", "sound": "deck-12", "at": { "frame": 132, "sample": 1234567.25 }';
    const withPair = (members: string): string => SAMPLE_REPORT.replace(/\{ "picture[\s\S]*"note": "" \}/, members);
    const gone = { clap: null, uncertainty: null, by: null } as const;
    expect(updated(withPair(`{ "clap": 1, ${pair.slice(2)} }`), gone)).toBe(withPair(`${pair} }`));
    expect(updated(withPair(`{ "by": "clap", "clap": 1, ${pair.slice(2)} }`), gone)).toBe(withPair(`${pair} }`));
    expect(updated(withPair(`${pair}, "clap": 1, "by": "clap" }`), gone)).toBe(withPair(`${pair} }`));
    expect(updated(withPair(`${pair}, "clap": 1 }`), { ...gone, note: 'x' })).toBe(withPair(`${pair}, "note": "x" }`));
  });
});

describe('a pair that is not there', () => {
  it('is added below the others, in their layout', () => {
    const changed = updated(SAMPLE_REPORT, { clap: 2, frame: rational(352), sample: rational(1675000) });
    expect(changed).toBe(
      SAMPLE_REPORT.replace(
        '"note": "" }',
        '"note": "" },\n    { "picture": "cam-a-07", "sound": "deck-12", "at": { "frame": 352, "sample": 1675000 },\n      "driftPpm": 0, "uncertaintyMs": { "early": 20.9, "late": 20.9 }, "by": "clap", "clap": 2 }',
      ),
    );
  });

  it('brings the entries the report lacks', () => {
    const changed = updated(
      SAMPLE_REPORT,
      { picture: 'cam-b-02', sound: 'deck-13' },
      {
        picture: { ...PICTURE, key: 'cam-b-02', names: ['CAM_B_0002.mov'] },
        sound: { ...SOUND, key: 'deck-13', names: ['DECK_0013.wav'] },
      },
    );
    expect(changed).toContain(
      '"frames": 4316 },\n    "cam-b-02": { "names": ["CAM_B_0002.mov"], "rate": "24000/1001", "start": "14:03:20:00", "frames": 4316 }\n  },',
    );
    expect(changed).toContain(
      '],\n    "deck-13": '.replace('],', '] },') +
        '{ "names": ["DECK_0013.wav"], "sampleRate": 48000, "startSample": 2430602400, "samples": 9600000,\n                 "claps": [1234567, 1675000] }\n  },',
    );
  });

  it('is added to empty maps and lists, and to a report on one line', () => {
    const empty = '{\n\t"alignment": 1,\n\t"pictures": {},\n\t"sounds": {},\n\t"pairs": []\n}\n';
    expect(updated(empty, {}, { picture: PICTURE, sound: { ...SOUND, claps: [] } })).toContain(
      '\t"pictures": {\n\t\t"cam-a-07": { "names": ["CAM_A_0007.mov"], "rate": "24000/1001", "start": "14:03:20:00", "frames": 4316 }\n\t},',
    );
    const line = '{"alignment":1,"pictures":{},"sounds":{},"pairs":[]}';
    expect(updated(line, {}, { picture: { ...PICTURE, names: [] }, sound: { ...SOUND, names: [] } })).toBe(
      '{"alignment":1,"pictures":{ "cam-a-07": { "rate": "24000/1001", "start": "14:03:20:00", "frames": 4316 } },' +
        '"sounds":{ "deck-12": { "sampleRate": 48000, "startSample": 2430602400, "samples": 9600000, "claps": [1234567, 1675000] } },' +
        '"pairs":[ { "picture": "cam-a-07", "sound": "deck-12", "at": { "frame": 132, "sample": 1234567.25 }, "driftPpm": 0, "uncertaintyMs": { "early": 20.9, "late": 20.9 }, "by": "clap", "clap": 1 } ]}',
    );
  });

  it('keeps the line ends of the file', () => {
    const windows = SAMPLE_REPORT.replaceAll('\n', '\r\n');
    expect(updated(windows, { clap: 2 }).replaceAll('\r\n', '')).not.toMatch(/[\r\n]/);
  });
});

describe('a report that can not be edited', () => {
  it.each<[string, string, RegExp]>([
    ['broken JSON', SAMPLE_REPORT.slice(0, -4), /is not well-formed JSON; repair it first/],
    ['an empty file', '', /is not well-formed JSON/],
    ['another version', SAMPLE_REPORT.replace('"alignment": 1', '"alignment": 2'), /is not a report of version 1/],
    ['no list of pairs', '{ "alignment": 1, "pictures": {}, "sounds": {} }', /has no list of pairs/],
    ['no pictures', '{ "alignment": 1, "sounds": {}, "pairs": [] }', /has no "pictures"/],
    ['an entry that is missing', '{ "alignment": 1, "pictures": {}, "sounds": {}, "pairs": [] }', /has no picture "cam-a-07"/],
  ])('%s', (_name, text, reason) => {
    expect(updated(text, {})).toMatch(reason);
  });
});
