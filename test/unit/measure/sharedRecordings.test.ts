/**
 * The recordings in ../shared/audio, where they exist: claps and rooms made by others, with the truth beside them.
 *
 * The tolerances are those that the measurement promises: edges within 0.5 ms, offsets within 2 samples, the air known apart.
 */

import { existsSync, readFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { buildCli, type Cli, makeWorkspace, repositoryRoot, type Workspace } from '../cli/runCli.ts';

const folder = resolve(repositoryRoot, '../shared/audio');
const hasRecordings = existsSync(join(folder, 'truth.json'));
if (!hasRecordings) console.log('shared recordings: skipped, since ../shared/audio is not there');

interface Case {
  readonly case: string;
  readonly recorder: string;
  readonly camera?: string;
  readonly slate_samples?: readonly number[];
  readonly matched?: boolean;
  readonly offset_samples?: number;
  readonly offset_clock_samples?: number;
  readonly distance_m?: number;
  readonly polarity?: number;
  readonly pairs?: readonly {
    readonly camera: string;
    readonly clap: number;
    readonly clap_sample: number;
    readonly start_sample: number;
  }[];
}

interface Inputs {
  readonly case: string;
  readonly cameras?: readonly {
    readonly camera: string;
    readonly rate: readonly [number, number];
    readonly clap_frame: number;
    readonly frames: number;
  }[];
}

interface Output {
  readonly sounds: readonly { readonly name: string; readonly claps: readonly { readonly sample: string }[] }[];
  readonly pairs: readonly {
    readonly picture: string;
    readonly offset: string;
    readonly polarity: string | null;
    readonly clap: number | null;
    readonly at: { readonly frame: string; readonly sample: string };
    readonly uncertainty: { readonly early: string; readonly late: string };
  }[];
  readonly leftOver: readonly { readonly name: string; readonly severity: string; readonly reason: string }[];
}

describe.skipIf(!hasRecordings)('the shared recordings', () => {
  const cases: readonly Case[] = hasRecordings
    ? (JSON.parse(readFileSync(join(folder, 'truth.json'), 'utf8')) as { cases: Case[] }).cases
    : [];
  let cli: Cli;
  let work: Workspace;

  beforeAll(async () => {
    cli = await buildCli();
    work = makeWorkspace('empty');
  });
  afterAll(() => {
    cli.dispose();
    work.dispose();
  });

  async function measured(...words: string[]): Promise<{ exitCode: number | null; output: Output }> {
    const { exitCode, stdout, stderr } = await cli.run(['measure', ...words, '--format', 'json'], work.folder);
    expect(stderr).toBe('');
    return { exitCode, output: JSON.parse(stdout) as Output };
  }

  const number = (text = 'NaN'): number => {
    const [numerator = 0, denominator = 1] = text.split('/').map(Number);
    return numerator / denominator;
  };
  const offsetOf = ({ pairs }: Output): number => number(pairs[0]?.offset) * 48000;

  const claps = cases.filter(({ slate_samples }) => slate_samples !== undefined);
  test.each(claps)(
    '$case: every slate clap is found, no false one, within 24 samples',
    async ({ recorder, slate_samples = [] }) => {
      const { exitCode, output } = await measured(join(folder, recorder));
      expect(exitCode).toBe(0);
      const found = output.sounds[0]?.claps.map(({ sample }) => Number(sample)) ?? [];
      expect(found).toHaveLength(slate_samples.length);
      found.forEach((sample, index) => {
        expect(Math.abs(sample - (slate_samples[index] as number))).toBeLessThanOrEqual(24);
      });
    },
  );

  const matches = cases.filter(({ matched }) => matched === true);
  test.each(matches)('$case: lies where the truth says, with the air and without it', async (one) => {
    const words = [join(folder, one.recorder), '--picture', join(folder, one.camera ?? ''), '--rate', '25'];
    const heard = await measured(...words);
    expect(heard.exitCode).toBe(0);
    expect(heard.output.pairs[0]?.polarity).toBe(one.polarity === -1 ? 'inverted' : 'same');
    expect(Math.abs(offsetOf(heard.output) - (one.offset_samples ?? Number.NaN))).toBeLessThan(2);
    const clocks = await measured(...words, '--microphone-distance', `${one.distance_m}m`);
    expect(Math.abs(offsetOf(clocks.output) - (one.offset_clock_samples ?? Number.NaN))).toBeLessThan(2);
  });

  const frames = cases.filter(({ pairs }) => pairs !== undefined);
  test.each(frames)('$case: claps go to the cameras in order, and the truth lies inside what is stated', async (one) => {
    const inputs = JSON.parse(readFileSync(join(folder, 'inputs.json'), 'utf8')) as { cases: readonly Inputs[] };
    const cameras = inputs.cases.find((candidate) => candidate.case === one.case)?.cameras ?? [];
    const rows = cameras.map(
      ({ camera, rate, clap_frame, frames: count }) => `${camera},${rate[0]}/${rate[1]},${clap_frame},${count}`,
    );
    work.write('claps.csv', `picture,rate,clap frame,frames\n${rows.join('\n')}\n`);
    const { exitCode, output } = await measured(join(folder, one.recorder), '--clap-log', 'claps.csv');
    expect(exitCode).toBe(0);
    for (const [index, truth] of (one.pairs ?? []).entries()) {
      const pair = output.pairs.find(({ picture }) => picture === truth.camera.toLowerCase());
      const [top = 0, bottom = 1] = cameras[index]?.rate ?? [];
      const perFrame = (48000 * bottom) / top;
      // Sound samples at the start of frame 0, by the report and by the truth.
      const start = number(pair?.at.sample) - number(pair?.at.frame) * perFrame;
      expect(pair?.clap).toBe(truth.clap + 1);
      expect(Math.abs(number(pair?.at.sample) - truth.clap_sample)).toBeLessThanOrEqual(24);
      expect(truth.start_sample).toBeGreaterThanOrEqual(start - number(pair?.uncertainty.early) * 48000);
      expect(truth.start_sample).toBeLessThanOrEqual(start + number(pair?.uncertainty.late) * 48000);
    }
  });

  const strangers = cases.filter(({ matched }) => matched === false);
  test.each(strangers)('$case: is no match', async ({ recorder, camera = '' }) => {
    const { exitCode, output } = await measured(join(folder, recorder), '--picture', join(folder, camera), '--rate', '25');
    expect(exitCode).toBe(1);
    expect(output.pairs).toEqual([]);
    expect(output.leftOver).toContainEqual(
      expect.objectContaining({ name: camera, severity: 'error', reason: expect.stringMatching(/^No match\./) }),
    );
  });
});
