/**
 * `npm run demo`: audits the sample cut and shows what a person would want to see.
 *
 * Bundles the command line, runs it on samples/ as anybody would, then makes the safe fixes on a copy in a temporary folder and
 * shows the lines they change. Nothing in the repository is written but dist/. Exits with 0 when everything came out as the
 * samples promise: findings are what this cut is there for.
 */

import { spawnSync } from 'node:child_process';
import { cpSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { measureDemo } from './measureDemo.mjs';

const root = join(dirname(fileURLToPath(import.meta.url)), '..', '..');
const program = join(root, 'dist', 'afterclap.mjs');
const FORMATS = ['millrace.otio', 'millrace.timeline.xml', 'millrace.edl'];
const isColoured = process.stdout.isTTY === true && !process.env.NO_COLOR;

function title(text) {
  console.log(`\n${isColoured ? `\u001b[1m${text}\u001b[22m` : text}\n${'='.repeat(text.length)}\n`);
}

/** Stops the demo when a step did something else than it is known to do. */
function expectExit(step, { status, stderr, error }, ...allowed) {
  if (allowed.includes(status)) return;
  console.error(`demo: ${step} ended with ${status ?? error?.message}\n${stderr ?? ''}`);
  process.exit(1);
}

function afterclap(words, options) {
  return spawnSync(process.execPath, [program, ...words], { cwd: root, encoding: 'utf8', ...options });
}

function compared(file) {
  const result = afterclap(['check', '--format', 'json', `samples/${file}`]);
  expectExit(`checking ${file}`, result, 1);
  return JSON.parse(result.stdout).files[0];
}

const built = spawnSync(process.execPath, [join(root, '.build', 'build.mjs'), 'afterclap'], { cwd: root, encoding: 'utf8' });
// A bundle over its size budget is news for developers, not for whoever watches the demo.
expectExit('building the command line', built, 0, built.stderr === '' ? 1 : 0);

console.log(`Afterclap keeps separately recorded sound where the clap says it belongs.

The sample is a small documentary that does not exist: the mill, the day and every number are invented. Two cameras without
sound, a main recorder and a back-up. At the head of every take somebody clapped once in view of each camera. Where those claps
are was measured and written down in samples/millrace.alignment.json. Then the cut was made, with the mistakes that happen.`);

title('1. The cut against its alignment report: afterclap check samples/millrace.edl');
expectExit('checking the list', afterclap(['check', 'samples/millrace.edl'], { stdio: 'inherit' }), 1);

title('2. The same cut in all three formats');
const results = FORMATS.map(compared);
const verdicts = results.map(({ pairs }) => JSON.stringify(pairs.map(({ lag, verdict }) => [lag, verdict])));
for (const { path, pairs, findings } of results) {
  const count = (verdict) => pairs.filter((pair) => pair.verdict === verdict).length;
  console.log(
    `  ${path.padEnd(30)} ${pairs.length} comparisons: ${count('in')} in, ${count('leads')} lead, ${count('lags')} lag, ${count('drifts')} drift; ${findings.length} findings`,
  );
}
if (new Set(verdicts).size !== 1) {
  console.error('demo: the formats disagree on a lag or a verdict');
  process.exit(1);
}
console.log(`
Every lag is the same exact fraction of a second in all three. OTIO and XML bring findings of their own, because they write rates
and an edit decision list does not: 'afterclap explain rate-mismatch' says more.`);

title('3. What --fix would do, on a copy');
const copy = mkdtempSync(join(tmpdir(), 'afterclap-demo-'));
try {
  cpSync(join(root, 'samples'), copy, { recursive: true });
  const before = readFileSync(join(copy, 'millrace.edl'), 'utf8').split('\n');
  const fixed = afterclap(['check', '--fix', 'millrace.edl'], { cwd: copy });
  expectExit('fixing the copy', fixed, 1);
  const after = readFileSync(join(copy, 'millrace.edl'), 'utf8').split('\n');
  for (const [index, line] of before.entries()) {
    if (line === after[index]) continue;
    const name = (before[index + 1] ?? '').replace(/^\* FROM CLIP NAME: /, '');
    console.log(`  ${name}\n    was  ${line}\n    now  ${after[index]}`);
  }
  const left = /^ {2}findings {3}(.*)$/m.exec(fixed.stdout)?.[1] ?? '';
  console.log(`
Left for a person: ${left}. A take that drifts by more than the tolerance can't be put right by
moving it, and which of two doubled tracks is wanted only the editor knows.`);
} finally {
  rmSync(copy, { recursive: true, force: true });
}

measureDemo({ afterclap, expectExit, title });

console.log(`
The samples themselves were not changed. Keep the original of every file you fix, and check the cut by eye and ear: the
report is as good as its claps, and delivery specifications decide.`);
