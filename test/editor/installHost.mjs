/**
 * Installs the editor that test/editor drives into its own folder, away from the product: a VS Code server, and the Node it
 * needs. No install script runs and nothing native is built. About half a minute and 600 MB; later calls find it done.
 *
 *   node test/editor/installHost.mjs
 */

import { spawnSync } from 'node:child_process';
import { existsSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const host = join(dirname(fileURLToPath(import.meta.url)), 'host');
const server = join(host, 'node_modules', 'code-server', 'lib', 'vscode');

const steps = [
  { folder: host, done: join(server, 'out', 'server-main.js'), args: ['ci'] },
  { folder: server, done: join(server, 'node_modules', '@vscode', 'ripgrep-universal'), args: ['install', '--omit=dev'] },
  {
    folder: join(server, 'extensions'),
    done: join(server, 'extensions', 'node_modules'),
    args: ['install', '--omit=dev'],
  },
];

for (const { folder, done, args } of steps) {
  if (existsSync(done)) continue;
  const command = ['npm', ...args, '--ignore-scripts', '--no-audit', '--no-fund', '--loglevel=error'];
  const { status } = spawnSync(command[0], command.slice(1), { cwd: folder, stdio: ['ignore', 'inherit', 'inherit'] });
  if (status !== 0) {
    console.error(`'${command.join(' ')}' failed in ${folder}.`);
    process.exit(1);
  }
}
console.log('the editor host is installed');
