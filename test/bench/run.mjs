/**
 * `npm run bench [WORD]`: runs the benches whose name holds WORD, or all of them, and prints their figures as ratios.
 *
 * Every module of this folder named *.bench.ts exports `benches`. Each is bundled, as it will be shipped, and runs in a
 * process of its own, so that one bench's garbage is not another's pause. Exit 1 when a figure is over its limit.
 *
 * A line for people, then the same as JSON:
 *   ok    2.1 x of at most 2.5 x  OTIO ... (details)
 *   {"name":"...","ratio":2.1,"limit":2.5,"unit":"x","ok":true,"detail":"..."}
 */

import { spawn } from 'node:child_process';
import { mkdir, readdir } from 'node:fs/promises';
import { basename, dirname, join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';

const self = fileURLToPath(import.meta.url);
const folder = dirname(self);
const root = dirname(dirname(folder));

if (process.argv[2] === '--module') await runModule(process.argv[3], process.argv[4] ?? '');
else await runAll(process.argv[2] ?? '');

async function runAll(word) {
  const { build } = await import('esbuild');
  const output = join(root, 'dist/bench');
  await mkdir(output, { recursive: true });
  const sources = (await readdir(folder)).filter((name) => name.endsWith('.bench.ts')).sort();
  let isOver = false;
  for (const source of sources) {
    const outfile = join(output, `${basename(source, '.ts')}.mjs`);
    await build({
      entryPoints: [join(folder, source)],
      outfile,
      bundle: true,
      format: 'esm',
      platform: 'node',
      target: 'node20',
      external: ['playwright-core'],
      logLevel: 'warning',
      banner: { js: "import { createRequire } from 'node:module'; const require = createRequire(import.meta.url);" },
    });
    const code = await runProcess([self, '--module', outfile, word]);
    if (code !== 0) isOver = true;
  }
  process.exitCode = isOver ? 1 : 0;
}

function runProcess(parameters) {
  return new Promise((resolve, reject) => {
    const child = spawn(process.execPath, ['--expose-gc', ...parameters], { stdio: 'inherit' });
    child.on('error', reject);
    child.on('exit', (code) => resolve(code ?? 1));
  });
}

async function runModule(bundle, word) {
  const { benches } = await import(pathToFileURL(bundle).href);
  const chosen = benches.filter((bench) => bench.name.toLowerCase().includes(word.toLowerCase()));
  for (const { name, limit, unit, run } of chosen) {
    const { ratio, detail } = await run();
    const isOk = ratio <= limit;
    const figure = `${ratio.toFixed(2)} ${unit} of at most ${limit} ${unit}`;
    console.log(`${isOk ? 'ok  ' : 'over'}  ${figure.padEnd(26)}  ${name} (${detail})`);
    console.log(JSON.stringify({ name, ratio: Number(ratio.toFixed(3)), limit, unit, ok: isOk, detail }));
    if (!isOk) process.exitCode = 1;
  }
}
