/**
 * Keys of a report's entries, from file names: short, readable, and the same on every run.
 *
 * A key is the file's name in lower case without its ending. Two files may share a stem (a camera's film and a recorder's sound) or
 * a whole name (every card begins with the same one); then the ending, the folder, and at last a number tell them apart. A report
 * takes a key for a name too, so keys are unique among pictures and sounds together.
 */

import { comparableName, withoutExtension } from '../../core/alignment/mediaNames.ts';
import { nameOf, parentOf } from '../paths.ts';

/** One key for each path, in their order; none of them is in `taken`. */
export function keysFor(paths: readonly string[], taken: Iterable<string> = []): readonly string[] {
  const isUsed = new Set<string>(taken);
  const choices = paths.map(candidates);
  const counts = new Map<string, number>();
  for (const name of choices.flat()) counts.set(name, (counts.get(name) ?? 0) + 1);
  return choices.map((names) => {
    // What several could be called nobody is: which file a key means must not hang on the order of the arguments.
    const key =
      names.find((name) => !isUsed.has(name) && (counts.get(name) ?? 0) < 2) ?? numbered(names.at(-1) ?? 'file', isUsed);
    isUsed.add(key);
    return key;
  });
}

/** `cam_a_0007`, `cam_a_0007-mov`, `card2-cam_a_0007-mov`. */
function candidates(path: string): readonly string[] {
  const name = comparableName(nameOf(path));
  const stem = withoutExtension(name) || 'file';
  const ending = name.slice(stem.length + 1);
  const withEnding = ending === '' ? stem : `${stem}-${ending}`;
  const parent = parentOf(path);
  const folder = parent === null ? '' : comparableName(nameOf(parent));
  const names =
    folder === '' || folder === '.' || folder === '..' ? [stem, withEnding] : [stem, withEnding, `${folder}-${withEnding}`];
  return [...new Set(names)];
}

function numbered(name: string, isUsed: ReadonlySet<string>): string {
  for (let number = 1; ; number += 1) {
    const key = `${name}-${number}`;
    if (!isUsed.has(key)) return key;
  }
}
