/**
 * A file system that reads every file and folder once: a hundred cuts of one folder share their report and settings.
 *
 * Only for one run, in which files are taken to stay as they are.
 */

import type { FileSystem } from '../project/fileSystem.ts';

export function cachingFileSystem(files: FileSystem): FileSystem {
  return {
    absolute: files.absolute,
    readText: once(files, files.readText),
    list: once(files, files.list),
    exists: once(files, files.exists),
  };
}

function once<Answer>(files: FileSystem, ask: (path: string) => Promise<Answer>): (path: string) => Promise<Answer> {
  const answers = new Map<string, Promise<Answer>>();
  return (path) => {
    const key = files.absolute(path);
    const known = answers.get(key) ?? ask(path);
    answers.set(key, known);
    return known;
  };
}
