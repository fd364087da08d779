/**
 * A git repository of its own, with the samples in it, for tests of what the command line asks of git.
 */

import { execFileSync } from 'node:child_process';
import { makeWorkspace, type Workspace } from './runCli.ts';

export interface Repository extends Workspace {
  /** Runs git with these words and answers what it printed. */
  readonly git: (...words: string[]) => string;
  readonly commitAll: (message: string) => void;
}

/** One commit with all samples. The machine's own configuration does not count. */
export function makeRepository(): Repository {
  const work = makeWorkspace('samples');
  const git = (...words: string[]): string =>
    execFileSync('git', words, {
      cwd: work.folder,
      encoding: 'utf8',
      env: { PATH: process.env['PATH'] ?? '', GIT_CONFIG_NOSYSTEM: '1', HOME: work.folder },
    });
  const commitAll = (message: string): void => {
    git('add', '-A');
    git('-c', 'user.name=nobody', '-c', 'user.email=nobody@example.org', 'commit', '-q', '-m', message);
  };
  git('init', '-q', '-b', 'main', '.');
  commitAll('first');
  return { ...work, git, commitAll };
}

/** Two frames earlier in its recording: the sound of 'door, latch' goes from one frame early to one frame late. */
export function slipDoorLatch(text: string): string {
  return text.replace('09:12:48:03 09:12:58:03 01:00:10:00', '09:12:48:01 09:12:58:01 01:00:10:00');
}
