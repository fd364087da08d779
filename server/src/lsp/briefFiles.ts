/**
 * Files as they were a moment ago: a walk over the timelines of one folder lists that folder once, not once for each of them.
 *
 * Nothing is older than `BRIEF_MS`, and `forget` ends even that: whoever hears of a change calls it.
 */

import type { FileSystem } from '../project/fileSystem.ts';
import type { Timers } from './ports.ts';

const BRIEF_MS = 100;

export interface BriefFiles extends FileSystem {
  readonly forget: () => void;
}

export function createBriefFiles(files: FileSystem, timers: Timers): BriefFiles {
  const answers = new Map<string, Promise<unknown>>();
  let since = timers.now();
  const forget = (): void => {
    answers.clear();
    since = timers.now();
  };
  const once = <Answer>(key: string, ask: () => Promise<Answer>): Promise<Answer> => {
    if (timers.now() - since > BRIEF_MS) forget();
    const answer = (answers.get(key) as Promise<Answer> | undefined) ?? ask();
    answers.set(key, answer);
    return answer;
  };
  return {
    absolute: files.absolute,
    readText: (path) => once(`text ${path}`, () => files.readText(path)),
    list: (folder) => once(`list ${folder}`, () => files.list(folder)),
    exists: files.exists,
    forget,
  };
}
