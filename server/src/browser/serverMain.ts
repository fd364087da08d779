/**
 * The language server in a worker of a browser: files come from the client, and so does the address of the script with the sound engine,
 * since a worker made by an editor does not know where its own script came from.
 */

import { BrowserMessageReader, BrowserMessageWriter, createConnection } from 'vscode-languageserver/browser';
import { version } from '../../../package.json';
import { startServer } from '../lsp/server.ts';
import { tolerantMessages } from '../lsp/tolerantMessages.ts';
import type { MakeRecordings } from '../sound/desk/recordings.ts';

declare const self: DedicatedWorkerGlobalScope & {
  /** Left by recordings.js. */
  readonly afterclapRecordings?: { readonly makeRecordings: MakeRecordings };
};

startServer(
  createConnection(new BrowserMessageReader(self), new BrowserMessageWriter(self), tolerantMessages),
  {
    timers: {
      now: () => performance.now(),
      after: (milliseconds, callback) => {
        const timer = setTimeout(callback, milliseconds);
        return () => clearTimeout(timer);
      },
      yieldNow: () => new Promise((resolve) => setTimeout(resolve, 0)),
    },
    localFiles: null,
    soundEngine: async (address) => {
      if (address === null) throw new Error('the client named no script with the sound engine');
      importScripts(address);
      if (self.afterclapRecordings === undefined) throw new Error(`${address} holds no sound engine`);
      return self.afterclapRecordings.makeRecordings;
    },
    documentationUri: null,
  },
  { name: 'afterclap', version },
);
