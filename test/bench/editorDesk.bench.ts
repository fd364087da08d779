/**
 * How long a person waits for the clap desk to show a recording of two hours: until the wave around the clap can be drawn, and until the
 * whole can, in its coarse first form.
 *
 * The questions are those of the desk's page, over the wire, as in editor.bench.ts; loading the sound engine's script once is not in
 * them. The limit is the wall's: waiting is what counts, and the disk is part of it (here its cache). Most of the file is a hole.
 */

import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { createNodeFileSystem } from '../../server/src/node/fileSystem.ts';
import { openBytes } from '../../server/src/node/openBytes.ts';
import { createDeskRecordings } from '../../server/src/sound/desk/deskRecordings.ts';
import { loadFourier } from '../../server/src/sound/fourier/fourier.ts';
import { CLAP, REPORT_NAME, stretchRecording, writeRecording } from '../unit/desk/scene.ts';
import { type Bench, type BenchResult, median } from './benchmark.ts';
import { startWireServer } from './wireServer.ts';

const WARM_UP = 2;
const ROUNDS = 9;
const SAMPLES = 2 * 3600 * 48_000;
const DECK = { role: 'sound', key: 'deck-20', names: ['DECK_0020.wav'], file: null };

export const benches: readonly Bench[] = [
  { name: 'clap desk: a recording of two hours, found and drawn', limit: 1000, unit: 'ms', run: openTwoHours },
];

async function openTwoHours(): Promise<BenchResult> {
  const folder = mkdtempSync(join(tmpdir(), 'afterclap-bench-'));
  try {
    await writeRecording(folder);
    const file = pathToFileURL(await stretchRecording(folder)).href;
    const uri = pathToFileURL(join(folder, REPORT_NAME)).href;
    const recordings = createDeskRecordings({ open: (one) => openBytes(fileURLToPath(one)), fourier: () => loadFourier() });
    const server = await startWireServer({
      files: createNodeFileSystem(),
      workspaceFolder: pathToFileURL(folder).href,
      capabilities: {},
      soundEngine: async () => () => recordings,
    });
    const peaks = { file, channel: null };
    const steps = [
      ['afterclap/clapDeskMedia', { uri, ...DECK }],
      ['afterclap/clapDeskPeaks', { ...peaks, start: CLAP - 17_000, end: CLAP + 17_000, columns: 2000 }],
      ['afterclap/clapDeskPeaks', { ...peaks, start: 0, end: SAMPLES, columns: 500 }],
    ] as const;
    const [near, whole]: [number[], number[]] = [[], []];
    for (let round = 0; round < WARM_UP + ROUNDS; round += 1) {
      const times: number[] = [];
      for (const [method, params] of steps) times.push((await server.ask(method, params)).milliseconds);
      if (round < WARM_UP) continue;
      near.push((times[0] as number) + (times[1] as number));
      whole.push(times.reduce((sum, time) => sum + time, 0));
    }
    return { ratio: median(whole), detail: `the wave around the clap after ${median(near).toFixed(0)} ms; medians of ${ROUNDS}` };
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}
