/**
 * Every mistake a report can hold: what was changed in the sample, what is said, on which characters.
 */

import { describe, expect, it } from 'vitest';
import { describeProblem, readSampleWith, sampleWith } from './sampleReport.ts';

interface Mistake {
  readonly name: string;
  readonly old: string;
  readonly changed: string;
  /** `severity at characters: beginning or part of the message`, one per problem, in text order. */
  readonly says: readonly RegExp[];
  /** How many pairs can still be used; 1 unless said. */
  readonly pairCount?: number;
}

const PAIR_END = '"clap": 1, "note": "" }';

const MISTAKES: readonly Mistake[] = [
  {
    name: 'another version: nothing is read and the known one is named',
    old: '"alignment": 1',
    changed: '"alignment": 2',
    says: [/^error at 2: This report is of version 2; this reader knows version 1\. Nothing was read/],
    pairCount: 0,
  },
  {
    name: 'the version as text',
    old: '"alignment": 1',
    changed: '"alignment": "1"',
    says: [/^error at "1": .*a number, without quotes/],
  },
  {
    name: 'no version',
    old: '"alignment": 1,',
    changed: '',
    says: [/^error at \{: An alignment report needs "alignment"\. Write "alignment": 1 first/],
  },
  {
    name: 'a slip in a member',
    old: '"driftPpm"',
    changed: '"driftPPM"',
    says: [/^information at "driftPPM": .*Did you mean "driftPpm"\? It is ignored/],
  },
  {
    name: 'no rate',
    old: '"rate": "24000/1001", ',
    changed: '',
    says: [/^error at "cam-a-07": Picture "cam-a-07" lacks "rate".*its pairs are not used/],
    pairCount: 0,
  },
  {
    name: 'a rate of zero',
    old: '"24000/1001"',
    changed: '0',
    says: [/^error at 0: "rate" of picture "cam-a-07" is zero/],
    pairCount: 0,
  },
  { name: 'a rate below zero', old: '"24000/1001"', changed: '-24', says: [/^error at -24: .* is below zero/], pairCount: 0 },
  {
    name: 'a rate over zero',
    old: '"24000/1001"',
    changed: '"24000/0"',
    says: [/^error at "24000\/0": .*expected a frame rate/],
    pairCount: 0,
  },
  {
    name: 'a comma in a rate',
    old: '"24000/1001"',
    changed: '"23,976"',
    says: [/^error at "23,976": .*Write a point, not a comma/],
    pairCount: 0,
  },
  {
    name: 'a sample rate where a frame rate belongs',
    old: '"24000/1001"',
    changed: '48000',
    says: [/^error at 48000: .*is a sample rate/],
    pairCount: 0,
  },
  {
    name: 'an unusual rate',
    old: '"24000/1001"',
    changed: '"47/2"',
    says: [/^information at "47\/2": .*taken as 47\/2 frames per second/],
  },
  {
    name: 'a rate that is no number',
    old: '"24000/1001"',
    changed: 'NaN',
    says: [/^error at NaN: .*no finite number/],
    pairCount: 0,
  },
  {
    name: 'a sample rate of zero',
    old: '"sampleRate": 48000',
    changed: '"sampleRate": 0',
    says: [/^error at 0: "sampleRate" of sound "deck-12" is zero/],
    pairCount: 0,
  },
  {
    name: 'a sample rate below zero',
    old: '"sampleRate": 48000',
    changed: '"sampleRate": -48000',
    says: [/^error at -48000/],
    pairCount: 0,
  },
  {
    name: 'kilohertz',
    old: '"sampleRate": 48000',
    changed: '"sampleRate": 48',
    says: [/^error at 48: .*too low for sound.*not kilohertz/],
    pairCount: 0,
  },
  {
    name: 'names without brackets are told and used',
    old: '["CAM_A_0007.mov"]',
    changed: '"CAM_A_0007.mov"',
    says: [/^error at "CAM_A_0007.mov": "names".*expected a list/],
  },
  {
    name: 'an empty name',
    old: '["CAM_A_0007.mov"]',
    changed: '[" "]',
    says: [/^warning at " ": A name of picture "cam-a-07" is empty/],
  },
  {
    name: 'a start that is no timecode',
    old: '"14:03:20:00"',
    changed: '"noon"',
    says: [/^error at "noon": .*expected the timecode of its first frame/],
  },
  {
    name: 'a frame field past the rate',
    old: '14:03:20:00',
    changed: '14:03:20:24',
    says: [/^error at "14:03:20:24": .*does not exist at 23\.976.*goes to 23/],
  },
  { name: 'hours past the day', old: '14:03:20:00', changed: '24:00:00:00', says: [/its hours go to 23/] },
  {
    // SMPTE ST 12-1: drop-frame counting is defined for 29.97 and 59.94 only.
    name: 'drop-frame where there is none',
    old: '"14:03:20:00"',
    changed: '"14:03:20:00", "dropFrame": true',
    says: [/^warning at true: Drop-frame timecode exists only at 29\.97 and 59\.94.*runs at 23\.976/],
  },
  {
    name: 'a drop-frame separator where there is none',
    old: '14:03:20:00',
    changed: '14:03:20;00',
    says: [/^warning at "14:03:20;00": Drop-frame timecode exists only/],
  },
  {
    // SMPTE ST 12-1: labels ;00 and ;01 are skipped each minute but the tenth.
    name: 'a label that drop-frame skips',
    old: '"24000/1001", "start": "14:03:20:00"',
    changed: '"30000/1001", "start": "14:03:00;01"',
    says: [/^error at "14:03:00;01": .*skips it; the next label is 14:03:00;02/],
  },
  {
    name: 'a drop-frame separator against the member',
    old: '"24000/1001", "start": "14:03:20:00"',
    changed: '"30000/1001", "start": "14:03:20;00", "dropFrame": false',
    says: [/^warning at "14:03:20;00": .*yet "dropFrame" is false/],
  },
  {
    name: 'half a frame of length',
    old: '4316',
    changed: '4316.5',
    says: [/^error at 4316\.5: .*expected a whole number, 1 or more/],
  },
  { name: 'no frames', old: '4316', changed: '0', says: [/^error at 0: "frames" of picture "cam-a-07" is 0/] },
  { name: 'null for unknown', old: '4316', changed: 'null', says: [/^error at null: .*Leave it out when it is not known/] },
  { name: 'a stamp below zero', old: '2430602400', changed: '-1', says: [/^error at -1: "startSample".*zero or more/] },
  {
    name: 'a number of a hundred digits',
    old: '9600000',
    changed: '9'.repeat(100),
    says: [/^error at 9+: "samples" of sound "deck-12" is a number no file can reach: 9{80}\.\.\./],
  },
  {
    name: 'a clap after the end of the file',
    old: '1675000]',
    changed: '9600000]',
    says: [/^warning at 9600000: Clap 2 of sound "deck-12" lies outside the file, which has 9600000 samples/],
  },
  {
    name: 'claps out of order',
    old: '[1234567, 1675000]',
    changed: '[1234567, 1234567]',
    says: [/^warning at 1234567: Clap 2 .*does not come after the clap before it/],
  },
  {
    name: 'a pair that names nobody: the nearest key is suggested',
    old: '"picture": "cam-a-07"',
    changed: '"picture": "cam-a-7"',
    says: [/^error at "cam-a-7": This pair names nobody: no picture has the key "cam-a-7"\. Did you mean "cam-a-07"\?/],
    pairCount: 0,
  },
  {
    name: 'a pair that names a file',
    old: '"picture": "cam-a-07"',
    changed: '"picture": "CAM_A_0007.MOV"',
    says: [/by key, not by file name: write "cam-a-07"/],
    pairCount: 0,
  },
  {
    name: 'a pair the wrong way round',
    old: '"picture": "cam-a-07", "sound": "deck-12"',
    changed: '"picture": "deck-12", "sound": "cam-a-07"',
    says: [/"deck-12" is a sound; are "picture" and "sound" swapped/, /"cam-a-07" is a picture/],
    pairCount: 0,
  },
  {
    name: 'a pair without a sound',
    old: '"sound": "deck-12", ',
    changed: '',
    says: [/^error at \{: This pair lacks "sound"/],
    pairCount: 0,
  },
  {
    name: 'a pair without an instant',
    old: '"at": { "frame": 132, "sample": 1234567.25 },',
    changed: '',
    says: [/^error at \{: This pair lacks "at"/],
    pairCount: 0,
  },
  {
    name: 'an instant without a sample',
    old: '"frame": 132, "sample": 1234567.25',
    changed: '"frame": 132',
    says: [/^error at \{: "at" of pair 1 lacks "sample"/],
    pairCount: 0,
  },
  {
    name: 'a frame as text',
    old: '"frame": 132',
    changed: '"frame": "132"',
    says: [/^error at "132": "frame" of pair 1 is text: expected a number, without quotes/],
    pairCount: 0,
  },
  {
    name: 'a frame past the end',
    old: '"frame": 132',
    changed: '"frame": 4316',
    says: [/^warning at 4316: Frame 4316 lies outside picture "cam-a-07", which has the frames 0 to 4315/],
  },
  {
    name: 'a frame before the start',
    old: '"frame": 132',
    changed: '"frame": -1',
    says: [/^warning at -1: Frame -1 lies outside/],
  },
  {
    name: 'a sample past the end',
    old: '1234567.25',
    changed: '9600000',
    says: [/^warning at 9600000: Sample 9600000 lies outside/, /^warning at 9600000: Clap 1/],
  },
  {
    name: 'a clap that is not listed',
    old: PAIR_END,
    changed: '"clap": 3, "note": "" }',
    says: [/^warning at 3: Clap 3 is not there: sound "deck-12" lists 2 claps/],
  },
  {
    name: 'half a clap',
    old: PAIR_END,
    changed: '"clap": 1.5, "note": "" }',
    says: [/^error at 1\.5: "clap" of pair 1 counts the claps of the sound from 1/],
  },
  { name: 'clap zero', old: PAIR_END, changed: '"clap": 0, "note": "" }', says: [/^error at 0: "clap"/] },
  {
    // 1675000 - 1234567.25 samples at 48 kHz are 9.176 s.
    name: 'the sample of another clap',
    old: PAIR_END,
    changed: '"clap": 2, "note": "" }',
    says: [/^warning at 1234567\.25: Clap 2 of sound "deck-12" is listed at sample 1675000, 9\.176 s after this sample/],
  },
  {
    name: 'an uncertainty below zero',
    old: '"early": 20.9',
    changed: '"early": -20.9',
    says: [/^error at -20\.9: "early" of pair 1 is below zero.*taken as zero/],
  },
  {
    name: 'one uncertainty for both sides',
    old: '{ "early": 20.9, "late": 20.9 }',
    changed: '20.9',
    says: [/^error at 20\.9: "uncertaintyMs" of pair 1 is a number: expected two sides/],
  },
  {
    name: 'a way of measuring nobody knows',
    old: '"by": "clap"',
    changed: '"by": "wave"',
    says: [/^error at "wave": .*Did you mean "waveform"/],
  },
  {
    // A 0.1 % pull is 1000 ppm up and 1000/1001 - 1 = -999 ppm down; 24 against 25 is 25/24 - 1 and 24/25 - 1 (computed).
    name: 'a drift no clock has',
    old: '"driftPpm": 0',
    changed: '"driftPpm": 41666.7',
    says: [
      /^warning at 41666\.7: A drift of 41666\.7 parts per million.*0\.1 % pull is 1000 or -999, 24 against 25 frames per second is 41667 or -40000/,
    ],
  },
  {
    name: 'a drift that stops the sound',
    old: '"driftPpm": 0',
    changed: '"driftPpm": -1000000',
    says: [/^error at -1000000: .*stand still or run backwards/],
    pairCount: 0,
  },
  {
    name: 'a key twice: the first counts',
    old: '"rate": "24000/1001"',
    changed: '"rate": "24000/1001", "rate": 25',
    says: [/^error at "rate"/],
  },
  {
    name: 'an entry twice',
    old: '"pictures": {',
    changed: '"pictures": { "cam-a-07": { "rate": 25 },',
    says: [/^error at "cam-a-07"/],
  },
  {
    name: 'two entries that claim one name, in other capitals',
    old: '"pictures": {',
    changed: '"pictures": { "cam-b-01": { "rate": 25, "names": ["cam_a_0007.MOV"] },',
    says: [/^warning at "CAM_A_0007\.mov": "CAM_A_0007\.mov" means picture "cam-b-01" too, so a clip of that name is ambiguous/],
  },
  {
    name: 'a picture and a sound that share a key',
    old: '"sounds": {',
    changed: '"sounds": { "cam-a-07": { "sampleRate": 48000 },',
    says: [/^warning at "cam-a-07": "cam-a-07" means picture "cam-a-07" too/],
  },
  {
    name: 'a name twice in one entry',
    old: '["CAM_A_0007.mov"]',
    changed: '["CAM_A_0007.mov", "cam_a_0007.mov"]',
    says: [/^information at "cam_a_0007\.mov": .*stands twice/],
  },
  { name: 'text after the report', old: '\n  ]\n}\n', changed: '\n  ]\n}\n}', says: [/^error at \}/] },
  { name: 'a comma too many', old: '"note": "" }', changed: '"note": "", }', says: [/^error at/] },
];

describe('a mistake in a report', () => {
  it.each(MISTAKES)('$name', ({ old, changed, says, pairCount }) => {
    const report = readSampleWith(old, changed);
    const text = sampleWith(old, changed);
    const said = report.problems.map((problem) => describeProblem(text, problem));
    expect(said, said.join('\n')).toHaveLength(says.length);
    for (const [index, pattern] of says.entries()) expect(said[index]).toMatch(pattern);
    expect(report.pairs).toHaveLength(pairCount ?? 1);
  });
});

describe('two pairs of the same picture and sound', () => {
  const second = (frame: string, sample: string, more: string): string =>
    sampleWith(
      PAIR_END,
      `${PAIR_END},\n    { "picture": "cam-a-07", "sound": "deck-12", "at": { "frame": ${frame}, "sample": ${sample} }${more} }`,
    );
  const problemsOf = (text: string): readonly string[] =>
    readSampleWith(PAIR_END, text.slice(text.indexOf(PAIR_END), text.lastIndexOf('\n  ]'))).problems.map((problem) =>
      describeProblem(text, problem),
    );

  // One frame is 2002 samples at 24000/1001 and 48 kHz (computed; standards on samples per frame agree).
  it('agree when their uncertainties meet', () => {
    expect(
      problemsOf(second('352', String(1234567 + 220 * 2002 + 2000), ', "uncertaintyMs": { "early": 20.9, "late": 20.9 }')),
    ).toEqual([]);
  });

  it('disagree when they do not, and the drift that would explain it is named', () => {
    // 2007 samples late at 48 kHz: 41.8 ms against 20.9 + 20.9; a second more sound over 100 s would be 10,000 ppm.
    const text = second('2532', String(1234567.25 + 2400 * 2002 + 2007), ', "uncertaintyMs": { "early": 20.9, "late": 20.9 }');
    const [said] = problemsOf(text);
    expect(said).toMatch(
      /^warning at \{ "frame": 2532, .*: This pair puts sound "deck-12" 41\.8 ms later under picture "cam-a-07" than an earlier pair does/,
    );
    // 2007 samples over 2400 x 2002 samples are 417.7 ppm.
    expect(said).toMatch(/"driftPpm" were 417\.7/);
  });

  it('may differ by half a frame each where no uncertainty is stated', () => {
    expect(problemsOf(second('352', String(1234567.25 + 220 * 2002 + 900), ''))).toEqual([]);
    expect(problemsOf(second('352', String(1234567.25 + 220 * 2002 + 2500), ''))).toHaveLength(1);
  });
});

describe('a pair made by timecode', () => {
  const BY_TIMECODE = '"by": "timecode" }';
  // 14:03:20:00 at 24000/1001 is 1,214,400 frames; frame 132 is sample (1214400 + 132) x 2002 = 2,431,493,064 since midnight.
  const exact = 2_431_493_064 - 2_430_602_400;

  it('agrees with the stamps of its entries', () => {
    const report = readSampleWith(
      '"sample": 1234567.25 },\n      "driftPpm": 0, "uncertaintyMs": { "early": 20.9, "late": 20.9 }, "by": "clap", "clap": 1, "note": "" }',
      `"sample": ${exact} }, ${BY_TIMECODE}`,
    );
    expect(report.problems).toEqual([]);
  });

  it('is told when they say otherwise', () => {
    const report = readSampleWith(
      '"sample": 1234567.25 },\n      "driftPpm": 0, "uncertaintyMs": { "early": 20.9, "late": 20.9 }, "by": "clap", "clap": 1, "note": "" }',
      `"sample": ${exact + 172_800} }, ${BY_TIMECODE}`,
    );
    expect(report.problems.map((problem) => problem.message)).toEqual([
      expect.stringMatching(/its sample lies 3\.6 s after its frame/),
    ]);
  });
});
