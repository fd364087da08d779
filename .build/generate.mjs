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
  // jsonc-parser's CommonJS build can't be bundled; its ES modules can.
  mainFields: ['module', 'main'],
  logLevel: 'warning',
  banner: { js: "import { createRequire } from 'node:module'; const require = createRequire(import.meta.url);" },
});
const { generatedFiles } = await import(bundle);
const present = (path) => readFile(join(root, path), 'utf8');
for (const [path, text] of generatedFiles({ readme: await present('README.md'), manifest: await present('package.json') })) {
  await mkdir(dirname(join(root, path)), { recursive: true });
  await writeFile(join(root, path), text);
}
