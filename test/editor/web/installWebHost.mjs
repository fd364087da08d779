/**
 * Installs the editor that test/editor/web drives into its own folder, away from the product: VS Code for the web, and the small
 * server that hands it to a page. No install script runs and nothing is built. Some ten seconds and 200 MB; later calls find it
 * done.
 *
 *   node test/editor/web/installWebHost.mjs
 */

import { spawnSync } from 'node:child_process';
import { cpSync, existsSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const host = join(dirname(fileURLToPath(import.meta.url)), '..', 'webHost');
const modules = join(host, 'node_modules');
/** Where the server looks for a build before it downloads one; the name is its own. */
const build = join(modules, '.builds', `vscode-web-stable-${'0'.repeat(40)}`);

if (!existsSync(build)) {
  const command = ['npm', 'ci', '--ignore-scripts', '--no-audit', '--no-fund', '--loglevel=error'];
  const { status } = spawnSync(command[0], command.slice(1), { cwd: host, stdio: ['ignore', 'inherit', 'inherit'] });
  if (status !== 0) {
    console.error(`'${command.join(' ')}' failed in ${host}.`);
    process.exit(1);
  }
  // Under its name only once it is whole, so that a copy that was broken off is not taken for one that is done.
  const half = `${build}-half`;
  rmSync(half, { recursive: true, force: true });
  cpSync(join(modules, 'vscode-web', 'dist'), half, { recursive: true });
  writeFileSync(join(half, 'version'), 'from the package vscode-web');
  renameSync(half, build);
}
console.log('the editor in a page is installed');
