/**
 * A hand-off of an hour of sound, against a plain copy of the same bytes, in one process.
 *
 * 48 kHz, 24 bits, one channel: 518 MB. The hand-off does all it does for a person: sheet, pull list, the reel with its digest, synced to the
 * disk, the manifest, everything moved into place. The copy is Node's own read and write streams, synced to the disk as well.
 * Taken in turns, so that a busy disk is busy for both.
 */

import { createReadStream, createWriteStream, mkdtempSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { open } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pipeline } from 'node:stream/promises';
import { parseFlags } from '../../server/src/cli/flags.ts';
import { handoffCommand } from '../../server/src/cli/handoff.ts';
import type { Terminal } from '../../server/src/cli/terminal.ts';

const RATE = 48_000;
const SECONDS = 3600;
/** Frames at 25, so that an hour is an hour. */
const FRAMES = SECONDS * 25;
const TURNS = 5;
const WARM_UP = 1;

interface BenchResult {
  readonly ratio: number;
  readonly detail: string;
}

export const benches: readonly {
  readonly name: string;
  readonly limit: number;
  readonly unit: string;
  readonly run: () => Promise<BenchResult>;
}[] = [
  { name: 'hand-off of an hour at 48 kHz/24 bit / plain copy of the same bytes', limit: 3, unit: 'x', run: copied },
  // An hour of sound should not take a tenth of one; said as a ratio to the sound itself.
  { name: 'hand-off of ten minutes with drift taken out / the sound itself', limit: 0.1, unit: 'x', run: resampled },
];

async function copied(): Promise<BenchResult> {
  const folder = layOut(SECONDS, 0);
  try {
    const ratios: number[] = [];
    const times: number[] = [];
    for (let turn = 0; turn < WARM_UP + TURNS; turn += 1) {
      const copy = await timeOf(() => plainCopy(join(folder, 'deck.wav'), join(folder, 'copy.wav')));
      const handed = await timeOf(() => handOff(folder));
      rmSync(join(folder, 'copy.wav'));
      rmSync(join(folder, 'mix'), { recursive: true });
      if (turn < WARM_UP) continue;
      ratios.push(handed / copy);
      times.push(handed);
    }
    return { ratio: median(ratios), detail: `518 MB in ${median(times).toFixed(0)} ms` };
  } finally {
    rmSync(folder, { recursive: true });
  }
}

async function resampled(): Promise<BenchResult> {
  const seconds = 600;
  const folder = layOut(seconds, 40);
  try {
    await handOff(folder);
    rmSync(join(folder, 'mix'), { recursive: true });
    const time = await timeOf(() => handOff(folder));
    return { ratio: time / 1000 / seconds, detail: `10 minutes, one channel, in ${(time / 1000).toFixed(1)} s` };
  } finally {
    rmSync(folder, { recursive: true });
  }
}

async function plainCopy(from: string, to: string): Promise<void> {
  await pipeline(createReadStream(from, { highWaterMark: 1 << 20 }), createWriteStream(to, { highWaterMark: 1 << 20 }));
  const file = await open(to, 'r+');
  await file.datasync();
  await file.close();
}

async function handOff(folder: string): Promise<void> {
  const words = [join(folder, 'cut.edl'), '--out', join(folder, 'mix')];
  let complaint = '';
  const quiet = { write: () => {}, isTerminal: false, columns: null };
  const terminal: Terminal = {
    output: quiet,
    error: {
      ...quiet,
      write: (text) => {
        complaint += text;
      },
    },
    environment: {},
  };
  const exitCode = await handoffCommand.run(parseFlags(words, handoffCommand.flags, 'handoff'), terminal);
  if (exitCode !== 0) throw new Error(`the hand-off failed: ${complaint}`);
  if (statSync(join(folder, 'mix/reels/cam--deck.wav')).size < 1000) throw new Error('no reel was written');
}

/** A recording of noise, a report and a cut of one shot. */
function layOut(seconds: number, driftPpm: number): string {
  const folder = mkdtempSync(join(tmpdir(), 'afterclap-handoff-bench-'));
  const samples = (seconds + 10) * RATE;
  const frames = Math.round((FRAMES / SECONDS) * seconds);
  const wave = Buffer.alloc(44 + samples * 3);
  wave.write('RIFF', 0, 'latin1');
  wave.writeUInt32LE(36 + samples * 3, 4);
  wave.write('WAVEfmt ', 8, 'latin1');
  wave.writeUInt32LE(16, 16);
  wave.writeUInt16LE(1, 20);
  wave.writeUInt16LE(1, 22);
  wave.writeUInt32LE(RATE, 24);
  wave.writeUInt32LE(RATE * 3, 28);
  wave.writeUInt16LE(3, 32);
  wave.writeUInt16LE(24, 34);
  wave.write('data', 36, 'latin1');
  wave.writeUInt32LE(samples * 3, 40);
  for (let at = 44, state = 1; at + 4 <= wave.length; at += 4) {
    state ^= state << 13;
    state ^= state >>> 17;
    state ^= state << 5;
    wave.writeInt32LE(state, at);
  }
  writeFileSync(join(folder, 'deck.wav'), wave);
  const report = {
    alignment: 1,
    pictures: { cam: { names: ['cam.mov'], rate: 25, start: '01:00:00:00', frames } },
    sounds: { deck: { names: ['deck.wav'], sampleRate: RATE, samples } },
    pairs: [{ picture: 'cam', sound: 'deck', at: { frame: 0, sample: 48_000 }, driftPpm }],
  };
  writeFileSync(join(folder, 'cut.alignment.json'), JSON.stringify(report));
  const event = (number: string, channel: string, source: string, name: string): string =>
    `${number}  AX       ${channel}     C        ${source} 01:00:00:00 01:00:10:00\n* FROM CLIP NAME: ${name}\n`;
  writeFileSync(
    join(folder, 'cut.edl'),
    `TITLE: BENCH\nFCM: NON-DROP FRAME\n${event('001', 'V', '01:00:00:00 01:00:10:00', 'cam.mov')}${event('002', 'A', '00:00:01:00 00:00:11:00', 'deck.wav')}`,
  );
  return folder;
}

async function timeOf(work: () => Promise<void>): Promise<number> {
  const start = performance.now();
  await work();
  return performance.now() - start;
}

function median(values: readonly number[]): number {
  return values.toSorted((left, right) => left - right)[Math.floor(values.length / 2)] as number;
}
