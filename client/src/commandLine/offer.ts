/**
 * Whether commands that start a process may run here, and how they tell that something went wrong.
 *
 * Reading a timeline needs nobody's trust: it is text. Measuring hands recordings to ffmpeg, and comparing hands the folder to git; a
 * folder that nobody vouched for should not reach those.
 */

import * as vscode from 'vscode';
import type { CommandLine } from './commandLine.ts';

/** What the commands share. */
export interface CommandLineHost {
  /** Null in a browser. */
  readonly commandLine: CommandLine | null;
  /** What the commands print, for people who want to read all of it. */
  readonly output: vscode.OutputChannel;
}

/** The command line, or null after saying why there is none. `activity` begins the sentence: 'Measuring recordings'. */
export async function commandLineFor(activity: string, needs: string, host: CommandLineHost): Promise<CommandLine | null> {
  if (host.commandLine === null) {
    await vscode.window.showInformationMessage(
      `${activity} can't be done in a browser, which starts no programs: open the folder on the desktop or on a remote machine.`,
    );
    return null;
  }
  if (!vscode.workspace.isTrusted) {
    const manage = 'Manage Trust';
    const chosen = await vscode.window.showInformationMessage(
      `${activity} starts ${needs} on files of this folder, and the folder is not trusted. Trust it first if you know where it comes from.`,
      manage,
    );
    if (chosen === manage) await vscode.commands.executeCommand('workbench.trust.manage');
    return null;
  }
  return host.commandLine;
}

/** One sentence, with a way to all that was printed. */
export async function showFailure(sentence: string, output: vscode.OutputChannel): Promise<void> {
  const show = 'Show Output';
  if ((await vscode.window.showErrorMessage(sentence, show)) === show) output.show(true);
}

/** Writes a run into the channel under a heading. */
export function recordRun(output: vscode.OutputChannel, heading: string, parts: readonly string[]): void {
  const texts = parts.map((part) => part.trimEnd()).filter((part) => part !== '');
  output.appendLine(`${heading}\n${'-'.repeat(heading.length)}\n${texts.join('\n\n')}\n`);
}
