/**
 * What a command of the program is made of. One file per command exports one; `commands.ts` lists them.
 */

import type { FlagDefinition, ParsedFlags } from './flags.ts';
import type { Terminal } from './terminal.ts';

/** Nothing to complain of; findings; the program could not do its job. */
export type ExitCode = 0 | 1 | 2;

export interface Command {
  readonly name: string;
  /** What stands after the name, as help shows it. */
  readonly usage: string;
  /** One line, for the list of commands. */
  readonly summary: string;
  readonly flags: readonly FlagDefinition[];
  /** Paragraphs of its own help. */
  readonly details: readonly string[];
  /** Throws a UserError for what the person can put right. */
  readonly run: (flags: ParsedFlags, terminal: Terminal) => Promise<ExitCode>;
}
