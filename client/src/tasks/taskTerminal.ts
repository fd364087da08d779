/**
 * The terminal of one task: starts our command line, prints what it says, and ends with its exit code.
 *
 * Closing the terminal, or Ctrl+C in it, asks the command to stop by itself, so that nothing is half written.
 */

import * as vscode from 'vscode';
import type { CommandLine } from '../commandLine/commandLine.ts';
import { taskWords } from './taskWords.ts';

/** As the command line itself: it could not do its job. */
const FAILED = 2;
const INTERRUPT = '\u0003';

export function taskTerminal(
  commandLine: CommandLine,
  folder: string,
  definition: Readonly<Record<string, unknown>>,
): vscode.Pseudoterminal {
  const written = new vscode.EventEmitter<string>();
  const ended = new vscode.EventEmitter<number>();
  const stopper = new AbortController();
  // A terminal takes a line feed as one step down, and no more.
  const print = (text: string): void => written.fire(text.replace(/\r?\n/g, '\r\n'));
  const run = async (): Promise<number> => {
    const answer = taskWords(definition);
    if (!answer.ok) {
      print(`afterclap: this task can't be run: ${answer.reason}\n`);
      return FAILED;
    }
    const { words } = answer;
    print(`> afterclap ${words.map(shown).join(' ')}\n\n`);
    const { exitCode, messages } = await commandLine({ words, folder, signal: stopper.signal, onText: print });
    if (exitCode === null) print(`afterclap: ${messages.at(-1) ?? 'the command was ended from outside'}\n`);
    return exitCode ?? FAILED;
  };
  return {
    onDidWrite: written.event,
    onDidClose: ended.event,
    open: () => void run().then((exitCode) => ended.fire(exitCode)),
    close: () => stopper.abort(),
    handleInput: (keys) => {
      if (keys !== INTERRUPT || stopper.signal.aborted) return;
      print('afterclap: stopping\n');
      stopper.abort();
    },
  };
}

/** For reading only; no shell gets this. */
function shown(word: string): string {
  return /^[\w./=:,-]+$/.test(word) ? word : `'${word}'`;
}
