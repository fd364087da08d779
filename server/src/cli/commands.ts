/**
 * The commands of the program, in the order in which help lists them.
 */

import { checkCommand } from './check.ts';
import type { Command } from './command.ts';
import { compareCommand } from './compare.ts';
import { convertCommand } from './convert.ts';
import { explainCommand } from './explain.ts';
import { gitSetupCommand } from './gitSetup.ts';
import { handoffCommand } from './handoff.ts';
import { listCommand } from './list.ts';
import { measureCommand } from './measure.ts';

export const COMMANDS: readonly Command[] = [
  checkCommand,
  measureCommand,
  compareCommand,
  listCommand,
  convertCommand,
  handoffCommand,
  gitSetupCommand,
  explainCommand,
];
