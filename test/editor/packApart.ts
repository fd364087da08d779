/**
 * Makes the VSIX in a folder of its own, so that another test that packs the product at the same time doesn't read half a bundle.
 */

import { execFile } from 'node:child_process';
import { cp, mkdtemp, readFile, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';

const run = promisify(execFile);
const root = join(import.meta.dirname, '..', '..');
/** What .vscodeignore lets in, and itself. */
const PARTS = ['.vscodeignore', 'README.md', 'CHANGELOG.md', 'LICENSE', 'syntaxes', 'server/docs', 'client/media', 'samples'];

/** The path of the VSIX; its folder is the caller's to remove. */
export async function packApart(): Promise<{ readonly vsix: string; readonly folder: string }> {
  const folder = await mkdtemp(join(tmpdir(), 'afterclap-pack-'));
  for (const part of PARTS) await cp(join(root, part), join(folder, part), { recursive: true });
  const { scripts: _, ...manifest } = JSON.parse(await readFile(join(root, 'package.json'), 'utf8'));
  await writeFile(join(folder, 'package.json'), JSON.stringify(manifest));
  await run(process.execPath, [join(root, '.build', 'build.mjs'), `--out=${join(folder, 'dist')}`]);
  const vsix = join(folder, 'afterclap.vsix');
  const options = ['--no-dependencies', '--allow-missing-repository', '--no-rewrite-relative-links', '--out', vsix];
  await run(process.execPath, [join(root, 'node_modules', '@vscode', 'vsce', 'vsce'), 'package', ...options], { cwd: folder });
  return { vsix, folder };
}
