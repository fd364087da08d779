/**
 * Standard output and error of this process.
 *
 * A reader that stops early (`afterclap check . | head`) is no error: what is left is not written, and the exit code still
 * says what was found.
 */

import type { WriteStream } from 'node:tty';
import type { OutputStream, Terminal } from './terminal.ts';

export function processTerminal({ stdout, stderr, env }: NodeJS.Process): Terminal {
  return { output: outputStream(stdout), error: outputStream(stderr), environment: env };
}

function outputStream(stream: WriteStream): OutputStream {
  let isClosed = false;
  stream.on('error', (error: NodeJS.ErrnoException) => {
    if (error.code !== 'EPIPE' && error.code !== 'ERR_STREAM_DESTROYED') throw error;
    isClosed = true;
  });
  return {
    write: (text) => {
      if (!isClosed) stream.write(text);
    },
    isTerminal: stream.isTTY === true,
    get columns() {
      return stream.isTTY === true && stream.columns > 0 ? stream.columns : null;
    },
  };
}
