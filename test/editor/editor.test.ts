/**
 * The product in a real editor: its VSIX installed, the samples opened, findings, hover and fixes at work, and pictures of it
 * for people to look at in test/editor/output.
 */

import { execFile } from 'node:child_process';
import { mkdir, mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type EditorHost, RETRY_COUNT, reasonToSkip, startEditorHost } from './editorHost.ts';
import { runSuite } from './runSuite.ts';
import { takePictures } from './takePictures.ts';

const run = promisify(execFile);
const root = join(import.meta.dirname, '..', '..');
const output = join(import.meta.dirname, 'output');
const skipped = reasonToSkip();
if (skipped !== null) console.log(`test/editor skipped: ${skipped}`);

describe.skipIf(skipped !== null)('in a real editor', { retry: RETRY_COUNT }, () => {
  let host: EditorHost;

  beforeAll(async () => {
    await run(process.execPath, [join(import.meta.dirname, 'installHost.mjs')]);
    const folder = await mkdtemp(join(tmpdir(), 'afterclap-vsix-'));
    const vsix = join(folder, 'afterclap.vsix');
    await run('npm', ['run', 'package', '--', '--out', vsix], { cwd: root });
    await mkdir(output, { recursive: true });
    host = await startEditorHost(vsix, join(root, 'samples'));
    await rm(folder, { recursive: true });
  }, 300_000);

  afterAll(() => host?.stop());

  it('the installed package does all that the suite asks', async () => {
    const { code, log } = await runSuite(host);
    console.log(log.filter((line) => /^(not )?ok: /.test(line)).join('\n'));
    expect(log.filter((line) => line.startsWith('not ok: '))).toEqual([]);
    expect(code).toBe(0);
  }, 300_000);

  // A pointer of the machine's own may close a hover while it is read: that is tried again, a missing hover is not hidden by it.
  it('findings and hovers can be read in light, dark and high contrast', { timeout: 400_000 }, async () => {
    const pictures = await takePictures(host, output);
    expect(pictures.map(({ hoverText }) => hoverText)).toEqual(pictures.map(() => expect.stringContaining('leads')));
  });
});
