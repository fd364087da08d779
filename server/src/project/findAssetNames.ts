/**
 * The asset map (SMPTE ST 429-9) beside a composition playlist: which file stands behind an identifier.
 *
 * A package holds one, called ASSETMAP.xml, or ASSETMAP in older ones. Without one the identifiers themselves are the names.
 */

import type { FileProblem } from '../core/alignment/model.ts';
import { readAssetMap } from '../core/formats/cpl/readAssetMap.ts';
import type { FileSystem } from './fileSystem.ts';
import { resolveFrom } from './paths.ts';

export interface FoundAssetNames {
  /** Null when no asset map can be read. */
  readonly names: ReadonlyMap<string, string> | null;
  readonly problems: readonly FileProblem[];
  readonly watched: readonly string[];
}

const FILE_NAMES = ['ASSETMAP.xml', 'ASSETMAP'];

/** `show` turns a path into what people are shown. */
export async function findAssetNames(
  fileSystem: FileSystem,
  folder: string | null,
  show: (path: string) => string,
): Promise<FoundAssetNames> {
  const watched: string[] = [];
  if (folder === null) return { names: null, problems: [], watched };
  for (const fileName of FILE_NAMES) {
    const path = resolveFrom(folder, fileName);
    watched.push(path);
    const file = await fileSystem.readText(path);
    if (!file.ok && file.isMissing) continue;
    const shown = show(path);
    if (!file.ok) {
      const message = `The asset map ${shown} ${file.reason}, so files go by their identifiers.`;
      return { names: null, problems: [{ file: shown, span: { start: 0, end: 0 }, severity: 'error', message }], watched };
    }
    const map = readAssetMap(file.text);
    const problems = map.problems.map(({ span, message }): FileProblem => {
      return { file: shown, span, severity: 'warning', message: `In the asset map ${shown}: ${message}` };
    });
    return { names: map.names, problems, watched };
  }
  return { names: null, problems: [], watched };
}
