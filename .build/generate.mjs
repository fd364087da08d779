/**
 * Writes the generated files. See generatedFiles.ts for which and why.
 */

import { mkdir, readFile, writeFile } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { build } from 'esbuild';

const root = dirname(dirname(fileURLToPath(import.meta.url)));
const bundle = join(root, 'dist/generatedFiles.mjs');

await build({
  entryPoints: [join(root, '.build/generatedFiles.ts')],
  outfile: bundle,
  bundle: true,
  format: 'esm',
  platform: 'node',
  logLevel: 'warning',
  banner: { js: "import { createRequire } from 'node:module'; const require = createRequire(import.meta.url);" },
});
const { generatedFiles } = await import(bundle);
const readme = await readFile(join(root, 'README.md'), 'utf8');
for (const [path, text] of generatedFiles(readme)) {
  await mkdir(dirname(join(root, path)), { recursive: true });
  await writeFile(join(root, path), text);
}
