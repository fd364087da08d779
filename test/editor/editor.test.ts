/**
 * The product in a real editor: its VSIX installed, the samples opened, findings, hover and fixes at work, in one folder and in two,
 * and pictures of it for people to look at in test/editor/output.
 */

import { execFile } from 'node:child_process';
import { mkdir, rm } from 'node:fs/promises';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type EditorHost, RETRY_COUNT, reasonToSkip, startEditorHost } from './editorHost.ts';
import { makeTwoDays } from './makeTwoDays.ts';
import { packApart } from './packApart.ts';
import { output } from './person.ts';
import { runSuite } from './runSuite.ts';
import { takePictures } from './takePictures.ts';

const run = promisify(execFile);
const samples = join(import.meta.dirname, '..', '..', 'samples');
const skipped = reasonToSkip();
if (skipped !== null) console.log(`test/editor skipped: ${skipped}`);

describe.skipIf(skipped !== null)('in a real editor', { retry: RETRY_COUNT }, () => {
  let host: EditorHost;

  beforeAll(async () => {
    await run(process.execPath, [join(import.meta.dirname, 'installHost.mjs')]);
    const { vsix, folder } = await packApart();
    await mkdir(output, { recursive: true });
    host = await startEditorHost(vsix, samples);
    await rm(folder, { recursive: true, force: true });
  }, 300_000);

  afterAll(() => host?.stop(), 60_000);

  it('the installed package does all that the suite asks', async () => {
    await expectAllOk();
  }, 180_000);

  it('two folders in one window are checked against a report each', async () => {
    await expectAllOk('twoRoots.ts', await makeTwoDays(join(host.workspace, '..', 'days')));
  }, 120_000);

  it('findings, hovers, status and problems can be looked at in light, dark and high contrast', async () => {
    const pictures = await takePictures(host);
    expect(pictures.map(({ hoverText }) => hoverText)).toEqual(pictures.map(() => expect.stringContaining('leads')));
  }, 120_000);

  async function expectAllOk(suite?: string, workspaceFile?: string): Promise<void> {
    const { code, log } = await runSuite(host, suite, workspaceFile);
    console.log(log.filter((line) => /^(not )?ok: /.test(line)).join('\n'));
    expect(log.filter((line) => line.startsWith('not ok: '))).toEqual([]);
    expect(code).toBe(0);
  }
});
