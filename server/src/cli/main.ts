/**
 * The command line as a process. Nothing but the process itself is here: see `runCommandLine.ts`.
 *
 * The exit code is set and the process left to end by itself, since process.exit would cut off output that a slow reader has
 * not taken yet.
 */

import { processTerminal } from './processTerminal.ts';
import { runCommandLine } from './runCommandLine.ts';

process.exitCode = await runCommandLine(process.argv.slice(2), processTerminal(process));
