/**
 * The extension that brings the suites into the editor in the page, and what only an extension can put there: a read-only virtual
 * folder, and commands that ask ours for what no menu offers.
 */

import { execFile } from 'node:child_process';
import { mkdir, readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { build } from 'esbuild';
import manifest from './driver/manifest.json' with { type: 'json' };

export interface WebDriverInput {
  readonly folder: string;
  /** Bundled command line, whose findings the editor is held against. */
  readonly commandLine: string;
  /** What the pages have open. */
  readonly workspace: string;
}

export async function bundleWebDriver({ folder, commandLine, workspace }: WebDriverInput): Promise<void> {
  await mkdir(folder, { recursive: true });
  await writeFile(join(folder, 'package.json'), JSON.stringify(manifest));
  await build({
    entryPoints: {
      driver: join(import.meta.dirname, 'driver', 'driverMain.ts'),
      index: join(import.meta.dirname, 'suite', 'index.ts'),
      twoRoots: join(import.meta.dirname, 'suite', 'twoRoots.ts'),
    },
    bundle: true,
    platform: 'browser',
    format: 'cjs',
    external: ['vscode'],
    define: {
      EXPECTED_FINDINGS: JSON.stringify(await expectedFindings(commandLine, workspace)),
      SHELF_FILES: JSON.stringify(await shelfFiles(workspace)),
    },
    outdir: folder,
    logLevel: 'warning',
  });
}

interface CheckedFile {
  readonly path: string;
  readonly findings: readonly { readonly code: string; readonly range: { readonly start: { readonly line: number } } }[];
}

async function expectedFindings(commandLine: string, workspace: string): Promise<Readonly<Record<string, string>>> {
  const words = [commandLine, 'check', 'millrace', '--format=json', '--fail-on=error'];
  // Exit code 1 says that there are findings, which is what the samples are for.
  const { stdout } = await promisify(execFile)(process.execPath, words, { cwd: workspace }).catch((error) => error);
  const { files } = JSON.parse(stdout) as { readonly files: readonly CheckedFile[] };
  const lines = ({ findings }: CheckedFile): string =>
    [...findings]
      .sort((left, right) => left.range.start.line - right.range.start.line || (left.code < right.code ? -1 : 1))
      .map(({ code, range }) => `${code} ${range.start.line}`)
      .join(', ');
  return Object.fromEntries(files.map((file) => [file.path.replaceAll('\\', '/'), lines(file)]));
}

async function shelfFiles(workspace: string): Promise<Readonly<Record<string, string>>> {
  const names = ['millrace.edl', 'millrace.otio', 'millrace.timeline.xml', 'millrace.alignment.json', 'afterclap.json'];
  const texts = names.map(async (name) => [name, await readFile(join(workspace, 'millrace', name), 'utf8')] as const);
  return Object.fromEntries(await Promise.all(texts));
}
