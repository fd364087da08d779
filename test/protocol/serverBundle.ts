/**
 * The server as it is shipped, bundled once per test file into a folder of its own that goes with it.
 */

import { execFile } from 'node:child_process';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { afterAll } from 'vitest';

const root = join(import.meta.dirname, '..', '..');
let folder: Promise<string> | null = null;

afterAll(async () => {
  if (folder !== null) await rm(await folder, { recursive: true, force: true });
});

export async function serverBundle(): Promise<string> {
  folder ??= build();
  return join(await folder, 'server.cjs');
}

async function build(): Promise<string> {
  const made = await mkdtemp(join(tmpdir(), 'afterclap-server-'));
  await promisify(execFile)(process.execPath, [join(root, '.build', 'build.mjs'), 'server', 'recordings', `--out=${made}`]);
  return made;
}
