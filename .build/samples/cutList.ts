/**
 * The cut of the samples: what stands where on the timeline, and what each event is there to show.
 *
 * Positions are whole frames of 24000/1001, because an edit decision list holds nothing finer and all three formats must
 * carry the same cut. `slip` says how the sound of an event was lined up; where it was done wrong, that is the mistake the
 * sample exists for. `place.ts` works out the numbers.
 */

export interface PictureClip {
  readonly name: string;
  readonly media: string;
  /** Record time in frames. */
  readonly from: number;
  readonly length: number;
  /** First shown frame of the file, counted as the timeline counts: see `countedAt`. */
  readonly entry: number;
  /** The rate at which somebody told the timeline to count this file; absent where it is the camera's own. */
  readonly countedAt?: 24;
}

/** How a sound clip was lined up with the picture of its event. */
export type Slip =
  /** On the frame that leaves sound least late, then this many frames later (negative: earlier). */
  | { readonly by: 'clap'; readonly lateFrames: number }
  /** On another clap of the same recording than the one this camera saw. */
  | { readonly by: 'other-clap'; readonly clap: number }
  /** By a stamp that was turned into timecode at 24 instead of 24000/1001. */
  | { readonly by: 'stamp-read-at-24' }
  /** At this many samples, counted at `countedAt` instead of the file's 48000. */
  | { readonly by: 'samples'; readonly entry: number };

export interface SoundClip {
  readonly name: string;
  readonly media: string;
  readonly channels: readonly ('A1' | 'A2')[];
  readonly from: number;
  readonly length: number;
  readonly slip: Slip;
  readonly countedAt?: 48048;
  readonly accept?: { readonly code: string; readonly reason: string };
}

/** One finding an event must bring. */
export interface Expected {
  readonly code: string;
  /** The clip on whose characters it stands. */
  readonly clip: string;
  /** Which number of that clip is underlined. */
  readonly on: 'start' | 'rate';
  /** Formats that can show it; an edit decision list writes no rates. */
  readonly formats: readonly ('otio' | 'xml' | 'edl')[];
  /** A word that its cause must hold; null where no cause is claimed. */
  readonly cause: string | null;
}

export interface CutEvent {
  readonly id: string;
  /** What a person sees here, for the table in the samples' README. */
  readonly story: string;
  readonly picture: PictureClip;
  readonly sounds: readonly SoundClip[];
  readonly expected: readonly Expected[];
}

const ALL = ['otio', 'xml', 'edl'] as const;
const WITH_RATES = ['otio', 'xml'] as const;
const onTheClap: Slip = { by: 'clap', lateFrames: 0 };

export const EVENTS: readonly CutEvent[] = [
  {
    id: 'plain',
    story: 'A plain cut with main and back-up recorder, both where the clap says.',
    picture: { name: 'door, wide', media: 'cam-a-01', from: 0, length: 240, entry: 610 },
    sounds: [
      { name: 'door, wide (deck)', media: 'deck-01', channels: ['A1'], from: 0, length: 240, slip: onTheClap },
      { name: 'door, wide (pocket)', media: 'pocket-01', channels: ['A2'], from: 0, length: 240, slip: onTheClap },
    ],
    expected: [],
  },
  {
    id: 'lead-of-one',
    story: 'Sound one frame early: lined up on the frame before the one that shows the clap.',
    picture: { name: 'door, latch', media: 'cam-a-01', from: 240, length: 240, entry: 1100 },
    sounds: [
      {
        name: 'door, latch (deck)',
        media: 'deck-01',
        channels: ['A1'],
        from: 240,
        length: 240,
        slip: { by: 'clap', lateFrames: -1 },
      },
    ],
    expected: [{ code: 'sound-leads', clip: 'door, latch (deck)', on: 'start', formats: ALL, cause: 'frame' }],
  },
  {
    id: 'lag-of-three',
    story: 'Sound three frames late, one recording on both channels.',
    picture: { name: 'door, step', media: 'cam-a-01', from: 480, length: 240, entry: 1500 },
    sounds: [
      {
        name: 'door, step (deck)',
        media: 'deck-01',
        channels: ['A1', 'A2'],
        from: 480,
        length: 240,
        slip: { by: 'clap', lateFrames: 3 },
      },
    ],
    expected: [{ code: 'sound-lags', clip: 'door, step (deck)', on: 'start', formats: ALL, cause: 'frame' }],
  },
  {
    id: 'wrong-clap',
    story: 'Camera B, lined up on the clap that was meant for camera A.',
    picture: { name: 'door, reverse', media: 'cam-b-01', from: 720, length: 240, entry: 1250 },
    sounds: [
      {
        name: 'door, reverse (deck)',
        media: 'deck-01',
        channels: ['A1'],
        from: 720,
        length: 240,
        slip: { by: 'other-clap', clap: 1 },
      },
    ],
    expected: [{ code: 'sound-lags', clip: 'door, reverse (deck)', on: 'start', formats: ALL, cause: 'clap' }],
  },
  {
    id: 'l-cut',
    story: 'An L-cut: the sound goes on for 60 frames under the next picture. Fine.',
    picture: { name: 'stones, wide', media: 'cam-a-02', from: 960, length: 240, entry: 700 },
    sounds: [{ name: 'stones (deck)', media: 'deck-02', channels: ['A1'], from: 960, length: 540, slip: onTheClap }],
    expected: [],
  },
  {
    id: 'second-camera',
    story: 'The other camera on the same recording, cut at another place than its sound. Fine.',
    picture: { name: 'stones, close', media: 'cam-b-02', from: 1200, length: 240, entry: 940 },
    sounds: [],
    expected: [],
  },
  {
    id: 'j-cut',
    story: 'A J-cut: the miller is heard 40 frames before she is seen. Fine.',
    picture: { name: 'miller, first words', media: 'cam-a-03', from: 1440, length: 240, entry: 420 },
    sounds: [
      { name: 'miller, first words (deck)', media: 'deck-03', channels: ['A2'], from: 1400, length: 580, slip: onTheClap },
    ],
    expected: [],
  },
  {
    id: 'cutaway',
    story: 'A mute cutaway over her words, shot another time. Fine.',
    picture: { name: 'hands, flour', media: 'cam-b-04', from: 1680, length: 60, entry: 300 },
    sounds: [],
    expected: [],
  },
  {
    id: 'after-cutaway',
    story: 'Back to her, still on the same sound clip. Fine.',
    picture: { name: 'miller, back', media: 'cam-a-03', from: 1740, length: 240, entry: 720 },
    sounds: [],
    expected: [],
  },
  {
    id: 'long-take',
    story: 'Eighteen minutes in one piece: the main recorder holds, the back-up (55 ppm fast) drifts out.',
    picture: { name: 'miller, long take', media: 'cam-a-03', from: 1980, length: 26400, entry: 1200 },
    sounds: [
      { name: 'miller, long take (deck)', media: 'deck-03', channels: ['A1'], from: 1980, length: 26400, slip: onTheClap },
      { name: 'miller, long take (pocket)', media: 'pocket-03', channels: ['A2'], from: 1980, length: 26400, slip: onTheClap },
    ],
    expected: [{ code: 'sound-drifts', clip: 'miller, long take (pocket)', on: 'start', formats: ALL, cause: null }],
  },
  {
    id: 'doubled',
    story: 'The main recording heard twice, one frame apart: each alone is in, together they comb.',
    picture: { name: 'stones, again', media: 'cam-a-02', from: 28380, length: 240, entry: 1700 },
    sounds: [
      { name: 'stones, again (deck)', media: 'deck-02', channels: ['A1'], from: 28380, length: 240, slip: onTheClap },
      {
        name: 'stones, again (deck, second time)',
        media: 'deck-02',
        channels: ['A2'],
        from: 28380,
        length: 240,
        slip: { by: 'clap', lateFrames: 1 },
      },
    ],
    expected: [{ code: 'sound-doubled', clip: 'stones, again (deck, second time)', on: 'start', formats: ALL, cause: null }],
  },
  {
    id: 'rate-24',
    story: 'A camera file told to run at 24: 83 s into the file the picture is two frames off.',
    picture: { name: 'race, wide', media: 'cam-a-06', from: 28620, length: 1000, entry: 2002, countedAt: 24 },
    sounds: [
      {
        name: 'race, wide (deck)',
        media: 'deck-06',
        channels: ['A1'],
        from: 28620,
        length: 1000,
        // Lined up by counting frames from the clap, as one does who believes the rate.
        slip: { by: 'clap', lateFrames: -2 },
      },
    ],
    expected: [
      { code: 'sound-leads', clip: 'race, wide (deck)', on: 'start', formats: ALL, cause: 'frame' },
      { code: 'rate-mismatch', clip: 'race, wide', on: 'rate', formats: WITH_RATES, cause: null },
    ],
  },
  {
    id: 'pull',
    story: 'A recording counted at 48048 Hz, 0.1 % up: 83 s into the file the sound is two frames late.',
    picture: { name: 'race, wheel', media: 'cam-a-07', from: 29620, length: 1000, entry: 1957 },
    sounds: [
      {
        name: 'race, wheel (deck)',
        media: 'deck-07',
        channels: ['A1'],
        from: 29620,
        length: 1000,
        slip: { by: 'samples', entry: 4008004 },
        countedAt: 48048,
      },
    ],
    expected: [
      { code: 'sound-lags', clip: 'race, wheel (deck)', on: 'start', formats: ALL, cause: null },
      { code: 'sample-rate-mismatch', clip: 'race, wheel (deck)', on: 'rate', formats: WITH_RATES, cause: null },
    ],
  },
  {
    id: 'stamp-read-at-24',
    story: "A recorder's stamp turned into timecode at 24 instead of 24000/1001: 36 s early at ten in the morning.",
    picture: { name: 'miller, reverse', media: 'cam-b-03', from: 30620, length: 240, entry: 9000 },
    sounds: [
      {
        name: 'miller, reverse (deck)',
        media: 'deck-03',
        channels: ['A1'],
        from: 30620,
        length: 240,
        slip: { by: 'stamp-read-at-24' },
      },
    ],
    expected: [
      { code: 'sound-leads', clip: 'miller, reverse (deck)', on: 'start', formats: ALL, cause: 'read at 24 instead of 23.976' },
    ],
  },
  {
    id: 'accepted',
    story: 'A bell across the valley, left two frames late on purpose and accepted with a reason.',
    picture: { name: 'bell, far', media: 'cam-a-05', from: 30860, length: 240, entry: 700 },
    sounds: [
      {
        name: 'bell, far (deck)',
        media: 'deck-05',
        channels: ['A1'],
        from: 30860,
        length: 240,
        slip: { by: 'clap', lateFrames: 2 },
        accept: { code: 'sound-lags', reason: 'the bell hangs across the valley and should be heard late' },
      },
    ],
    expected: [],
  },
];
