/**
 * The suite as the editor loads it: a development extension that does nothing, and beside it the bundled checks.
 */

import { mkdir, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { build } from 'esbuild';

export interface SuiteBundle {
  readonly extension: string;
  readonly tests: string;
}

/** `suite` is a file of suite/. */
export async function bundleSuite(folder: string, suite = 'index.ts'): Promise<SuiteBundle> {
  const extension = join(folder, 'test-driver');
  await mkdir(extension, { recursive: true });
  const manifest = { name: 'test-driver', publisher: 'afterclap', version: '0.0.1', engines: { vscode: '^1.91.0' } };
  await writeFile(join(extension, 'package.json'), JSON.stringify(manifest));
  const tests = join(extension, 'suite.js');
  await build({
    entryPoints: [join(import.meta.dirname, 'suite', suite)],
    bundle: true,
    platform: 'node',
    format: 'cjs',
    external: ['vscode'],
    outfile: tests,
    logLevel: 'warning',
  });
  return { extension, tests };
}
