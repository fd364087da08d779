/**
 * The server as it is shipped, bundled once per test process into a folder of its own.
 */

import { execFile } from 'node:child_process';
import { mkdtemp } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';

const root = join(import.meta.dirname, '..', '..');
let bundle: Promise<string> | null = null;

export function serverBundle(): Promise<string> {
  bundle ??= build();
  return bundle;
}

async function build(): Promise<string> {
  const folder = await mkdtemp(join(tmpdir(), 'afterclap-server-'));
  await promisify(execFile)(process.execPath, [join(root, '.build', 'build.mjs'), 'server', `--out=${folder}`]);
  return join(folder, 'server.cjs');
}
