/** The language server in a worker of a browser: files come from the client. */

import { BrowserMessageReader, BrowserMessageWriter, createConnection } from 'vscode-languageserver/browser';
import { version } from '../../../package.json';
import { startServer } from '../lsp/server.ts';
import { tolerantMessages } from '../lsp/tolerantMessages.ts';

declare const self: DedicatedWorkerGlobalScope;

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
    recordings: null,
    documentationUri: null,
  },
  { name: 'afterclap', version },
);
