/**
 * `afterclap handoff --verify DIR`: is everything there that the manifest names, byte for byte, and nothing else?
 */

import { createHash } from 'node:crypto';
import { createReadStream } from 'node:fs';
import { readdir, stat } from 'node:fs/promises';
import { join } from 'node:path';
import { type FileDigest, MANIFEST_NAME, readManifest } from '../core/handoff/manifest.ts';
import { visibleText } from '../core/report/visibleText.ts';
import { compareNaturally } from '../core/text/naturalOrder.ts';
import { type Verification, verify } from '../project/handoff/verification.ts';
import type { ExitCode } from './command.ts';
import { megabytes } from './handoffOutput.ts';
import { progressLine } from './progressLine.ts';
import { painterFor, type Terminal } from './terminal.ts';
import { readTextFile, systemReason } from './textFile.ts';
import { UserError } from './userError.ts';

export async function verifyHandoff(folder: string, terminal: Terminal): Promise<ExitCode> {
  const manifest = readManifest(await manifestText(folder));
  if (!manifest.ok) throw new UserError(`${join(folder, MANIFEST_NAME)}: ${manifest.reason}`);
  const { files } = manifest;
  const progress = progressLine(terminal.error, () => performance.now());
  let done = 0;
  const result = await verify(files, await filesIn(folder), (path, size) => {
    progress.show(done, files.length, visibleText(path));
    done += 1;
    return digestOf(join(folder, path), size);
  });
  progress.clear();
  const bytes = files.reduce((sum, { size }) => sum + size, 0);
  terminal.output.write(`${reportLines(folder, result, bytes, manifest.missing, terminal).join('\n')}\n`);
  return result.missing.length + result.changed.length + result.extra.length === 0 ? 0 : 1;
}

async function manifestText(folder: string): Promise<string> {
  const path = join(folder, MANIFEST_NAME);
  try {
    if (!(await stat(folder)).isDirectory()) throw new UserError(`${folder} is a file; --verify takes the folder of a hand-off`);
    await stat(path);
  } catch (error) {
    if (error instanceof UserError) throw error;
    const isMissing = error instanceof Error && 'code' in error && error.code === 'ENOENT';
    if (!isMissing) throw new UserError(`can't read ${path}: ${systemReason(error)}`);
    throw new UserError(`${folder} holds no ${MANIFEST_NAME}, so it is no hand-off, or not a whole one`);
  }
  return (await readTextFile(path)).text;
}

function reportLines(
  folder: string,
  { whole, missing, changed, extra, hidden }: Verification,
  bytes: number,
  left: readonly string[],
  { output, environment }: Terminal,
): readonly string[] {
  const painter = painterFor(output, environment);
  const error = (word: string): string => painter.severity('error', word);
  const isWhole = missing.length + changed.length === 0;
  const total = whole.length + missing.length + changed.length;
  const count = total === 1 ? '1 file' : `${total} files`;
  return [
    ...missing.map((path) => `${error('missing')}  ${visibleText(path)}`),
    ...changed.map(({ path, reason }) => `${error('changed')}  ${visibleText(path)} ${visibleText(reason)}`),
    ...extra.map((path) => `${painter.severity('warning', 'extra')}    ${visibleText(path)} is not in the manifest`),
    ...hidden.map(
      (path) => `hidden   ${visibleText(path)} is not in the manifest; its name begins with a dot, so it does not count`,
    ),
    isWhole
      ? `${visibleText(folder)}: ${count}, ${megabytes(bytes)}, all as handed over${extra.length === 0 ? '' : `; ${extra.length} more that ${extra.length === 1 ? 'was' : 'were'} not`}.`
      : `${visibleText(folder)}: ${whole.length} of ${count} as handed over, ${changed.length} changed, ${missing.length} missing.`,
    ...(left.length === 0
      ? []
      : ['When it was made, this was missing already:', ...left.map((sentence) => `  ${visibleText(sentence)}`)]),
  ];
}

async function digestOf(path: string, size: number): Promise<FileDigest | string | null> {
  try {
    const status = await stat(path);
    if (!status.isFile()) return 'is no file any more';
    // Another size is answer enough; hashing gigabytes would only say it again.
    if (status.size !== size) return { size: status.size, sha256: '' };
    const hash = createHash('sha256');
    for await (const block of createReadStream(path, { highWaterMark: 1 << 20 })) hash.update(block as Buffer);
    return { size: status.size, sha256: hash.digest('hex') };
  } catch (error) {
    const code = error instanceof Error && 'code' in error ? error.code : '';
    return code === 'ENOENT' || code === 'ENOTDIR' ? null : `can't be read: ${systemReason(error)}`;
  }
}

/** Paths relative to the folder, with `/`. */
async function filesIn(folder: string): Promise<readonly string[]> {
  try {
    const entries = await readdir(folder, { withFileTypes: true, recursive: true });
    return entries
      .filter((entry) => !entry.isDirectory())
      .map((entry) => join(entry.parentPath, entry.name).slice(join(folder, '/').length).replaceAll('\\', '/'))
      .sort(compareNaturally);
  } catch (error) {
    throw new UserError(`can't read ${folder}: ${systemReason(error)}`);
  }
}
