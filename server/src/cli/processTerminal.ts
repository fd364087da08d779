/**
 * Standard output and error of this process.
 *
 * A reader that stops early (`afterclap check . | head`) is no error: what is left is not written, and the exit code still
 * says what was found.
 */

import type { WriteStream } from 'node:tty';
import type { OutputStream, Terminal } from './terminal.ts';
import { systemReason } from './textFile.ts';

export function processTerminal({ stdout, stderr, env }: NodeJS.Process): Terminal {
  return {
    output: outputStream(stdout, (error) => {
      stderr.write(`afterclap: can't write the output: ${systemReason(error)}\n`);
      process.exit(2);
    }),
    // With nowhere left to say it, the exit code has to.
    error: outputStream(stderr, () => process.exit(2)),
    environment: env,
  };
}

function outputStream(stream: WriteStream, fail: (error: Error) => void): OutputStream {
  let isClosed = false;
  stream.on('error', (error: NodeJS.ErrnoException) => {
    isClosed = true;
    if (error.code !== 'EPIPE' && error.code !== 'ERR_STREAM_DESTROYED') fail(error);
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
