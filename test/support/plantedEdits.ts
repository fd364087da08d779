/**
 * Cuts and edits for tests of `compare`, with what must come out written beside each edit.
 *
 * An edit is made on the description of the cut, and its expectation follows from what an editor did, never from a comparison.
 */

import fc from 'fast-check';
import type { TestCut, TestShot } from './cut.ts';
import type { TestReport } from './report.ts';

export const STAMP = 10 * 3600 * 24;
export const FILE_LENGTH = 200_000;
export const FILES = 3;

/** One shot: a picture with its sound cut alike. */
export interface Shot {
  readonly file: number;
  readonly recordIn: number;
  readonly length: number;
  readonly sourceIn: number;
}

/** What a clip of one track was found to have done, in frames. */
export interface ExpectedChange {
  readonly track: string;
  readonly what: string;
}

export interface Planted {
  readonly title: string;
  readonly before: TestCut;
  readonly after: TestCut;
  /** Every change of a clip, blocks taken apart, in no order. */
  readonly changes: readonly ExpectedChange[];
  /** Frames by which a sound is heard later against its picture, for each pair that changed. */
  readonly sync: readonly number[];
  /** Changes that are told as one block; 0 for none. */
  readonly inBlocks: number;
  /** True when it disables a clip, which not every format can say. */
  readonly isDisabling: boolean;
}

export const plantedReport: TestReport = {
  pictures: Object.fromEntries(
    numbers(FILES).map((n) => [
      `cam-${n}`,
      { names: [`CAM_${n}.mov`], rate: '24000/1001', start: '10:00:00:00', frames: FILE_LENGTH },
    ]),
  ),
  sounds: Object.fromEntries(
    numbers(FILES).map((n) => [
      `deck-${n}`,
      { names: [`DECK_${n}.wav`], sampleRate: 48000, startSample: STAMP * 2002, samples: FILE_LENGTH * 2002 },
    ]),
  ),
  pairs: numbers(FILES).map((n) => ({ picture: `cam-${n}`, sound: `deck-${n}`, frame: 100, sample: 200200, driftPpm: n * 7 })),
};

/** Shots in record order with gaps between; each shows another part of its file, some the same part again. */
export const anyShots = (count: { readonly min: number; readonly max: number }): fc.Arbitrary<readonly Shot[]> =>
  fc
    .array(
      fc.record({
        file: fc.nat(FILES - 1),
        gap: fc.integer({ min: 20, max: 60 }),
        length: fc.integer({ min: 30, max: 200 }),
        isRepeat: fc.boolean(),
      }),
      { minLength: count.min, maxLength: count.max },
    )
    .map((drafts) => {
      const shots: Shot[] = [];
      let at = 0;
      for (const [index, { file, gap, length, isRepeat }] of drafts.entries()) {
        const last = shots.at(-1);
        // The same part of the same file twice in a row is what makes shots easy to mix up.
        const isSame = isRepeat && last !== undefined;
        const shot: Shot = {
          file: isSame ? last.file : file,
          recordIn: at,
          length: isSame ? last.length : length,
          sourceIn: isSame ? last.sourceIn : STAMP + 500 + index * 600,
        };
        shots.push(shot);
        at += shot.length + gap;
      }
      return shots;
    });

export function cutOfShots(shots: readonly Shot[]): TestCut {
  return cutOf(shots.flatMap((shot) => [pictureOf(shot), soundOf(shot)]));
}

export function cutOf(clips: readonly TestShot[]): TestCut {
  const media = numbers(FILES).flatMap((n) =>
    [`CAM_${n}.mov`, `DECK_${n}.wav`].map((file) => ({ file, stampFrames: STAMP, lengthFrames: FILE_LENGTH })),
  );
  const used = media.filter(({ file }) => clips.some((clip) => clip.media === file));
  return { rate: [24000, 1001], media: used, shots: clips };
}

export function pictureOf({ file, recordIn, length, sourceIn }: Shot): TestShot {
  return { track: 'V1', media: `CAM_${file}.mov`, recordIn, length, sourceIn };
}

export function soundOf({ file, recordIn, length, sourceIn }: Shot): TestShot {
  return { track: 'A1', media: `DECK_${file}.wav`, recordIn, length, sourceIn };
}

interface Act {
  readonly title: string;
  readonly isDisabling?: boolean;
  /** `amount` from 1 to 12 frames. */
  readonly make: (shots: readonly Shot[], at: number, amount: number) => Omit<Planted, 'title' | 'before' | 'isDisabling'>;
}

/** Two clips of one shot, replaced by others; the shots around stay. */
function instead(shots: readonly Shot[], at: number, clips: readonly TestShot[]): TestCut {
  return cutOf(shots.flatMap((shot, index) => (index === at ? clips : [pictureOf(shot), soundOf(shot)])));
}

const both = (what: string): readonly ExpectedChange[] => ['V1', 'A1'].map((track) => ({ track, what }));

const ACTS: readonly Act[] = [
  {
    title: 'sound slipped: plays a later part, so it is heard earlier',
    make: (shots, at, amount) => {
      const shot = shots[at] as Shot;
      const sound = { ...soundOf(shot), sourceIn: shot.sourceIn + amount };
      const changes = [{ track: 'A1', what: `slipped ${amount}` }];
      return { after: instead(shots, at, [pictureOf(shot), sound]), changes, sync: [-amount], inBlocks: 0 };
    },
  },
  {
    title: 'picture slipped: shows an earlier part, so its sound is heard earlier',
    make: (shots, at, amount) => {
      const shot = shots[at] as Shot;
      const picture = { ...pictureOf(shot), sourceIn: shot.sourceIn - amount };
      const changes = [{ track: 'V1', what: `slipped ${-amount}` }];
      return { after: instead(shots, at, [picture, soundOf(shot)]), changes, sync: [-amount], inBlocks: 0 };
    },
  },
  {
    title: 'both slipped alike',
    make: (shots, at, amount) => {
      const shot = { ...(shots[at] as Shot), sourceIn: (shots[at] as Shot).sourceIn + amount };
      return { after: cutOfShots(shots.with(at, shot)), changes: both(`slipped ${amount}`), sync: [], inBlocks: 0 };
    },
  },
  {
    title: 'sound moved later',
    make: (shots, at, amount) => {
      const shot = shots[at] as Shot;
      const sound = { ...soundOf(shot), recordIn: shot.recordIn + amount };
      const changes = [{ track: 'A1', what: `moved ${amount}` }];
      return { after: instead(shots, at, [pictureOf(shot), sound]), changes, sync: [amount], inBlocks: 0 };
    },
  },
  {
    title: 'everything from a shot on moved later, as by an insert',
    make: (shots, anywhere, amount) => {
      // All of a list moved is a list that starts at another timecode.
      const at = Math.max(1, anywhere);
      const moved = shots.map((shot, index) => (index < at ? shot : { ...shot, recordIn: shot.recordIn + amount }));
      const count = shots.length - at;
      const changes = numbers(count).flatMap(() => both(`moved ${amount}`));
      return { after: cutOfShots(moved), changes, sync: [], inBlocks: changes.length };
    },
  },
  {
    title: 'both trimmed at the tail',
    make: (shots, at, amount) => {
      const shot = shots[at] as Shot;
      const after = cutOfShots(shots.with(at, { ...shot, length: shot.length - amount }));
      return { after, changes: both(`recut 0 ${-amount}`), sync: [], inBlocks: 0 };
    },
  },
  {
    title: 'sound let out at the head, as for a J-cut',
    make: (shots, anywhere, amount) => {
      // Before the first shot there is no room.
      const at = Math.max(1, anywhere);
      const shot = shots[at] as Shot;
      const sound = {
        ...soundOf(shot),
        recordIn: shot.recordIn - amount,
        sourceIn: shot.sourceIn - amount,
        length: shot.length + amount,
      };
      return {
        after: instead(shots, at, [pictureOf(shot), sound]),
        changes: [{ track: 'A1', what: `recut ${amount} 0` }],
        sync: [],
        inBlocks: 0,
      };
    },
  },
  {
    title: 'picture replaced by the one of another camera',
    make: (shots, at) => {
      const shot = shots[at] as Shot;
      const picture = { ...pictureOf(shot), media: `CAM_${(shot.file + 1) % FILES}.mov` };
      return {
        after: instead(shots, at, [picture, soundOf(shot)]),
        changes: [{ track: 'V1', what: 'replaced' }],
        sync: [],
        inBlocks: 0,
      };
    },
  },
  {
    title: 'a shot added at the end',
    make: (shots) => {
      const last = shots.at(-1) as Shot;
      const added: Shot = { file: 0, recordIn: last.recordIn + last.length + 40, length: 50, sourceIn: STAMP + 190_000 };
      return { after: cutOfShots([...shots, added]), changes: both('added'), sync: [], inBlocks: 0 };
    },
  },
  {
    title: 'a shot removed, its place left empty',
    make: (shots, at) => {
      const after = cutOfShots(shots.filter((_shot, index) => index !== at));
      return { after, changes: both('removed'), sync: [], inBlocks: 0 };
    },
  },
  {
    title: 'sound disabled',
    isDisabling: true,
    make: (shots, at) => {
      const shot = shots[at] as Shot;
      const after = instead(shots, at, [pictureOf(shot), { ...soundOf(shot), isDisabled: true }]);
      return { after, changes: [{ track: 'A1', what: 'disabled' }], sync: [], inBlocks: 0 };
    },
  },
  {
    title: 'picture cut in two, nothing moved',
    make: (shots, at, amount) => {
      const shot = shots[at] as Shot;
      const head = { ...pictureOf(shot), length: amount };
      const tail = {
        ...pictureOf(shot),
        recordIn: shot.recordIn + amount,
        sourceIn: shot.sourceIn + amount,
        length: shot.length - amount,
      };
      const after = instead(shots, at, [head, tail, soundOf(shot)]);
      return { after, changes: [{ track: 'V1', what: 'split 2' }], sync: [], inBlocks: 0 };
    },
  },
  {
    title: 'sound put on another track',
    make: (shots, at) => {
      const shot = shots[at] as Shot;
      const after = instead(shots, at, [pictureOf(shot), { ...soundOf(shot), track: 'A2' }]);
      return { after, changes: [{ track: 'A2', what: 'track' }], sync: [], inBlocks: 0 };
    },
  },
];

export const anyPlanted: fc.Arbitrary<Planted> = fc
  .record({
    shots: anyShots({ min: 3, max: 14 }),
    at: fc.nat(1000),
    amount: fc.integer({ min: 1, max: 12 }),
    act: fc.constantFrom(...ACTS),
  })
  .map(({ shots, at, amount, act }) => ({
    title: act.title,
    before: cutOfShots(shots),
    isDisabling: act.isDisabling === true,
    ...act.make(shots, at % shots.length, amount),
  }));

export function numbers(count: number): readonly number[] {
  return Array.from({ length: count }, (_, index) => index);
}
