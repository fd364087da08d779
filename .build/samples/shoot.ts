/**
 * The shoot of the samples: which files the two cameras and the two recorders brought home.
 *
 * Everything here is invented. 'Millrace' is a small documentary about a watermill that does not exist. Two cameras without
 * sound (A and B), a main recorder (DECK) and a back-up on the table (POCKET). At the head of every take somebody claps once
 * in view of each camera: first for A, then for B. Cameras run at 24000/1001 with time-of-day timecode; recorders at 48 kHz,
 * stamped in samples since midnight (EBU Tech 3285, TimeReference).
 *
 * The numbers are of the size such a day brings: claps some seconds into the file, clocks of camera and recorder a few
 * seconds apart, so that only the claps tell how the files belong together.
 */

/** Frames per second of cameras and cut, as numerator and denominator. */
export const FRAME_RATE = [24000, 1001] as const;
export const SAMPLE_RATE = 48000;

export interface Picture {
  readonly key: string;
  readonly file: string;
  /** Eight characters at most, for the reel column of an edit decision list. */
  readonly reel: string;
  /** Timecode of the first frame. */
  readonly start: string;
  readonly frames: number;
  /** The frame in which this camera sees its clap; null where nobody clapped for it. */
  readonly clapFrame: number | null;
}

export interface Sound {
  readonly key: string;
  readonly file: string;
  readonly reel: string;
  /** Samples since midnight of the first sample. */
  readonly startSample: number;
  readonly samples: number;
  /** Leading edges in samples from the first; decimals where the edge was found between samples. */
  readonly claps: readonly string[];
}

export interface MeasuredPair {
  readonly picture: string;
  readonly sound: string;
  /** Which clap of the recording the camera saw, from 1. */
  readonly clap: number;
  readonly driftPpm: string;
  readonly note: string;
}

export const PICTURES: readonly Picture[] = [
  { key: 'cam-a-01', file: 'CAM_A_0001.mov', reel: 'CAMA0001', start: '09:12:04:11', frames: 2880, clapFrame: 132 },
  { key: 'cam-b-01', file: 'CAM_B_0001.mov', reel: 'CAMB0001', start: '09:12:09:03', frames: 2790, clapFrame: 244 },
  { key: 'cam-a-02', file: 'CAM_A_0002.mov', reel: 'CAMA0002', start: '09:31:40:06', frames: 3360, clapFrame: 118 },
  { key: 'cam-b-02', file: 'CAM_B_0002.mov', reel: 'CAMB0002', start: '09:31:38:20', frames: 3402, clapFrame: 297 },
  { key: 'cam-a-03', file: 'CAM_A_0003.mov', reel: 'CAMA0003', start: '10:02:15:00', frames: 30120, clapFrame: 151 },
  { key: 'cam-b-03', file: 'CAM_B_0003.mov', reel: 'CAMB0003', start: '10:02:11:17', frames: 30233, clapFrame: 402 },
  { key: 'cam-b-04', file: 'CAM_B_0004.mov', reel: 'CAMB0004', start: '10:41:02:08', frames: 960, clapFrame: null },
  { key: 'cam-a-05', file: 'CAM_A_0005.mov', reel: 'CAMA0005', start: '11:20:33:19', frames: 1440, clapFrame: 96 },
  { key: 'cam-a-06', file: 'CAM_A_0006.mov', reel: 'CAMA0006', start: '11:47:10:02', frames: 4320, clapFrame: 140 },
  { key: 'cam-a-07', file: 'CAM_A_0007.mov', reel: 'CAMA0007', start: '12:05:54:13', frames: 4320, clapFrame: 125 },
];

export const SOUNDS: readonly Sound[] = [
  {
    key: 'deck-01',
    file: 'DECK_0001.wav',
    reel: 'DECK0001',
    startSample: 1591281846,
    samples: 6240000,
    claps: ['440286', '896905.25'],
  },
  {
    key: 'pocket-01',
    file: 'POCKET_0001.wav',
    reel: 'PCKT0001',
    startSample: 1591352541,
    samples: 6480000,
    claps: ['536158.5', '992777.75'],
  },
  {
    key: 'deck-02',
    file: 'DECK_0002.wav',
    reel: 'DECK0002',
    startSample: 1647678033,
    samples: 7200000,
    claps: ['510509', '869079'],
  },
  {
    key: 'deck-03',
    file: 'DECK_0003.wav',
    reel: 'DECK0003',
    startSample: 1736014492,
    samples: 62400000,
    claps: ['394278.75', '896739'],
  },
  {
    key: 'pocket-03',
    file: 'POCKET_0003.wav',
    reel: 'PCKT0003',
    startSample: 1735800113,
    samples: 63000000,
    claps: ['778921'],
  },
  {
    key: 'deck-05',
    file: 'DECK_0005.wav',
    reel: 'DECK0005',
    startSample: 1961759182,
    samples: 3360000,
    claps: ['305042'],
  },
  {
    key: 'deck-06',
    file: 'DECK_0006.wav',
    reel: 'DECK0006',
    startSample: 2038485216,
    samples: 9120000,
    claps: ['365598'],
  },
  {
    key: 'deck-07',
    file: 'DECK_0007.wav',
    reel: 'DECK0007',
    startSample: 2092506416,
    samples: 9120000,
    claps: ['340340'],
  },
];

export const PAIRS: readonly MeasuredPair[] = [
  { picture: 'cam-a-01', sound: 'deck-01', clap: 1, driftPpm: '0', note: '' },
  { picture: 'cam-a-01', sound: 'pocket-01', clap: 1, driftPpm: '0', note: '' },
  { picture: 'cam-b-01', sound: 'deck-01', clap: 2, driftPpm: '0', note: 'second clap, for B' },
  { picture: 'cam-a-02', sound: 'deck-02', clap: 1, driftPpm: '0', note: '' },
  { picture: 'cam-b-02', sound: 'deck-02', clap: 2, driftPpm: '0', note: '' },
  { picture: 'cam-a-03', sound: 'deck-03', clap: 1, driftPpm: '0', note: '' },
  { picture: 'cam-b-03', sound: 'deck-03', clap: 2, driftPpm: '0', note: '' },
  {
    picture: 'cam-a-03',
    sound: 'pocket-03',
    clap: 1,
    driftPpm: '55',
    note: 'clapped again at the end of the take: the back-up runs fast',
  },
  { picture: 'cam-a-05', sound: 'deck-05', clap: 1, driftPpm: '0', note: '' },
  { picture: 'cam-a-06', sound: 'deck-06', clap: 1, driftPpm: '0', note: '' },
  { picture: 'cam-a-07', sound: 'deck-07', clap: 1, driftPpm: '0', note: '' },
];

/** Half a frame, the reach of a clap seen by eye: 1001/48000 s (SMPTE ST 12-1 rate; arithmetic), rounded up to tenths. */
export const CLAP_UNCERTAINTY_MS = '20.9';
