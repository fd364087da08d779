/**
 * Files in memory that remember what was asked of them.
 */

import { type FileSystem, noFileSystem } from '../../../server/src/project/fileSystem.ts';

export interface FakeFileSystem extends FileSystem {
  /** `readText PATH` and `list PATH`, in order. */
  readonly calls: readonly string[];
}

/** `files` by path; a value that begins with `!` is the reason why the file can't be read. `closed` folders can't be listed. */
export function fakeFileSystem(files: Readonly<Record<string, string>>, closed: readonly string[] = []): FakeFileSystem {
  const calls: string[] = [];
  return {
    ...noFileSystem,
    calls,
    absolute: (path) => path,
    readText: async (path) => {
      calls.push(`readText ${path}`);
      const text = files[path];
      if (text === undefined) return { ok: false, reason: 'is not there', isMissing: true };
      return text.startsWith('!')
        ? { ok: false, reason: text.slice(1), isMissing: false }
        : { ok: true, text, encoding: 'utf-8' };
    },
    list: async (folder) => {
      calls.push(`list ${folder}`);
      if (closed.includes(folder)) return { ok: false, reason: "can't be read: permission denied", isMissing: false };
      const names = new Map<string, boolean>();
      const inside = folder.endsWith('/') ? folder : `${folder}/`;
      for (const path of Object.keys(files)) {
        if (!path.startsWith(inside)) continue;
        const [name = '', ...rest] = path.slice(inside.length).split('/');
        names.set(name, rest.length > 0);
      }
      return { ok: true, entries: [...names].map(([name, isFolder]) => ({ name, isFolder })) };
    },
  };
}
