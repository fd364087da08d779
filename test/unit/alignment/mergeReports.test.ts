/**
 * Two reports for one timeline: a main recorder measured into one, a back-up into another.
 */

import { describe, expect, it } from 'vitest';
import { buildAlignment, entryFor, pairsOfPicture } from '../../../server/src/core/alignment/lookup.ts';
import { readReport } from '../../../server/src/core/alignment/readReport.ts';
import { clipWith } from './clips.ts';

interface Entries {
  readonly pictures: object;
  readonly sounds?: object;
  readonly pairs?: readonly object[];
}

function alignmentOf(...reports: readonly Entries[]): ReturnType<typeof buildAlignment> {
  return buildAlignment(
    reports.map((entries, index) =>
      readReport(`report${index + 1}.alignment.json`, JSON.stringify({ alignment: 1, sounds: {}, pairs: [], ...entries })),
    ),
  );
}

const AT = { frame: 0, sample: 0 };

describe('reports that describe one file', () => {
  it('share its entry, and the pairs of both hang on it', () => {
    const alignment = alignmentOf(
      {
        pictures: { 'cam-a': { names: ['A1.mov'], rate: 25 } },
        sounds: { main: { names: ['M1.wav'], sampleRate: 48000 } },
        pairs: [{ picture: 'cam-a', sound: 'main', at: AT }],
      },
      {
        pictures: { a1: { names: ['a1.MOV', 'A1_proxy.mp4'], rate: 25, start: '10:00:00:00', frames: 100 } },
        sounds: { reserve: { names: ['R1.wav'], sampleRate: 48000 } },
        pairs: [{ picture: 'a1', sound: 'reserve', at: AT }],
      },
    );
    expect(alignment.problems).toEqual([]);
    const [picture, ...others] = alignment.pictures;
    expect(others).toEqual([]);
    // What the first leaves out, the second fills in.
    expect(picture).toMatchObject({ key: 'cam-a', startFrame: { numerator: 900000 }, frameCount: { numerator: 100 } });
    expect(picture && pairsOfPicture(alignment, picture).map((pair) => pair.sound.key)).toEqual(['main', 'reserve']);
    expect(entryFor(alignment, clipWith({ name: 'A1_proxy.mp4' })).picture).toBe(picture);
    expect(entryFor(alignment, clipWith({ name: 'A1.mov' })).ambiguousWith).toEqual([]);
  });

  it('stay two entries when they contradict each other, and the later one is told', () => {
    const alignment = alignmentOf(
      { pictures: { 'cam-a': { names: ['A1.mov'], rate: 25 } } },
      { pictures: { 'cam-a': { names: ['A1.mov'], rate: 24 } } },
    );
    expect(alignment.pictures).toHaveLength(2);
    expect(alignment.problems).toMatchObject([{ file: 'report2.alignment.json', severity: 'warning' }]);
    expect(alignment.problems[0]?.message).toMatch(/"cam-a" claims a file that "cam-a" in report1\.alignment\.json claims too/);
    expect(entryFor(alignment, clipWith({ name: 'A1.mov' })).ambiguousWith).toHaveLength(1);
  });

  it('are two files when only the key is the same and both list names', () => {
    const alignment = alignmentOf(
      { pictures: { 'cam-a': { names: ['A1.mov'], rate: 25 } } },
      { pictures: { 'cam-a': { names: ['A2.mov'], rate: 25 } } },
    );
    expect(alignment.pictures).toHaveLength(2);
    expect(alignment.problems).toEqual([]);
  });

  it('meet by key when one of them lists no names', () => {
    const alignment = alignmentOf(
      { pictures: { 'cam-a': { names: ['A1.mov'], rate: 25 } } },
      { pictures: { 'CAM-A': { rate: 25 } } },
    );
    expect(alignment.pictures).toHaveLength(1);
  });

  it('may contradict each other about a pair, and are told', () => {
    const entries = (sample: number): Entries => ({
      pictures: { 'cam-a': { names: ['A1.mov'], rate: 25 } },
      sounds: { main: { names: ['M1.wav'], sampleRate: 48000 } },
      pairs: [{ picture: 'cam-a', sound: 'main', at: { frame: 0, sample }, uncertaintyMs: { early: 1, late: 1 } }],
    });
    expect(alignmentOf(entries(0), entries(96)).problems).toEqual([]);
    // 97 samples at 48 kHz are 2.02 ms, and 1 + 1 ms are allowed.
    const [problem] = alignmentOf(entries(0), entries(97)).problems;
    expect(problem?.file).toBe('report2.alignment.json');
    expect(problem?.message).toMatch(
      /2 ms later under picture "cam-a" than the pair in report1\.alignment\.json does, and their uncertainties allow 2 ms/,
    );
  });
});
