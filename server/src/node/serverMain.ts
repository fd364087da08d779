/**
 * The language server as a process: over standard input and output, Node's own channel, a pipe or a socket, as the
 * arguments say (`--stdio`, `--node-ipc`, `--pipe=NAME`, `--socket=PORT`); standard input and output where they say nothing.
 */

import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { createConnection } from 'vscode-languageserver/node';
import { version } from '../../../package.json';
import { startServer } from '../lsp/server.ts';
import { tolerantMessages } from '../lsp/tolerantMessages.ts';
import type { MakeRecordings } from '../sound/desk/recordings.ts';
import { createNodeFileSystem } from './fileSystem.ts';
import { connectStandardStreams } from './standardStreams.ts';

/** All others are standard input and output. */
const TRANSPORTS = ['--node-ipc', '--pipe', '--socket'];

if (process.argv.includes('--version')) {
  process.stdout.write(`${version}\n`);
} else {
  const isOverStreams = !process.argv.some((argument) => TRANSPORTS.some((transport) => argument.startsWith(transport)));
  const { isShutDown } = startServer(
    isOverStreams ? connectStandardStreams(() => isShutDown()) : createConnection(tolerantMessages),
    {
      timers: {
        now: () => performance.now(),
        after: (milliseconds, callback) => {
          const timer = setTimeout(callback, milliseconds);
          return () => clearTimeout(timer);
        },
        yieldNow: () => new Promise((resolve) => setImmediate(resolve)),
      },
      localFiles: createNodeFileSystem(),
      soundEngine,
      documentationUri: documentationUri(),
    },
    { name: 'afterclap', version },
  );
}

/** The pages as seen from the bundle, which is always CommonJS: `dist/` stands beside `server/`, in a package as in a checkout. */
function documentationUri(): string | null {
  const folder = join(__dirname, '..', 'server', 'docs', 'codes');
  return existsSync(folder) ? pathToFileURL(folder).href : null;
}

/** The sound engine stands beside the bundle and is read when the clap desk first asks for it. */
async function soundEngine(): Promise<MakeRecordings> {
  const module = (await import(pathToFileURL(join(__dirname, 'recordings.mjs')).href)) as {
    readonly makeRecordings: MakeRecordings;
  };
  return module.makeRecordings;
}
