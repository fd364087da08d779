/**
 * The connection over standard input and output, for clients that start the server themselves and write their own messages.
 *
 * The library's own does the same for clients without faults. This one also says on standard error what it can't read: a message that
 * is no JSON is left out, a header that is none ends the server with 1. When either stream of the protocol ends the client is gone, and
 * so is the server.
 */

import { type Connection, createConnection, StreamMessageReader, StreamMessageWriter } from 'vscode-languageserver/node';
import { tolerantMessages } from '../lsp/tolerantMessages.ts';
import { createFramingCheck } from './framing.ts';

/** `isShutDown` tells whether the client has asked for the end before it leaves. */
export function connectStandardStreams(isShutDown: () => boolean): Connection {
  const { stdin, stdout, stderr } = process;
  const leave = (): never => process.exit(isShutDown() ? 0 : 1);
  const check = createFramingCheck();
  let isBroken = false;
  // Before the reader's own, so that nothing of a broken stream is taken for a message.
  stdin.on('data', (chunk: Buffer) => {
    const reason = isBroken ? null : check(chunk);
    if (reason === null) return;
    isBroken = true;
    stderr.write(`afterclap: the messages of the client can't be told apart: ${reason}. The server ends.\n`, () =>
      process.exit(1),
    );
  });
  stdin.on('end', leave);
  stdin.on('close', leave);
  stdout.on('error', leave);
  // Whoever started the server may have no use for its standard error, and the server goes on without it.
  stderr.on('error', () => undefined);
  const reader = new StreamMessageReader(stdin);
  reader.onError(({ message }) => {
    if (!isBroken) stderr.write(`afterclap: a message of the client can't be read and was left out: ${message}\n`);
  });
  // Standard output belongs to the protocol: a stray line from a library would end up inside a message.
  globalThis.console = new console.Console(stderr, stderr);
  return createConnection(reader, new StreamMessageWriter(stdout), tolerantMessages);
}
