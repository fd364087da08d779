/**
 * A clap log with recordings: which row gets which clap, where the sound is put, and what is told of rows that mean nothing.
 */

import { beforeAll, describe, expect, test } from 'vitest';
import {
  add,
  divide,
  formatRational,
  multiply,
  type Rational,
  rational,
  subtract,
  toNumber,
} from '../../../server/src/core/time/rational.ts';
import { type MeasureRequest, measure } from '../../../server/src/project/measure/measure.ts';
import type { MeasuredPair, Measurement } from '../../../server/src/project/measure/measurement.ts';
import type { Recording } from '../../../server/src/project/measure/recording.ts';
import { type Fourier, loadFourier } from '../../../server/src/sound/fourier/fourier.ts';
import { type MemoryMedia, memoryMedia } from './memoryMedia.ts';
import { edgeAfter, hearScene, inventScene, SAMPLE_RATE, waveOf } from './recordings.ts';

let fourier: Fourier;
beforeAll(async () => {
  fourier = await loadFourier();
});

/** Claps at 2.5 s, 5 s and 7.5 s. */
const SCENE = inventScene('clap log', 11, [2.5, 5, 7.5]);
const EDGES = SCENE.claps.map((clap) => edgeAfter(SCENE, clap));
const DECK: Recording = { path: 'day1/DECK.wav', role: 'sound', isRoleStated: false, reader: 'wave' };
const SCRATCH: Recording = { path: 'day1/cam_b.wav', role: 'sound', isRoleStated: false, reader: 'wave' };
const FILM: Recording = { path: 'day1/CAM_C.mov', role: 'picture', isRoleStated: false, reader: 'camera' };
const WAVES = {
  [DECK.path]: waveOf(SCENE.samples),
  // Begins one second into the scene.
  [SCRATCH.path]: waveOf(hearScene(SCENE, { offset: SAMPLE_RATE, driftPpm: 0, seconds: 9 })),
};

async function measured(
  log: string,
  request: Partial<MeasureRequest> = {},
  media: MemoryMedia = memoryMedia(WAVES),
): Promise<Measurement> {
  const answer = await measure(
    {
      recordings: [DECK],
      clapLog: { name: 'claps.csv', text: log },
      rate: null,
      microphoneMetres: null,
      isPlotting: false,
      ...request,
    },
    { media, fourier, onProgress: () => {}, isCancelled: () => false },
  );
  if (answer === null) throw new Error('cancelled');
  expect(media.openCount()).toBe(0);
  return answer.measurement;
}

/** 'picture frame clap', in the order of the report. */
function told({ pairs }: Measurement): readonly string[] {
  return pairs.map(({ data }) => `${data.picture} ${formatRational(data.frame)} ${data.clap}`);
}

function complaints({ leftOver, failures }: Measurement): readonly string[] {
  return [
    ...failures,
    ...leftOver.filter(({ severity }) => severity === 'error').map(({ name, reason }) => `${name}: ${reason}`),
  ];
}

describe('rows in the order of the claps', () => {
  test('get one clap each, camera A first', async () => {
    const measurement = await measured('picture,rate,clap frame\nA,25,40\nB,23.976,80\nC,25,120\n');
    expect(told(measurement)).toEqual(['a 41 1', 'b 81 2', 'c 121 3']);
    expect(measurement.leftOver).toEqual([]);
    expect(measurement.pictures.map(({ name, path, data }) => [name, path, formatRational(data.rate)])).toEqual([
      ['A', null, '25'],
      ['B', null, '24000/1001'],
      ['C', null, '25'],
    ]);
  });

  test('put the sound so that it may lag by a frame, but never lead', async () => {
    const { pairs, sounds } = await measured('picture,rate,clap frame\nA,25,40\nB,25,90\nC,25,140\n');
    pairs.forEach(({ data }, index) => {
      expect(Math.abs(toNumber(data.sample) - (EDGES[index] as number))).toBeLessThanOrEqual(24);
      expect(data.sample).toEqual(sounds[0]?.data.claps[index]);
      const { early, late } = data.uncertainty as { early: Rational; late: Rational };
      // Contact lies between the frame named and the next: 40 ms at 25 frames per second, and the edge's own microseconds.
      expect(toNumber(late)).toBeGreaterThanOrEqual(0.04);
      expect(toNumber(late)).toBeLessThan(0.0402);
      expect(toNumber(early)).toBeLessThan(0.0002);
    });
  });

  test('that are fewer than the claps leave open which, unless a number says', async () => {
    const open = await measured('picture,rate,clap frame\nA,25,40\n');
    expect(open.pairs).toEqual([]);
    expect(complaints(open).join()).toMatch(/^claps\.csv, line 2: Ambiguous, so nothing was chosen\. .*clap 1.*clap 2.*clap 3/);
    const numbered = await measured('picture,rate,clap frame,clap number\nA,25,40,2\n');
    expect(told(numbered)).toEqual(['a 41 2']);
    expect(numbered.leftOver.map(({ severity, reason }) => `${severity} ${reason}`)).toEqual([
      expect.stringMatching(/^information Clap 1, at 0:02\.50\d, is in no row of claps\.csv\.$/),
      expect.stringMatching(/^information Clap 3/),
    ]);
  });

  test('may name the frame by its timecode, from the start that the log gives', async () => {
    // 14:03:20:00 and 45 frames at 25 is 14:03:21:20 (SMPTE ST 12-1).
    const measurement = await measured('picture;rate;start;timecode;clap number\nA;25;14:03:20:00;14:03:21:20;1\n');
    expect(told(measurement)).toEqual(['a 46 1']);
    expect(measurement.pictures[0]?.data.startFrame).toEqual(rational(((14 * 60 + 3) * 60 + 20) * 25));
  });

  test('narrow the interval by what was seen, and by the shutter', async () => {
    const widths = async (reading: string, shutter: string): Promise<readonly number[]> => {
      const { pairs } = await measured(`picture,rate,clap frame,clap,reading,shutter\nA,25,40,1,${reading},${shutter}\n`);
      const data = (pairs[0] as MeasuredPair).data;
      return [toNumber(data.frame), Math.round(toNumber(data.uncertainty?.late ?? rational(-1)) * 1000)];
    };
    // T = 40 ms; 180 degrees expose e = 20 ms: (0, T], (0, e], (e - T, 0], (-T, 0] (trade formula; see the intervals in contactInterval.ts).
    expect(await widths('contact', '')).toEqual([41, 40]);
    expect(await widths('blur', '180')).toEqual([40.5, 20]);
    expect(await widths('sharp closed', '180')).toEqual([40, 20]);
    expect(await widths('first closed', '')).toEqual([40, 40]);
  });
});

describe('rows that mean nothing are told with line and column, and the others stand', () => {
  test.each([
    [
      'an unknown sound',
      'picture,rate,clap frame,sound,clap\nA,25,40,DEC.wav,1\nB,25,40,DECK,2\n',
      'claps.csv, line 2, column "sound": There is no sound "DEC.wav" among the recordings; did you mean "DECK.wav"?',
    ],
    [
      'a frame past the end',
      'picture,rate,clap frame,frames,clap\nA,25,400,250,1\nB,25,40,250,2\n',
      'claps.csv, line 2, column "clap frame": The clap is in frame 400, but the picture has 250 frames',
    ],
    [
      'a clap that nobody heard',
      'picture,rate,clap frame,clap\nA,25,40,9\nB,25,40,2\n',
      'claps.csv, line 2: The log asks for clap 9, but only 3 claps were heard.',
    ],
    [
      'no rate',
      'picture,rate,clap frame,clap\nA,,40,1\nB,25,40,2\n',
      'claps.csv, line 2: The frames per second of A are not known',
    ],
    [
      'another rate for one name',
      'picture,rate,clap frame,clap\nB,25,40,2\nB,24,90,3\n',
      'claps.csv, line 3: "B" has another rate in line 2. Are these two cameras of one name?',
    ],
    ['a timecode without a start', 'picture,rate,timecode,clap\nA,25,14:03:21:20,1\nB,25,,\n', 'Add a column "start" with it'],
    [
      'a timecode before the start',
      'picture,rate,timecode,start,clap\nA,25,14:03:19:24,14:03:20:00,1\n',
      'lies before the first frame of A, which is 14:03:20:00',
    ],
    [
      'a timecode that does not exist',
      'picture,rate,timecode,start,clap\nA,25,14:03:21:25,14:03:20:00,1\n',
      'The timecode 14:03:21:25 does not exist at 25 frames per second.',
    ],
    [
      'a frame that is no number',
      'picture,rate,clap frame,clap\nA,25,soon,1\nB,25,40,2\n',
      'claps.csv, line 2, column "clap frame": "soon" is neither a frame number',
    ],
  ])('%s', async (_title, log, expected) => {
    const measurement = await measured(log);
    expect(complaints(measurement).join('\n')).toContain(expected);
    expect(told(measurement)).toEqual(log.includes('\nB,25,40') ? ['b 41 2'] : []);
  });

  test.each([
    ['nothing at all', '', 'claps.csv, line 1: The clap log is empty'],
    ['no rows', 'picture,clap frame\n', 'claps.csv has a header and no rows'],
    ['no column for the picture', 'who,clap frame\nA,40\n', 'claps.csv, line 1'],
    ['no column for the frame', 'picture,rate\nA,25\n', 'a column "clap frame" or "timecode"'],
  ])('%s is a failure of the whole log', async (_title, log, expected) => {
    const { failures, sounds } = await measured(log);
    expect(failures.join()).toContain(expected);
    expect(sounds).toHaveLength(1);
  });

  test('claps of one picture that lie apart otherwise than in the sound are not used', async () => {
    // The claps lie 2.5 s apart, which are 62.5 frames at 25.
    const right = await measured('picture,rate,clap frame,clap\nA,25,40,1\nA,25,102,2\n');
    expect(told(right)).toEqual(['a 41 1', 'a 103 2']);
    const wrong = await measured('picture,rate,clap frame,clap\nA,25,40,1\nA,25,90,2\n');
    expect(told(wrong)).toEqual([]);
    expect(complaints(wrong)).toEqual([
      expect.stringMatching(/^claps\.csv, line 2: /),
      expect.stringMatching(/^claps\.csv, line 3: /),
    ]);
  });

  test('two files of one name are told apart by their folders, or not at all', async () => {
    const twin = { ...DECK, path: 'day2/cam_b.wav' };
    const media = (): MemoryMedia => memoryMedia({ ...WAVES, [twin.path]: WAVES[SCRATCH.path] as Uint8Array });
    const request = { recordings: [DECK, SCRATCH, twin] };
    const unclear = await measured('picture,rate,clap frame\ncam_b.wav,25,40\n', request, media());
    expect(complaints(unclear).join()).toContain(
      'claps.csv, line 2, column "picture": "cam_b.wav" means day1/cam_b.wav and day2/cam_b.wav alike',
    );
    const clear = await measured('picture,rate,clap frame\nday2/cam_b.wav,25,40\n', request, media());
    expect(clear.pictures.map(({ path }) => path)).toEqual(['day2/cam_b.wav']);
  });
});

describe('a WAV that the log calls a picture', () => {
  /** Scene seconds to frames of a camera that began one second into it. */
  const frameOf = (clap: number): number => Math.floor(((EDGES[clap - 1] as number) / SAMPLE_RATE - 1) * 25);
  const request = { recordings: [DECK, SCRATCH] };

  test('is one, at the rate of the log, and its sound is compared', async () => {
    const measurement = await measured(`picture,rate,clap frame,clap\ncam_b,25,${frameOf(2)},2\n`, request);
    expect(measurement.sounds.map(({ name }) => name)).toEqual(['DECK.wav']);
    expect(measurement.pairs.map(({ data }) => data.by)).toEqual(['waveform']);
    expect(complaints(measurement)).toEqual([]);
    expect(measurement.pairs[0]?.remarks).toContain(`The clap log agrees: clap 2 falls into frame ${frameOf(2)}.`);
  });

  test('needs no clap number: its sound tells which clap it is', async () => {
    const measurement = await measured(`picture,rate,clap frame\ncam_b,25,${frameOf(3)}\nA,25,40\n`, request);
    // With the third taken, A could still be the first or the second.
    expect(complaints(measurement)).toEqual([expect.stringMatching(/^claps\.csv, line 3: Ambiguous/)]);
    expect(measurement.pairs[0]?.remarks).toContain(`The clap log agrees: clap 3 falls into frame ${frameOf(3)}.`);
  });

  test('whose frame contradicts its sound is told, by how much and which way', async () => {
    const measurement = await measured(`picture,rate,clap frame,clap\ncam_b,25,${frameOf(2) - 6},2\n`, request);
    expect(measurement.pairs.map(({ data }) => data.by)).toEqual(['waveform']);
    expect(complaints(measurement).join()).toMatch(
      /claps\.csv, line 2: By the camera's own sound clap 2 of DECK\.wav falls 4\.\d frames \(1\d\d(\.\d)? ms\) after the frame/,
    );
  });
});

describe('a main recorder and a back-up beside it', () => {
  const BACKUP: Recording = { ...DECK, path: 'day1/POCKET.wav' };
  // Began half a second after the main one, upside down, on a clock of its own.
  const pocket = hearScene(SCENE, { offset: SAMPLE_RATE / 2, driftPpm: 20, seconds: 10, isInverted: true });
  const media = (): MemoryMedia => memoryMedia({ ...WAVES, [BACKUP.path]: waveOf(pocket) });
  const request = { recordings: [DECK, BACKUP] };

  test("hear the same claps: each row is paired with both, by each one's own edge", async () => {
    const measurement = await measured('picture,rate,clap frame\nA,25,40\nB,25,90\nC,25,140\n', request, media());
    expect(complaints(measurement)).toEqual([]);
    expect(measurement.pairs.map(({ data }) => `${data.picture} ${data.sound} ${data.clap}`)).toEqual([
      'a deck 1',
      'a pocket 1',
      'b deck 2',
      'b pocket 2',
      'c deck 3',
      'c pocket 3',
    ]);
    const own = measurement.sounds.find(({ name }) => name === 'POCKET.wav')?.data.claps;
    expect(measurement.pairs.filter(({ data }) => data.sound === 'pocket').map(({ data }) => data.sample)).toEqual(own);
  });

  test('are paired with those that the log names, and no others', async () => {
    const measurement = await measured('picture,rate,clap frame,sound,clap\nA,25,40,POCKET,1\n', request, media());
    expect(measurement.pairs.map(({ data }) => `${data.picture} ${data.sound} ${data.clap}`)).toEqual(['a pocket 1']);
  });

  test('that hold other scenes stay apart, and a row that fits both is not guessed at', async () => {
    const other = inventScene('another morning', 8, [3]);
    const apart = memoryMedia({
      ...WAVES,
      [BACKUP.path]: waveOf(other.samples),
      [DECK.path]: waveOf(inventScene('mill pond', 8, [4]).samples),
    });
    const measurement = await measured('picture,rate,clap frame\nA,25,40\n', request, apart);
    expect(measurement.pairs).toEqual([]);
    expect(complaints(measurement).join()).toMatch(/Ambiguous.*DECK\.wav.*POCKET\.wav|Ambiguous.*POCKET\.wav.*DECK\.wav/);
  });
});

describe('a camera file', () => {
  const facts = {
    rate: rational(25),
    frameCount: 200,
    startFrame: ((14 * 60 + 3) * 60 + 20) * 25,
    isDropFrame: false,
    pictureStart: rational(0),
    scratch: null,
    remarks: [],
  };

  test('gives rate, length and start, which the log need not repeat', async () => {
    const media = memoryMedia(WAVES, { [FILM.path]: { facts, scratch: null } });
    const measurement = await measured('picture,timecode,clap\nCAM_C.mov,14:03:21:20,1\n', { recordings: [DECK, FILM] }, media);
    expect(told(measurement)).toEqual(['cam_c 46 1']);
  });

  test('is shorter than the frame that the log names', async () => {
    const media = memoryMedia(WAVES, { [FILM.path]: { facts, scratch: null } });
    const measurement = await measured('picture,clap frame,clap\nCAM_C.mov,200,1\n', { recordings: [DECK, FILM] }, media);
    expect(complaints(measurement).join()).toContain(
      'The hands are said to meet in frame 200, but CAM_C.mov has only the frames 0 to 199.',
    );
  });

  test('that can not be read here is known from the log, which is enough', async () => {
    const measurement = await measured('picture,rate,clap frame,clap\nCAM_C.mov,25,45,1\n', { recordings: [DECK, FILM] });
    expect(told(measurement)).toEqual(['cam_c 46 1']);
    expect(measurement.failures).toEqual([]);
    expect(measurement.pictures[0]?.remarks.join()).toContain('Only the clap log was used for it');
  });

  test('without a rate in the log and without the programs is a failure', async () => {
    const { failures, pairs } = await measured('picture,clap frame,clap\nCAM_C.mov,45,1\n', { recordings: [DECK, FILM] });
    expect(pairs).toEqual([]);
    expect(failures.join()).toContain('CAM_C.mov needs a program that is not here');
  });
});

test('the picture instant of a pair by clap lies within its interval, at every rate', async () => {
  const rates = ['23.976', '24', '25', '29.97', '30', '50', '59.94'];
  for (const rate of rates) {
    const { pairs, pictures, sounds } = await measured(`picture,rate,clap frame,clap\nA,${rate},33,1\n`);
    const [pair, picture, sound] = [pairs[0] as MeasuredPair, pictures[0]?.data, sounds[0]?.data];
    if (picture === undefined || sound === undefined) throw new Error('no entries');
    // s(p) at the start of frame 33 is at most a frame before the edge, and at the start of frame 34 it is the edge.
    const at = (frame: number): Rational =>
      add(divide(pair.data.sample, sound.sampleRate), divide(subtract(rational(frame), pair.data.frame), picture.rate));
    const edge = divide(sound.claps[0] as Rational, sound.sampleRate);
    expect(formatRational(at(34))).toBe(formatRational(edge));
    expect(formatRational(multiply(subtract(edge, at(33)), picture.rate))).toBe('1');
  }
});
