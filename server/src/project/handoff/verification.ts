/**
 * What became of a hand-off since it was made: files that are missing, changed, or were not there.
 */

import { comparableName } from '../../core/alignment/mediaNames.ts';
import { type FileDigest, type HandedFile, MANIFEST_NAME } from '../../core/handoff/manifest.ts';

export interface Verification {
  readonly whole: readonly string[];
  readonly missing: readonly string[];
  readonly changed: readonly { readonly path: string; readonly reason: string }[];
  /** In the folder and not in the manifest. */
  readonly extra: readonly string[];
  /** The same, but files that systems and programs leave behind unasked: their names begin with a dot. */
  readonly hidden: readonly string[];
}

/** `present` are the files of the folder; `digestOf` answers null for what is missing, a text for what can't be read. */
export async function verify(
  files: readonly Pick<HandedFile, 'path' | 'size' | 'sha256'>[],
  present: readonly string[],
  digestOf: (path: string, size: number) => Promise<FileDigest | string | null>,
): Promise<Verification> {
  const whole: string[] = [];
  const missing: string[] = [];
  const changed: { path: string; reason: string }[] = [];
  for (const { path, size, sha256 } of files) {
    const found = await digestOf(path, size);
    if (found === null) missing.push(path);
    else if (typeof found === 'string') changed.push({ path, reason: found });
    else if (found.size !== size) changed.push({ path, reason: `has ${found.size} bytes instead of ${size}` });
    else if (found.sha256 !== sha256) changed.push({ path, reason: 'has the same size, but other bytes' });
    else whole.push(path);
  }
  const known = new Set([MANIFEST_NAME, ...files.map(({ path }) => path)].map(comparableName));
  const others = present.filter((path) => !known.has(comparableName(path)));
  const isHidden = (path: string): boolean => path.split('/').some((part) => part.startsWith('.'));
  return {
    whole,
    missing,
    changed,
    extra: others.filter((path) => !isHidden(path)),
    hidden: others.filter(isHidden),
  };
}
