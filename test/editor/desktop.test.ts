/**
 * The same suite in a desktop editor, through @vscode/test-electron.
 *
 *   AFTERCLAP_VSCODE=/usr/bin/code npx vitest run test/editor/desktop     an editor that is installed
 *   AFTERCLAP_VSCODE=download npx vitest run test/editor/desktop          one that the package downloads (ordinary CI)
 *
 * On Linux without a screen, run it under xvfb-run.
 */

import { execFile } from 'node:child_process';
import { cp, mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { runTests } from '@vscode/test-electron';
import { describe, expect, it } from 'vitest';
import { bundleSuite } from './suiteBundle.ts';

const root = join(import.meta.dirname, '..', '..');
const editor = process.env['AFTERCLAP_VSCODE'];
if (editor === undefined) console.log('test/editor/desktop skipped: AFTERCLAP_VSCODE names no desktop editor');

describe.skipIf(editor === undefined)('in a desktop editor', () => {
  it('the extension does all that the suite asks', async () => {
    await promisify(execFile)(process.execPath, [join(root, '.build', 'build.mjs')]);
    const folder = await mkdtemp(join(tmpdir(), 'afterclap-desktop-'));
    const workspace = join(folder, 'workspace');
    await cp(join(root, 'samples'), workspace, { recursive: true });
    const { tests } = await bundleSuite(folder);
    const code = await runTests({
      ...(editor === 'download' ? {} : { vscodeExecutablePath: editor as string }),
      extensionDevelopmentPath: root,
      extensionTestsPath: tests,
      launchArgs: [workspace, '--disable-workspace-trust', '--user-data-dir', join(folder, 'user')],
    });
    await rm(folder, { recursive: true, force: true });
    expect(code).toBe(0);
  }, 600_000);
});
