/**
 * Recordings and camera files by ranges, wherever they lie: the port that the desk's panels and the language server see.
 *
 * A disk has ranges (`node/diskRanges.ts`), and so has a file that a person gave the page (`givenFiles.ts`); every other folder that
 * the editor knows hands out whole files only (`wholeFiles.ts`). `rangesOf` takes the right one for an address.
 */

import type { ByteRange, BytesAnswer } from '../../../server/src/lsp/messages.ts';

export interface FileRanges {
  /** Answers, never throws. */
  readonly open: (uri: string) => Promise<BytesAnswer>;
  /** A block for each range, shorter only at the end of the file; null when it can't be read. */
  readonly read: (uri: string, ranges: readonly ByteRange[]) => Promise<readonly Uint8Array[] | null>;
}

/** Scheme of files that a person gave the page. */
export const GIVEN_SCHEME = 'afterclap-given';

interface RangesInput {
  /** Null where no disk can be reached. */
  readonly disk: FileRanges | null;
  readonly given: FileRanges;
  readonly whole: FileRanges;
}

export function rangesOf({ disk, given, whole }: RangesInput): FileRanges {
  const at = (uri: string): FileRanges => {
    if (uri.startsWith(`${GIVEN_SCHEME}:`)) return given;
    return disk !== null && uri.startsWith('file:') ? disk : whole;
  };
  return {
    open: (uri) => at(uri).open(uri),
    read: (uri, ranges) => at(uri).read(uri, ranges),
  };
}
