/**
 * Bundles the extension, the server and the command line into dist/.
 *
 * One file per process: an editor that has to open a hundred modules starts noticeably later than one that opens one.
 * Source maps stay in dist/ and out of the package; with one, a stack from a bug report is read again.
 *
 *   node .build/build.mjs            everything
 *   node .build/build.mjs server     only the bundles of these names
 *   node .build/build.mjs --watch    goes on building as files change
 *   node .build/build.mjs --out=DIR  into DIR instead of dist/, for tests
 */

import { existsSync, statSync } from 'node:fs';
import { dirname, join, relative } from 'node:path';
import { fileURLToPath } from 'node:url';
import { build, context } from 'esbuild';
import { inBrowser } from './inBrowser.mjs';
import { slimProtocol } from './slimProtocol.mjs';
import { slimReaders } from './slimReaders.mjs';
import { withoutRulePages } from './withoutRulePages.mjs';

const root = dirname(dirname(fileURLToPath(import.meta.url)));

const common = {
  absWorkingDir: root,
  bundle: true,
  target: 'es2022',
  minify: true,
  sourcemap: true,
  sourcesContent: false,
  legalComments: 'none',
  logLevel: 'warning',
  // A name that a plugin left out and somebody uses is undefined at run time: never a mere warning.
  logOverride: { 'import-is-undefined': 'error' },
  loader: { '.wasm': 'binary' },
};

const forNode = { ...common, platform: 'node', target: 'node20' };
// xml2js and sax bring CommonJS into an ES module, where `require` has to be made first.
const requireForEsm = "import { createRequire } from 'node:module'; const require = createRequire(import.meta.url);";

/**
 * Budgets in KB of 1000 bytes, part of the promise that opening a timeline is quick. Past a budget the build says so; past the
 * limit, twice the budget where none is given, it fails. No server is larger than 500 KB: that is promised.
 */
const bundles = [
  {
    name: 'client',
    options: {
      ...forNode,
      entryPoints: ['client/src/node/clientMain.ts'],
      outfile: 'client.cjs',
      format: 'cjs',
      external: ['vscode'],
      plugins: [slimProtocol],
    },
    budget: 390,
  },
  {
    name: 'server',
    options: {
      ...forNode,
      entryPoints: ['server/src/node/serverMain.ts'],
      outfile: 'server.cjs',
      format: 'cjs',
      banner: { js: '#!/usr/bin/env node' },
      plugins: [slimProtocol, slimReaders, withoutRulePages],
    },
    budget: 490,
    limit: 500,
  },
  {
    // The sound engine of the clap desk; the server loads it when the desk is opened.
    name: 'recordings',
    options: {
      ...forNode,
      entryPoints: ['server/src/node/recordings.ts'],
      outfile: 'recordings.mjs',
      format: 'esm',
      banner: { js: requireForEsm },
    },
    budget: 250,
  },
  {
    name: 'afterclap',
    options: {
      ...forNode,
      entryPoints: ['server/src/cli/main.ts'],
      outfile: 'afterclap.mjs',
      format: 'esm',
      banner: { js: `#!/usr/bin/env node\n${requireForEsm}` },
    },
    budget: 900,
  },
  {
    name: 'browser/client',
    options: {
      ...common,
      platform: 'browser',
      entryPoints: ['client/src/browser/clientMain.ts'],
      outfile: 'browser/client.js',
      format: 'cjs',
      external: ['vscode'],
      plugins: [slimProtocol],
    },
    budget: 350,
  },
  {
    name: 'browser/server',
    options: {
      ...common,
      platform: 'browser',
      entryPoints: ['server/src/browser/serverMain.ts'],
      outfile: 'browser/server.js',
      format: 'iife',
      plugins: [slimProtocol, slimReaders, withoutRulePages],
    },
    budget: 490,
    limit: 500,
  },
  {
    // The same for a server in a worker, which loads it as a plain script and finds its exports under this name.
    name: 'browser/recordings',
    options: {
      ...common,
      platform: 'browser',
      entryPoints: ['server/src/browser/recordings.ts'],
      outfile: 'browser/recordings.js',
      format: 'iife',
      globalName: 'afterclapRecordings',
      // The WebAssembly is in the script, so an address beside it is made up and never read; what asks for a module does so in Node alone.
      define: { 'import.meta.url': '"memory:/"' },
      external: ['module'],
      plugins: [inBrowser, slimReaders],
    },
    budget: 250,
  },
  {
    // The page of the lag chart; its style sheet comes out beside it.
    name: 'chart',
    options: {
      ...common,
      platform: 'browser',
      entryPoints: ['client/src/chart/page/chartMain.ts'],
      outfile: 'chart.js',
      format: 'iife',
    },
    budget: 80,
  },
  {
    // The page of the clap desk, with what takes camera files apart; its style sheet comes out beside it.
    name: 'desk',
    options: {
      ...common,
      platform: 'browser',
      entryPoints: ['client/src/desk/page/deskMain.ts'],
      outfile: 'desk.js',
      format: 'iife',
      banner: {
        js: '/* Holds Mediabunny (Mozilla Public License 2.0); its source is at https://github.com/Vanilagy/mediabunny */',
      },
    },
    budget: 360,
  },
];

const words = process.argv.slice(2).filter((argument) => !argument.startsWith('--'));
const isWatching = process.argv.includes('--watch');
const target = process.argv.find((argument) => argument.startsWith('--out='))?.slice('--out='.length) ?? join(root, 'dist');
const chosen = bundles.filter(({ name }) => words.length === 0 || words.includes(name));
let isOverLimit = false;

for (const { name, options: relativeOptions, budget, limit = 2 * budget } of chosen) {
  const options = { ...relativeOptions, outfile: join(target, relativeOptions.outfile) };
  const [entry] = options.entryPoints;
  if (!existsSync(join(root, entry))) {
    console.log(`${name.padEnd(16)} skipped: there is no ${entry}`);
    continue;
  }
  if (isWatching) {
    const watched = await context(options);
    await watched.watch();
    console.log(`${name.padEnd(16)} watching`);
    continue;
  }
  await build(options);
  const kilobytes = Math.ceil(statSync(options.outfile).size / 1000);
  isOverLimit ||= kilobytes > limit;
  const remark =
    kilobytes > limit ? `  over its limit of ${limit} KB` : kilobytes > budget ? `  over its budget of ${budget} KB` : '';
  console.log(`${name.padEnd(16)} ${String(kilobytes).padStart(4)} KB  ${relative(root, options.outfile)}${remark}`);
}
if (isOverLimit) process.exitCode = 1;
