/**
 * What is pulled for the mix: ranges with handles, merged, and what is missing of them.
 */

import { describe, expect, test } from 'vitest';
import { readReport } from '../../../server/src/core/alignment/readReport.ts';
import { defaultSettings } from '../../../server/src/core/alignment/readSettings.ts';
import { audit } from '../../../server/src/core/audit.ts';
import { type PulledTimeline, pullList } from '../../../server/src/core/handoff/pullList.ts';
import { pullWords } from '../../../server/src/core/handoff/pullWords.ts';
import type { FoundRecording, RecordingFacts } from '../../../server/src/core/handoff/recordingFacts.ts';
import { renderPullTable } from '../../../server/src/core/report/handoff/renderPullTable.ts';
import { countToSeconds } from '../../../server/src/core/time/rate.ts';
import { formatRational, multiply, rational } from '../../../server/src/core/time/rational.ts';
import { type TestShot, writeOtio } from '../../support/cut.ts';

const RATE = rational(25);
const FRAME = 1920;

/** A cut at 25 whose sources count from the file's first frame; `deck` has 1,000 frames and a stamp of 10:00:00. */
function timeline(shots: readonly TestShot[], handleFrames = 10, path = 'cut.otio'): PulledTimeline {
  const report = readReport(
    'day.alignment.json',
    JSON.stringify({
      alignment: 1,
      pictures: { cam: { names: ['cam.mov'], rate: 25, frames: 5000 } },
      sounds: { deck: { names: ['deck.wav'], sampleRate: 48000, samples: 1000 * FRAME } },
      pairs: [],
    }),
  );
  const text = writeOtio({ rate: [25, 1], media: [], shots });
  return {
    path,
    audit: audit({ format: 'otio', text, reports: [report], settings: defaultSettings }),
    handles: { frames: handleFrames, seconds: countToSeconds(rational(handleFrames), RATE) },
  };
}

function sound(recordIn: number, sourceIn: number, length: number, more: Partial<TestShot> = {}): TestShot {
  return { track: 'A1', media: 'deck.wav', recordIn, sourceIn, length, ...more };
}

/** Ranges in frames of media time: from, to, used from, used to, missing at head and tail. */
function rangesOf(timelines: readonly PulledTimeline[], found: FoundRecording | null = null): readonly (readonly string[])[] {
  return pullList(timelines, () => found).flatMap(({ ranges }) =>
    ranges.map(({ range, used, missingHead, missingTail }) =>
      [range.start, range.end, used.start, used.end, missingHead, missingTail].map((seconds) =>
        formatRational(multiply(seconds, RATE)),
      ),
    ),
  );
}

const FACTS: RecordingFacts = {
  path: 'media/deck.wav',
  sizeBytes: 5_760_044,
  sampleRate: 48_000,
  sampleCount: 1000 * FRAME,
  channelCount: 2,
  bits: 24,
  isFloat: false,
  startSample: 36_000 * 48_000,
  scene: '12',
  take: '3',
  roll: 'R1',
  trackNames: ['Boom', ''],
};

describe('ranges', () => {
  test('get their handles on both sides', () => {
    expect(rangesOf([timeline([sound(0, 100, 50)])])).toEqual([['90', '160', '100', '150', '0', '0']]);
  });

  test('merge where their handles meet, and stay apart where a frame lies between', () => {
    expect(rangesOf([timeline([sound(0, 100, 50), sound(200, 170, 50)])])).toEqual([['90', '230', '100', '220', '0', '0']]);
    expect(rangesOf([timeline([sound(0, 100, 50), sound(200, 171, 50)])])).toEqual([
      ['90', '160', '100', '150', '0', '0'],
      ['161', '231', '171', '221', '0', '0'],
    ]);
  });

  test('come in the order of the recording, whatever the order of the cut; one inside another adds nothing', () => {
    expect(rangesOf([timeline([sound(0, 500, 50), sound(60, 100, 400), sound(500, 200, 20)])])).toEqual([
      ['90', '560', '100', '550', '0', '0'],
    ]);
  });

  test('end where the recording ends, and say by how much the handles are short', () => {
    expect(rangesOf([timeline([sound(0, 4, 50), sound(100, 940, 60)])])).toEqual([
      ['0', '64', '4', '54', '6', '0'],
      ['930', '1000', '940', '1000', '0', '10'],
    ]);
  });

  test('merge across the timelines of a hand-off, each with its own handles', () => {
    const reel1 = timeline([sound(0, 100, 50)], 10, 'reel1.otio');
    const reel2 = timeline([sound(0, 180, 50)], 25, 'reel2.otio');
    expect(rangesOf([reel1, reel2])).toEqual([['90', '255', '100', '230', '0', '0']]);
    const [recording] = pullList([reel1, reel2], () => null);
    const [range] = recording?.ranges ?? [];
    if (recording === undefined || range === undefined) throw new Error('one range was expected');
    expect(pullWords(recording).range(range).usedBy).toEqual([
      { timeline: 'reel1.otio', places: ['00:00:00:00 on A1'] },
      { timeline: 'reel2.otio', places: ['00:00:00:00 on A1'] },
    ]);
  });

  test('of disabled clips and of pictures are not pulled', () => {
    const shots = [
      sound(0, 100, 50, { isDisabled: true }),
      { track: 'V1', media: 'cam.mov', recordIn: 0, sourceIn: 0, length: 50 },
    ];
    expect(pullList([timeline(shots)], () => null)).toEqual([]);
  });
});

describe('a recording', () => {
  const found: FoundRecording = { kind: 'found', facts: FACTS, remarks: [] };

  test('is told with what its file says', () => {
    const table = renderPullTable(pullList([timeline([sound(0, 100, 50)])], () => found));
    const [, row] = table.split('\r\n');
    expect(row).toBe(
      'deck.wav,deck,media/deck.wav,5760044,48000,24,2,Boom,12,3,R1,1728000000,40.000 s,172800,307200,10:00:03.600,10:00:06.400,2.800 s,192000,288000,,,00:00:00:00 on A1 in cut.otio,',
    );
  });

  test('of another rate, length or stamp than the report says is told', () => {
    const differing = { ...FACTS, sampleRate: 44_100, sampleCount: 7 };
    const [recording] = pullList([timeline([sound(0, 100, 50)])], () => ({
      kind: 'found',
      facts: differing,
      remarks: ['A remark.'],
    }));
    expect(recording?.remarks).toEqual([
      'A remark.',
      'The file runs at 44100 Hz, the report says 48000: one of them is wrong, or the sound was pulled.',
      'The file holds 7 samples, the report says 1920000: it may be another file, or cut short.',
    ]);
  });

  test("that nobody measured is listed all the same, and a camera's own sound is called that", () => {
    const shots = [sound(0, 0, 50, { media: 'wild.wav' }), sound(0, 0, 50, { media: 'cam.mov', track: 'A2' })];
    expect(pullList([timeline(shots)], () => null).map(({ name, remarks }) => [name, remarks])).toEqual([
      ['wild.wav', ['It is not in the report, so nothing was checked against it.']],
      ['cam.mov', ["This is the camera's own sound."]],
    ]);
  });

  test('whose file is absent says why', () => {
    const table = renderPullTable(
      pullList([timeline([sound(0, 100, 50)])], () => ({ kind: 'absent', reason: 'was not found in media' })),
    );
    expect(table).toContain('It was not found in media.');
  });
});
