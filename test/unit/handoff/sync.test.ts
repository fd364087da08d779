/**
 * The main job from outside: a camera and a recorder with a known offset and drift, a hand-off by the command line, and the reel held
 * against what the camera heard, by products and sums of the tests' own.
 */

import { readFileSync } from 'node:fs';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { lagBetween } from '../../support/correlation.ts';
import { waveFields } from '../../support/waveFields.ts';
import { buildCli, type Cli, makeWorkspace, type Workspace } from '../cli/runCli.ts';
import { cutOf, FRAME, type Hearing, inventSound, layOut, RATE, recorderFile, reportOf, scratchOf } from './shoot.ts';

let cli: Cli;
let work: Workspace;
beforeAll(async () => {
  cli = await buildCli();
});
afterAll(() => cli.dispose());
beforeEach(() => {
  work = makeWorkspace('empty');
});
afterEach(() => work.dispose());

const FULL_SCALE_24 = 2 ** 23;

async function handOff(...flags: readonly string[]): Promise<void> {
  const { exitCode, stderr } = await cli.run(['handoff', 'cut.otio', '--out', 'mix', ...flags], work.folder);
  expect(stderr).toBe('');
  expect(exitCode).not.toBe(2);
}

function reel(name: string): ReturnType<typeof waveFields> {
  return waveFields(readFileSync(work.path(`mix/reels/${name}`)));
}

/** Lag of the reel against the scratch all along, wherever both sound: every second, over a tenth of one. */
function lagsAlong(made: Float64Array, recorded: Float64Array, hearing: Hearing): readonly number[] {
  const lags: number[] = [];
  for (let at = Math.max(0, Math.ceil(-hearing.offset)) + 2400; at + 5000 < made.length; at += RATE) {
    const { lag, likeness } = lagBetween(scratchOf(recorded, hearing, at, 4800), made, at, 60);
    // Half a sample apart, the highest tones of so wide a sound no longer agree.
    expect(likeness, `likeness at sample ${at}`).toBeGreaterThan(0.85);
    lags.push(lag);
  }
  return lags;
}

describe('a reel and the scratch of its camera', () => {
  test.each<[string, Hearing]>([
    ['the recorder began first and runs 42 ppm fast', { offset: 123_456.7, driftPpm: 42, frames: 960 }],
    ['the recorder began first and runs 87.5 ppm slow', { offset: 48_000.25, driftPpm: -87.5, frames: 480 }],
    ['the recorder began 3 s after the camera', { offset: -144_000.4, driftPpm: 19, frames: 360 }],
    ['no drift, between two samples', { offset: 70_000.5, driftPpm: 0, frames: 360 }],
  ])('agree to under one sample over the whole length: %s', async (_title, hearing) => {
    const { recorded } = layOut(work, 'a scene of the sync test', hearing);
    await handOff();
    const made = reel('cam--deck.wav').samples(0);
    expect(made.length).toBe(hearing.frames * FRAME);
    const lags = lagsAlong(made, recorded, hearing);
    expect(lags.length).toBeGreaterThan(5);
    expect(Math.max(...lags.map(Math.abs))).toBeLessThan(hearing.driftPpm === 0 ? 0.6 : 0.05);
  });

  test('would be seen to part if the drift were left in', async () => {
    const hearing = { offset: 60_000, driftPpm: 84, frames: 480 };
    const { recorded } = layOut(work, 'a scene that drifts', hearing);
    await handOff('--drift-threshold', '100ms');
    const made = reel('cam--deck.wav').samples(0);
    const lags = lagsAlong(made, recorded, hearing);
    // 84 ppm over 20 s are 80.7 samples, laid in the middle: 40 at either end.
    expect(lags[0]).toBeLessThan(-35);
    expect(lags.at(-1)).toBeGreaterThan(35);
  });
});

describe('the null test', () => {
  test('without drift the reel is the recording, every channel, bit for bit', async () => {
    const { bytes } = layOut(work, 'a steady scene', { offset: 96_001, driftPpm: 0, frames: 240 });
    await handOff();
    const source = waveFields(bytes);
    const made = reel('cam--deck.wav');
    expect([made.channels, made.bits, made.sampleRate]).toEqual([2, 24, RATE]);
    for (const channel of [0, 1]) {
      expect([...made.samples(channel)]).toEqual([...source.samples(channel).subarray(96_001, 96_001 + 240 * FRAME)]);
    }
    expect(made.body('bext').toString('latin1', 602)).toContain('bit for bit from sample 96001');
  });
});

describe('the reel of a whole cut', () => {
  test('sounds like the picture looks: each camera in its place, silence under nothing', async () => {
    const hearings: Readonly<Record<string, Hearing>> = {
      a: { offset: 50_000, driftPpm: 0, frames: 400 },
      b: { offset: 20_000, driftPpm: 0, frames: 400 },
    };
    const recorded = { a: inventSound('scene a', 20), b: inventSound('scene b', 20) };
    work.write('deck-a.wav', recorderFile([recorded.a]));
    work.write('deck-b.wav', recorderFile([recorded.b]));
    work.write(
      'cut.alignment.json',
      reportOf(['a', 'b'].map((name) => ({ picture: `cam-${name}`, sound: `deck-${name}`, hearing: hearings[name] as Hearing }))),
    );
    work.write(
      'cut.otio',
      cutOf([
        { track: 'V1', file: 'cam-a.mov', at: 0, length: 100, from: 20 },
        { track: 'V1', file: 'cam-b.mov', at: 120, length: 60, from: 200 },
        // On top of the first picture, from inside it to past its end.
        { track: 'V2', file: 'cam-b.mov', at: 40, length: 20, from: 7 },
      ]),
    );
    await handOff('--reels', 'cut');
    const made = reel('cut--cut.wav').samples(0);
    expect(made.length).toBe(180 * FRAME);
    const expected = new Float64Array(180 * FRAME);
    const lay = (name: 'a' | 'b', at: number, length: number, from: number): void =>
      expected.set(scratchOf(recorded[name], hearings[name] as Hearing, from * FRAME, length * FRAME), at * FRAME);
    lay('a', 0, 100, 20);
    lay('b', 120, 60, 200);
    lay('b', 40, 20, 7);
    const worst = made.reduce(
      (most, value, index) => Math.max(most, Math.abs(value / FULL_SCALE_24 - (expected[index] as number))),
      0,
    );
    expect(worst).toBeLessThan(1e-6);
    expect(made.subarray(100 * FRAME, 120 * FRAME).every((value) => value === 0)).toBe(true);
  });
});
