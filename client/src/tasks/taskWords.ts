/**
 * From a task as it stands in tasks.json to the words of our command line. Knows neither the editor nor processes.
 *
 * A task file is written by hand, so anything may stand in it: what can't be run has a reason, and nothing is guessed.
 */

/** Of `taskDefinitions` and `tasks.json`. */
export const TASK_TYPE = 'afterclap';

/** Commands that end by themselves; the manifest's list of them is held to this one by a test. */
export const TASK_COMMANDS: readonly string[] = ['check', 'list', 'compare', 'convert', 'handoff', 'measure'];

export type TaskWords =
  | { readonly ok: true; readonly words: readonly string[] }
  /** A sentence for people. */
  | { readonly ok: false; readonly reason: string };

/** `definition` is the task's own object; members that every task may have (label, group) are none of its business. */
export function taskWords(definition: Readonly<Record<string, unknown>>): TaskWords {
  const { command, files, fix, arguments: further } = definition;
  if (typeof command !== 'string' || !TASK_COMMANDS.includes(command)) {
    return refused(`"command" has to be one of ${TASK_COMMANDS.join(', ')}.`);
  }
  if (files !== undefined && !isWordList(files)) return refused('"files" has to be a list of paths.');
  if (further !== undefined && !isWordList(further)) return refused('"arguments" has to be a list of words.');
  if (fix !== undefined && typeof fix !== 'boolean') return refused('"fix" has to be true or false.');
  if (fix === true && command !== 'check') return refused(`"fix" goes with check only, not with ${command}.`);
  const flags = [...(fix === true ? ['--fix'] : []), ...(further ?? [])];
  // Lines are what the problem matcher reads whole; whoever asks for another format gets that.
  if (command === 'check' && !flags.some((flag) => flag === '--format' || flag.startsWith('--format='))) {
    flags.unshift('--format=lines');
  }
  // After the two dashes a file may be called anything.
  return { ok: true, words: [command, ...flags, '--', ...(files ?? ['.'])] };
}

function refused(reason: string): TaskWords {
  return { ok: false, reason };
}

function isWordList(value: unknown): value is readonly string[] {
  return Array.isArray(value) && value.every((word) => typeof word === 'string' && word !== '');
}
