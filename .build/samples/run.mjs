/**
 * Writes samples/ from the description of the shoot and the cut: `node .build/samples/run.mjs`.
 *
 * The generator is TypeScript, which Node 20 does not run, so it is bundled into .cache first.
 */

import { mkdir, writeFile } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { build } from 'esbuild';

const here = dirname(fileURLToPath(import.meta.url));
const root = join(here, '..', '..');
const bundle = join(root, '.cache', 'samples.mjs');

await build({
  entryPoints: [join(here, 'sampleFiles.ts')],
  bundle: true,
  platform: 'node',
  format: 'esm',
  packages: 'external',
  outfile: bundle,
  logLevel: 'warning',
});
const { sampleFiles } = await import(pathToFileURL(bundle).href);
await mkdir(join(root, 'samples'), { recursive: true });
for (const [name, text] of sampleFiles()) {
  await writeFile(join(root, 'samples', name), text);
  console.log(`samples/${name}`);
}
