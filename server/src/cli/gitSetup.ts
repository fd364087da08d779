/**
 * `afterclap git-setup`: has `git diff` show timelines as lists of clips, in this repository and on this machine only.
 *
 * It shows first what it would write. With --write it writes into the repository's own configuration and its info/attributes,
 * which are never committed, adds only what is missing, and takes nothing away.
 */

import { access, constants, mkdir, readFile, writeFile } from 'node:fs/promises';
import { delimiter, dirname, join } from 'node:path';
import { createGit, type GitAnswer } from '../node/git.ts';
import type { Command, ExitCode } from './command.ts';
import type { Terminal } from './terminal.ts';
import { systemReason } from './textFile.ts';
import { UserError } from './userError.ts';

const SETTING = 'diff.afterclap.textconv';
const ATTRIBUTES = ['*.otio', '*.timeline.xml', '*.cpl.xml', '*.edl'].map((pattern) => `${pattern} diff=afterclap`);

export const gitSetupCommand: Command = {
  name: 'git-setup',
  usage: '[--write]',
  summary: "show how to have 'git diff' compare timelines clip by clip, and set it up",
  flags: [
    { name: 'write', value: null, text: "Write it into the repository's own configuration. Without it, nothing is changed." },
  ],
  details: [
    "Two things are needed: a text converter in git's configuration, and attributes that say which files it is for. Both stay on this machine; to share the attributes with others, commit the same lines in a file .gitattributes.",
    'Exit code: 0, or 2 when this is no git repository or its configuration could not be written.',
  ],
  run: async ({ paths, switches }, terminal) => {
    if (paths.length > 0) throw new UserError('git-setup takes no path; run it inside the repository');
    return runGitSetup(switches.has('write'), terminal);
  },
};

async function runGitSetup(isWriting: boolean, terminal: Terminal): Promise<ExitCode> {
  const git = createGit(process.cwd());
  required(await git.topFolder());
  const command = await converterCommand(terminal.environment);
  const present = required(await git.readSetting(SETTING));
  const attributesFile = required(await git.ownPath('info/attributes'));
  const written = await readAttributes(attributesFile);
  const missing = ATTRIBUTES.filter((line) => !hasLine(written, line));
  const say = (text: string): void => terminal.output.write(`${text}\n`);
  say(`In the repository's configuration${present === command ? ' (there already)' : ''}:`);
  say(`  git config ${SETTING} ${quoted(command)}`);
  say(`In ${attributesFile}${missing.length === 0 ? ' (there already)' : ''}:`);
  for (const line of ATTRIBUTES) say(`  ${line}`);
  if (present !== null && present !== command) say(`The configuration has another converter now: ${present}`);
  if (!isWriting) {
    const isDone = present === command && missing.length === 0;
    say(isDone ? 'Nothing is left to do.' : "Nothing was written. 'afterclap git-setup --write' writes both.");
    return 0;
  }
  if (present !== command) required(await git.writeSetting(SETTING, command));
  if (missing.length > 0) await addAttributes(attributesFile, written, missing);
  say("Written. 'git diff' now shows timelines clip by clip; 'git diff --no-textconv' shows their text.");
  return 0;
}

/** How git is to start this program: by its name where the PATH has it, else as it was started now. Git hands it to a shell. */
async function converterCommand(environment: Terminal['environment']): Promise<string> {
  const folders = (environment['PATH'] ?? '').split(delimiter).filter((folder) => folder !== '');
  for (const folder of folders) {
    for (const name of ['afterclap', 'afterclap.cmd']) {
      if (await isProgram(join(folder, name))) return 'afterclap list --textconv';
    }
  }
  const [program, script] = [process.execPath, process.argv[1] ?? ''].map((path) => quoted(path.replaceAll('\\', '/')));
  return `${program} ${script} list --textconv`;
}

async function isProgram(path: string): Promise<boolean> {
  try {
    await access(path, constants.X_OK);
    return true;
  } catch {
    return false;
  }
}

async function readAttributes(path: string): Promise<string> {
  try {
    return await readFile(path, 'utf8');
  } catch (error) {
    if (error instanceof Error && 'code' in error && error.code === 'ENOENT') return '';
    throw new UserError(`can't read ${path}: ${systemReason(error)}`);
  }
}

async function addAttributes(path: string, written: string, lines: readonly string[]): Promise<void> {
  const gap = written === '' || written.endsWith('\n') ? '' : '\n';
  try {
    await mkdir(dirname(path), { recursive: true });
    await writeFile(path, `${written}${gap}${lines.join('\n')}\n`);
  } catch (error) {
    throw new UserError(`can't write ${path}: ${systemReason(error)}`);
  }
}

function hasLine(text: string, line: string): boolean {
  return text.split(/\r?\n/).some((written) => written.trim() === line);
}

/** For a shell of POSIX, which git brings on every system. */
function quoted(text: string): string {
  return /^[\w./:-]+$/.test(text) ? text : `'${text.replaceAll("'", "'\\''")}'`;
}

function required<Value>(answer: GitAnswer<Value>): Value {
  if (answer.ok) return answer.value;
  throw new UserError(`git-setup: ${answer.reason === '' ? 'git refused without saying why' : answer.reason}`);
}
