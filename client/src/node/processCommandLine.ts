/**
 * Our command line as a process beside the extension host, run by the same program that runs the host.
 *
 * The channel between the two is how it is stopped: the command line ends by itself, cleanly, when the channel closes, on every
 * platform, and also when the editor dies. Nothing of the workspace chooses what is run.
 */

import { fork } from 'node:child_process';
import { type CommandLine, type CommandRun, messageOf, progressOf } from '../commandLine/commandLine.ts';

/** After this a process that was asked to stop is ended. Reading a block of a slow disk takes far less. */
const PATIENCE_MS = 20_000;

/** `script` is the bundled command line. */
export function processCommandLine(script: string): CommandLine {
  return ({ words, folder, onProgress, onText, signal }) =>
    new Promise<CommandRun>((resolve) => {
      const messages: string[] = [];
      let output = '';
      let patience: NodeJS.Timeout | undefined;
      // `fork` takes process.execPath; the host's own program is a plain Node only when it is told to be one.
      const child = fork(script, [...words], {
        cwd: folder,
        execArgv: [],
        env: { ...process.env, ELECTRON_RUN_AS_NODE: '1' },
        stdio: ['ignore', 'pipe', 'pipe', 'ipc'],
      });
      const stop = (): void => {
        if (child.connected) child.disconnect();
        patience = setTimeout(() => child.kill('SIGKILL'), PATIENCE_MS);
      };
      const finish = (exitCode: number | null): void => {
        clearTimeout(patience);
        signal?.removeEventListener('abort', stop);
        resolve({ exitCode, output, messages });
      };
      const takeLine = (line: string): void => {
        const event = progressOf(line);
        if (event !== null) {
          onProgress?.(event);
          return;
        }
        const message = messageOf(line);
        if (message === null) return;
        messages.push(message);
        onText?.(`${line}\n`);
      };
      child.stdout?.setEncoding('utf8').on('data', (text: string) => {
        output += text;
        onText?.(text);
      });
      const takeText = lineReader(takeLine);
      child.stderr?.setEncoding('utf8').on('data', takeText);
      child.on('error', (error) => {
        messages.push(`the command line could not be started: ${error.message}`);
        finish(null);
      });
      // The event 'close' never comes once the channel was closed from this side, so its parts are waited for.
      const ends = [once(child, 'exit'), once(child.stdout, 'close'), once(child.stderr, 'close')];
      void Promise.all(ends).then(() => {
        takeText('\n');
        finish(child.exitCode);
      });
      if (signal?.aborted === true) stop();
      else signal?.addEventListener('abort', stop, { once: true });
    });
}

function once(source: NodeJS.EventEmitter | null, event: string): Promise<void> {
  return new Promise((resolve) => {
    if (source === null) resolve();
    else source.once(event, () => resolve());
  });
}

/** Hands on whole lines, whatever pieces they come in. */
function lineReader(take: (line: string) => void): (text: string) => void {
  let rest = '';
  return (text) => {
    const lines = (rest + text).split(/\r?\n/);
    rest = lines.pop() ?? '';
    for (const line of lines) take(line);
  };
}
