/**
 * From the words of a command line to an exit code. The only place where errors become text: a UserError is one line, anything
 * else is a bug of ours and comes with its stack.
 */

import { version } from '../../../package.json';
import { visibleText } from '../core/report/visibleText.ts';
import type { Command, ExitCode } from './command.ts';
import { COMMANDS } from './commands.ts';
import { meant, parseFlags } from './flags.ts';
import { commandHelp, generalHelp } from './help.ts';
import type { Terminal } from './terminal.ts';
import { UserError } from './userError.ts';

export async function runCommandLine(words: readonly string[], terminal: Terminal): Promise<ExitCode> {
  try {
    return await dispatch(words, terminal);
  } catch (error) {
    if (error instanceof UserError) {
      terminal.error.write(`afterclap: ${visibleText(error.message)}\n`);
    } else {
      terminal.error.write(`afterclap ${version}: a bug in the program, please report it with this: ${stackOf(error)}\n`);
    }
    return 2;
  }
}

async function dispatch(words: readonly string[], terminal: Terminal): Promise<ExitCode> {
  const [first, ...rest] = words;
  if (first === undefined) {
    terminal.error.write(generalHelp(COMMANDS, version));
    return 2;
  }
  if (isHelp(first)) return show(terminal, helpFor(rest[0]));
  if (first === '--version' || first === '-V') return show(terminal, `${version}\n`);
  const command = COMMANDS.find(({ name }) => name === first);
  if (command === undefined) throw new UserError(unknownCommand(first));
  const end = rest.indexOf('--');
  if (rest.slice(0, end === -1 ? undefined : end).some(isHelpFlag)) return show(terminal, commandHelp(command));
  return command.run(parseFlags(rest, command.flags, command.name), terminal);
}

function show(terminal: Terminal, text: string): ExitCode {
  terminal.output.write(text);
  return 0;
}

function isHelp(word: string): boolean {
  return word === 'help' || isHelpFlag(word);
}

function isHelpFlag(word: string): boolean {
  return word === '--help' || word === '-h';
}

function helpFor(name: string | undefined): string {
  if (name === undefined) return generalHelp(COMMANDS, version);
  const command = COMMANDS.find((candidate: Command) => candidate.name === name);
  if (command === undefined) throw new UserError(unknownCommand(name));
  return commandHelp(command);
}

function unknownCommand(written: string): string {
  const names = COMMANDS.map(({ name }) => name);
  if (written.startsWith('-')) return `'${written}' is no flag of afterclap itself; 'afterclap --help' lists the commands`;
  if (/[./\\]/.test(written)) return `'${written}' is no command; to check a file, write: afterclap check ${written}`;
  return `there is no command '${written}'${meant(written, names)}; commands: ${names.join(', ')}`;
}

function stackOf(error: unknown): string {
  return error instanceof Error ? (error.stack ?? error.message) : String(error);
}
