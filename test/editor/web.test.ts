/**
 * The product in an editor that is nothing but a page: extensions and server are workers, the folder is virtual.
 */

import { mkdir, rm } from 'node:fs/promises';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { packApart } from './packApart.ts';
import { makeWebWorkspace } from './web/makeWebWorkspace.ts';
import { runWebSuite } from './web/runWebSuite.ts';
import { bundleWebDriver } from './web/webDriver.ts';
import { reasonToSkipWeb, startWebHost, type WebHost } from './web/webHost.ts';

const output = join(import.meta.dirname, 'output');
const skipped = await reasonToSkipWeb();
if (skipped !== null) console.log(`test/editor/web skipped: ${skipped}`);

describe.skipIf(skipped !== null)('in an editor that is a page', () => {
  let host: WebHost;
  let workspace: string;

  beforeAll(async () => {
    await mkdir(output, { recursive: true });
    workspace = await makeWebWorkspace();
    const { vsix, folder } = await packApart();
    const driver = join(folder, 'driver');
    await bundleWebDriver({ folder: driver, commandLine: join(folder, 'dist', 'afterclap.mjs'), workspace });
    host = await startWebHost({ vsix, workspace, driver });
  }, 200_000);

  afterAll(async () => {
    await host?.stop();
    await rm(workspace, { recursive: true, force: true });
  });

  it('the packed extension does all that the suite asks', async () => {
    const { code, log } = await runWebSuite(host);
    console.log(log.filter((line) => /^(not )?ok: /.test(line)).join('\n'));
    expect(log.filter((line) => line.startsWith('not ok: '))).toEqual([]);
    expect(code).toBe(0);
  }, 200_000);
});
