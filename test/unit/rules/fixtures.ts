/**
 * One cut that has each finding and one, as like it as can be, that has not.
 *
 * The scenario is invented: camera A and its sound roll run on one timecode, so a clip is in sync when picture and sound
 * show the same label; camera B has a sound roll of its own. 24000/1001 frames per second, 48 kHz.
 */

import type { FindingCode } from '../../../server/src/core/rules/finding.ts';
import type { FormatId } from '../../../server/src/core/timeline/model.ts';
import type { TestCut, TestShot } from '../../support/cut.ts';
import { writeEdl, writeOtio, writeXml } from '../../support/cut.ts';
import type { TestReport } from '../../support/report.ts';

export interface Fixture {
  readonly format: FormatId;
  readonly text: string;
  readonly report: TestReport | null;
  readonly settings: object;
}

export interface RuleFixture {
  readonly code: FindingCode;
  readonly has: Fixture;
  /** The very characters the finding must stand on. */
  readonly on: string;
  readonly hasNot: Fixture;
}

/** 14:00:00:00 at 24 labels a second. */
export const STAMP = 14 * 3600 * 24;
const SAMPLES_PER_FRAME = 2002;
const LENGTH = 5000;

export const cameraReport: TestReport = {
  pictures: {
    'cam-a': { names: ['CAM_A_0001.mov'], rate: '24000/1001', start: '14:00:00:00', frames: LENGTH },
    'cam-b': { names: ['CAM_B_0001.mov'], rate: '24000/1001', start: '14:00:00:00', frames: LENGTH },
  },
  sounds: {
    'deck-1': {
      names: ['DECK_0001.wav'],
      sampleRate: 48000,
      startSample: STAMP * SAMPLES_PER_FRAME,
      samples: LENGTH * SAMPLES_PER_FRAME,
      claps: [200200, 400400],
    },
    'deck-2': {
      names: ['DECK_0002.wav'],
      sampleRate: 48000,
      startSample: STAMP * SAMPLES_PER_FRAME,
      samples: LENGTH * SAMPLES_PER_FRAME,
    },
  },
  pairs: [
    { picture: 'cam-a', sound: 'deck-1', frame: 100, sample: 200200, clap: 1 },
    { picture: 'cam-b', sound: 'deck-2', frame: 100, sample: 200200 },
  ],
};

export function cutOf(...shots: readonly TestShot[]): TestCut {
  const files = ['CAM_A_0001.mov', 'CAM_B_0001.mov', 'DECK_0001.wav', 'DECK_0002.wav', 'MUSIC.wav'];
  const used = files.filter((file) => shots.some((shot) => shot.media === file));
  return {
    rate: [24000, 1001],
    media: used.map((file) => ({ file, stampFrames: STAMP, lengthFrames: LENGTH })),
    shots,
  };
}

/** A shot of camera A or its sound, ten seconds from frame 200 of the file unless told otherwise. */
export function shot(track: string, media: string, changes: Partial<TestShot> = {}): TestShot {
  return { track, media, recordIn: 0, length: 240, sourceIn: STAMP + 200, ...changes };
}

const picture = shot('V1', 'CAM_A_0001.mov');
const sound = shot('A1', 'DECK_0001.wav');
const good = cutOf(picture, sound);

function otio(cut: TestCut, settings: object = {}, report: TestReport | null = cameraReport): Fixture {
  return { format: 'otio', text: writeOtio(cut), report, settings };
}

function xml(cut: TestCut, settings: object = {}): Fixture {
  return { format: 'xml', text: writeXml(cut), report: cameraReport, settings };
}

function edl(text: string, settings: object = {}, report: TestReport | null = cameraReport): Fixture {
  return { format: 'edl', text, report, settings };
}

function replaced(fixture: Fixture, from: string, to: string): Fixture {
  if (!fixture.text.includes(from)) throw new Error(`the fixture does not hold ${from}`);
  return { ...fixture, text: fixture.text.replace(from, to) };
}

function withDrift(ppm: number): TestReport {
  return { ...cameraReport, pairs: cameraReport.pairs.map((pair) => ({ ...pair, driftPpm: ppm })) };
}

const longTake = cutOf({ ...picture, length: 4000 }, { ...sound, length: 4000 });

/** As writers before version 0.15 of the format's library wrote clips: one media reference, no map of them. */
function withOldClips(text: string): string {
  const parsed: unknown = JSON.parse(text, (_key, value) => {
    if (value?.OTIO_SCHEMA !== 'Clip.2') return value;
    const { media_references: references, active_media_reference_key: active, ...rest } = value;
    return { ...rest, OTIO_SCHEMA: 'Clip.1', media_reference: references[active] };
  });
  return JSON.stringify(parsed, null, 4);
}

const dropList = (label: string): string => `TITLE: DROP
FCM: DROP FRAME
001  ROLL1    V     C        00:00:50;00 ${label} 01:00:00;00 01:00:10;00
`;

const lengthList = (sourceOut: string): string => `TITLE: LENGTHS
FCM: NON-DROP FRAME
001  ROLL1    V     C        14:00:10:00 ${sourceOut} 01:00:00:00 01:00:10:00
`;

const ambiguous: TestReport = {
  ...cameraReport,
  pictures: {
    ...cameraReport.pictures,
    'cam-b': { names: ['CAM_B_0001.mov', 'SHOT_7'], rate: '24000/1001', start: '14:00:00:00', frames: LENGTH },
  },
};

export const ruleFixtures: readonly RuleFixture[] = [
  {
    code: 'sound-leads',
    has: otio(cutOf(picture, { ...sound, sourceIn: sound.sourceIn + 1 })),
    on: String(sound.sourceIn + 1),
    hasNot: otio(good),
  },
  {
    code: 'sound-lags',
    has: edl(writeEdl(cutOf(picture, { ...sound, sourceIn: sound.sourceIn - 3 }))),
    on: '14:00:08:05',
    // One frame late is what whole frames may cost (common practice).
    hasNot: edl(writeEdl(cutOf(picture, { ...sound, sourceIn: sound.sourceIn - 1 }))),
  },
  {
    code: 'sound-drifts',
    has: otio(longTake, {}, withDrift(1000)),
    on: String(sound.sourceIn),
    hasNot: otio(longTake, {}, withDrift(10)),
  },
  {
    code: 'sound-doubled',
    has: otio(cutOf(picture, sound, { ...sound, track: 'A2', sourceIn: sound.sourceIn - 1 })),
    on: String(sound.sourceIn - 1),
    hasNot: otio(cutOf(picture, sound, { ...sound, track: 'A2' })),
  },
  {
    code: 'wrong-recording',
    has: otio(cutOf(picture, { ...sound, media: 'DECK_0002.wav' })),
    on: 'media/DECK_0002.wav',
    hasNot: otio(cutOf({ ...picture, length: 200 }, { ...sound, media: 'DECK_0002.wav' })),
  },
  {
    code: 'unmeasured',
    has: otio(cutOf(picture, { ...sound, media: 'MUSIC.wav' })),
    on: 'media/MUSIC.wav',
    hasNot: otio(cutOf(picture, sound, { ...sound, track: 'A2', media: 'MUSIC.wav', length: 600 })),
  },
  {
    code: 'no-sound',
    has: otio(cutOf(picture), { rules: { 'no-sound': 'warning' } }),
    on: 'CAM_A_0001.mov',
    hasNot: otio(good, { rules: { 'no-sound': 'warning' } }),
  },
  {
    code: 'scratch-live',
    has: otio(cutOf(picture, sound, shot('A2', 'CAM_A_0001.mov'))),
    on: 'media/CAM_A_0001.mov',
    hasNot: otio(cutOf(picture, sound, shot('A2', 'CAM_A_0001.mov', { isDisabled: true }))),
  },
  {
    code: 'rate-mismatch',
    has: otio({ ...good, rate: [24, 1] }),
    on: '24',
    hasNot: replaced(otio(good), String(24000 / 1001), '23.98'),
  },
  {
    code: 'sample-rate-mismatch',
    has: replaced(xml(good), '<EditRate>48000 1</EditRate><EntryPoint>', '<EditRate>48048 1</EditRate><EntryPoint>'),
    on: '48048 1',
    hasNot: xml(good),
  },
  {
    code: 'speed-mismatch',
    has: replaced(
      xml(good),
      '<SourceDuration>240</SourceDuration>',
      '<SourceDuration>240</SourceDuration><TimeScalar>0.5</TimeScalar>',
    ),
    on: '0.5',
    hasNot: replaced(
      xml(good),
      '<SourceDuration>240</SourceDuration>',
      '<SourceDuration>240</SourceDuration><TimeScalar>1.0</TimeScalar>',
    ),
  },
  {
    code: 'drop-frame',
    // SMPTE ST 12-1, drop-frame counting: ;00 and ;01 do not exist at the start of minute 1.
    has: edl(dropList('00:01:00;00'), {}, null),
    on: '00:01:00;00',
    hasNot: edl(dropList('00:01:00;02'), {}, null),
  },
  {
    code: 'off-grid',
    has: replaced(otio(good), `"value": ${picture.sourceIn}`, `"value": ${picture.sourceIn}.4`),
    on: `${picture.sourceIn}.4`,
    // A millionth of a frame is the noise of a conversion in doubles.
    hasNot: replaced(otio(good), `"value": ${picture.sourceIn}`, `"value": ${picture.sourceIn}.0000001`),
  },
  {
    code: 'length-mismatch',
    has: edl(lengthList('14:00:20:05')),
    on: '14:00:20:05',
    hasNot: edl(lengthList('14:00:20:00')),
  },
  {
    code: 'record-overlap',
    has: edl(writeEdl(cutOf(picture, { ...picture, recordIn: 100, name: 'over' }))),
    on: 'over',
    hasNot: edl(writeEdl(cutOf(picture, { ...picture, recordIn: 240, name: 'after' }))),
  },
  {
    code: 'outside-media',
    has: otio(cutOf({ ...picture, sourceIn: STAMP + LENGTH - 10 })),
    on: String(STAMP + LENGTH - 10),
    hasNot: otio(cutOf({ ...picture, sourceIn: STAMP + LENGTH - 240 })),
  },
  {
    code: 'short-handles',
    has: otio(cutOf({ ...picture, sourceIn: STAMP + 20 }, { ...sound, sourceIn: STAMP + 20 }), {
      rules: { 'short-handles': 'warning' },
      handles: '2s',
    }),
    on: String(STAMP + 20),
    hasNot: otio(good, { rules: { 'short-handles': 'warning' }, handles: '2s' }),
  },
  {
    code: 'media-ambiguous',
    has: otio(cutOf({ ...picture, name: 'SHOT_7' }, sound), {}, ambiguous),
    on: 'SHOT_7',
    hasNot: otio(cutOf({ ...picture, name: 'SHOT_8' }, sound), {}, ambiguous),
  },
  {
    code: 'unreadable',
    has: replaced(otio(good), '"kind": "Video"', '"kind": Video'),
    on: 'Video',
    hasNot: otio(good),
  },
  {
    code: 'old-schema',
    has: { ...otio(good), text: withOldClips(writeOtio(good)) },
    on: 'Clip.1',
    hasNot: otio(good),
  },
  {
    code: 'accepted-unused',
    has: otio(good, { accept: [{ code: 'sound-leads', clip: 'DECK_0001.wav', reason: 'off screen' }] }),
    on: '',
    hasNot: otio(cutOf(picture, { ...sound, sourceIn: sound.sourceIn + 1 }), {
      accept: [{ code: 'sound-leads', clip: 'DECK_0001.wav', reason: 'off screen' }],
    }),
  },
];
