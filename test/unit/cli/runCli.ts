/**
 * The command line as people run it: bundled as it ships, in a process of its own, in a folder of its own.
 */

import { type SpawnOptionsWithoutStdio, spawn } from 'node:child_process';
import { chmodSync, cpSync, mkdtempSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { build } from 'esbuild';

export const repositoryRoot = join(dirname(fileURLToPath(import.meta.url)), '..', '..', '..');
export const samplesFolder = join(repositoryRoot, 'samples');

export interface Outcome {
  readonly exitCode: number | null;
  readonly stdout: string;
  readonly stderr: string;
}

export interface Cli {
  readonly bundle: string;
  /** Runs `afterclap` with `words` in `folder`; neither stream is a terminal. */
  readonly run: (words: readonly string[], folder: string, environment?: Record<string, string>) => Promise<Outcome>;
  /**
   * The same as somebody who may not open everything: the superuser runs it as the user nobody (65534, common practice), all
   * others as themselves. The folder is opened for reading first.
   */
  readonly runAsNobody: (words: readonly string[], folder: string) => Promise<Outcome>;
  readonly dispose: () => void;
}

/** Bundles the command line into a temporary folder. */
export async function buildCli(): Promise<Cli> {
  const folder = mkdtempSync(join(tmpdir(), 'afterclap-cli-'));
  const bundle = join(folder, 'afterclap.mjs');
  await build({
    absWorkingDir: repositoryRoot,
    entryPoints: ['server/src/cli/main.ts'],
    bundle: true,
    platform: 'node',
    target: 'node20',
    format: 'esm',
    outfile: bundle,
    loader: { '.wasm': 'binary' },
    banner: { js: "import { createRequire } from 'node:module'; const require = createRequire(import.meta.url);" },
    logLevel: 'error',
  });
  return {
    bundle,
    run: (words, cwd, environment = {}) => runProcess([bundle, ...words], { cwd, env: environment }),
    runAsNobody: (words, cwd) => {
      if (process.getuid?.() !== 0) return runProcess([bundle, ...words], { cwd, env: {} });
      for (const path of [folder, bundle]) chmodSync(path, 0o755);
      if ((statSync(cwd).mode & 0o055) !== 0o055) chmodSync(cwd, 0o755);
      return runProcess([bundle, ...words], { cwd, env: {}, uid: 65534, gid: 65534 });
    },
    dispose: () => rmSync(folder, { recursive: true, force: true }),
  };
}

function runProcess(words: readonly string[], options: SpawnOptionsWithoutStdio): Promise<Outcome> {
  return new Promise((resolve, reject) => {
    const child = spawn(process.execPath, words, { ...options, env: { PATH: process.env['PATH'] ?? '', ...options.env } });
    let stdout = '';
    let stderr = '';
    child.stdout.setEncoding('utf8').on('data', (text: string) => {
      stdout += text;
    });
    child.stderr.setEncoding('utf8').on('data', (text: string) => {
      stderr += text;
    });
    child.on('error', reject);
    child.on('close', (exitCode) => resolve({ exitCode, stdout, stderr }));
  });
}

export interface Workspace {
  readonly folder: string;
  readonly write: (name: string, content: string | Uint8Array) => void;
  readonly path: (name: string) => string;
  readonly dispose: () => void;
}

/** A folder of its own, empty or with a copy of the samples. */
export function makeWorkspace(content: 'empty' | 'samples'): Workspace {
  const folder = mkdtempSync(join(tmpdir(), 'afterclap-work-'));
  if (content === 'samples') cpSync(samplesFolder, folder, { recursive: true });
  return {
    folder,
    write: (name, text) => writeFileSync(join(folder, name), text),
    path: (name) => join(folder, name),
    dispose: () => rmSync(folder, { recursive: true, force: true }),
  };
}
