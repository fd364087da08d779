/**
 * What the program asks of git. Every call names its arguments one by one, and no shell reads them.
 *
 * Nothing of the repository is run: no hooks, no file-system monitor, no filters of a diff. A revision is turned into an object
 * name first, so that what a person typed is never taken for a flag.
 */

import { execFile } from 'node:child_process';
import { join } from 'node:path';

/** The answer, or the rest of a sentence about why there is none. */
export type GitAnswer<Value> = { readonly ok: true; readonly value: Value } | { readonly ok: false; readonly reason: string };

export interface Git {
  /** The top of the work tree, with `/`. */
  readonly topFolder: () => Promise<GitAnswer<string>>;
  /** The bytes of a file in a revision; `path` from the top folder. */
  readonly readFile: (revision: string, path: string) => Promise<GitAnswer<Buffer>>;
  /**
   * Files that differ from where the present branch left `revision`, committed or not, new ones too, deleted ones too; from the
   * top folder.
   */
  readonly changedFiles: (revision: string) => Promise<GitAnswer<readonly string[]>>;
  /** A path inside the repository's own folder, such as info/attributes. */
  readonly ownPath: (name: string) => Promise<GitAnswer<string>>;
  /** The repository's own value of a setting; null when it has none. */
  readonly readSetting: (name: string) => Promise<GitAnswer<string | null>>;
  readonly writeSetting: (name: string, value: string) => Promise<GitAnswer<null>>;
}

const LARGEST_ANSWER_BYTES = 512 * 1024 * 1024;
/** Settings of a repository that make git start programs. */
const SAFELY = ['-c', 'core.fsmonitor=false', '-c', 'core.hooksPath=/dev/null', '--no-pager', '--no-optional-locks'];

/** Git as it stands in `folder`. */
export function createGit(folder: string): Git {
  const ask = (...words: string[]): Promise<GitAnswer<Buffer>> => run(folder, words);
  const line = async (...words: string[]): Promise<GitAnswer<string>> => textOf(await ask(...words));
  const commitOf = async (revision: string): Promise<GitAnswer<string>> => {
    const answer = await line('rev-parse', '--verify', '--quiet', '--end-of-options', `${revision}^{commit}`);
    return answer.ok
      ? answer
      : { ok: false, reason: answer.reason === '' ? `git knows no revision '${revision}' here` : answer.reason };
  };
  return {
    topFolder: () => line('rev-parse', '--show-toplevel'),
    readFile: async (revision, path) => {
      const commit = await commitOf(revision);
      if (!commit.ok) return commit;
      const answer = await ask('cat-file', 'blob', `${commit.value}:${path}`);
      return answer.ok ? answer : { ok: false, reason: `${path} is not in revision '${revision}'` };
    },
    changedFiles: async (revision) => {
      const commit = await commitOf(revision);
      if (!commit.ok) return commit;
      // Without a common ancestor, as in a shallow clone, the revision itself is all there is to differ from.
      const base = await line('merge-base', commit.value, 'HEAD');
      const from = base.ok ? base.value : commit.value;
      const changed = await ask('diff', '--name-only', '--no-renames', '--no-ext-diff', '--no-textconv', '-z', from, '--');
      if (!changed.ok) return changed;
      const added = await ask('ls-files', '--others', '--exclude-standard', '--full-name', '-z', ':/');
      if (!added.ok) return added;
      return { ok: true, value: [...new Set([...namesOf(changed.value), ...namesOf(added.value)])] };
    },
    ownPath: async (name) => {
      const answer = await line('rev-parse', '--git-path', name);
      return answer.ok ? { ok: true, value: join(folder, answer.value) } : answer;
    },
    readSetting: async (name) => {
      const answer = await line('config', '--local', '--get', name);
      // It answers nothing at all, with exit code 1, for a setting that is not there.
      return answer.ok || answer.reason !== '' ? answer : { ok: true, value: null };
    },
    writeSetting: async (name, value) => {
      const answer = await ask('config', '--local', '--replace-all', name, value);
      return answer.ok ? { ok: true, value: null } : answer;
    },
  };
}

/** `reason` is git's own last line; empty when it said nothing. */
function run(folder: string, words: readonly string[]): Promise<GitAnswer<Buffer>> {
  return new Promise((resolve) => {
    execFile(
      'git',
      [...SAFELY, ...words],
      {
        cwd: folder,
        encoding: 'buffer',
        maxBuffer: LARGEST_ANSWER_BYTES,
        windowsHide: true,
        env: { ...process.env, LC_ALL: 'C' },
      },
      (error, stdout, stderr) => {
        if (error === null) resolve({ ok: true, value: stdout });
        else if (error.code === 'ENOENT') resolve({ ok: false, reason: 'git is not installed, or is not on the PATH' });
        else resolve({ ok: false, reason: lastLine(stderr.toString('utf8')) });
      },
    );
  });
}

function textOf(answer: GitAnswer<Buffer>): GitAnswer<string> {
  return answer.ok ? { ok: true, value: answer.value.toString('utf8').replace(/\r?\n$/, '') } : answer;
}

function namesOf(bytes: Buffer): readonly string[] {
  return bytes
    .toString('utf8')
    .split('\0')
    .filter((name) => name !== '');
}

function lastLine(text: string): string {
  const lines = text.trim().split('\n');
  return (lines.find((line) => line.startsWith('fatal: ')) ?? lines.at(-1) ?? '').replace(/^(?:fatal|error): /, '');
}
