/**
 * The packed product in an editor that is a page, with the workspace of the web tests open; all that was made for it goes with it.
 */

import { mkdir, rm } from 'node:fs/promises';
import { join } from 'node:path';
import { packApart } from '../packApart.ts';
import { makeWebWorkspace } from './makeWebWorkspace.ts';
import { bundleWebDriver } from './webDriver.ts';
import { startWebHost, type WebHost } from './webHost.ts';

/** Where pictures for people to look at are left. */
export const OUTPUT = join(import.meta.dirname, '..', 'output');

/** `prepare` puts into the workspace what one test needs beside the rest. */
export async function startPackedWebHost(prepare?: (workspace: string) => Promise<void>): Promise<WebHost> {
  await mkdir(OUTPUT, { recursive: true });
  const workspace = await makeWebWorkspace();
  await prepare?.(workspace);
  const { vsix, folder } = await packApart();
  const driver = join(folder, 'driver');
  await bundleWebDriver({ folder: driver, commandLine: join(folder, 'dist', 'afterclap.mjs'), workspace });
  const host = await startWebHost({ vsix, workspace, driver });
  return {
    ...host,
    stop: async () => {
      await host.stop();
      for (const made of [workspace, folder]) await rm(made, { recursive: true, force: true });
    },
  };
}
