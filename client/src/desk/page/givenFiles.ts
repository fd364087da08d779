/**
 * Files that a person gave the page, where the editor reaches no disk: chosen in the browser's own dialog, held by the page, and read by
 * ranges, so that a recording of hours costs no more than what is looked at.
 */

import type { ByteRange } from '../../../../server/src/lsp/messages.ts';

export interface GivenFiles {
  /** Null when nothing was chosen. Has to follow from an act of the person, or the browser opens no dialog. */
  readonly choose: (role: 'picture' | 'sound') => Promise<File | null>;
  readonly keep: (uri: string, file: File) => void;
  readonly has: (uri: string) => boolean;
  /** A block for each range; null for a file that is not there, or has changed since it was given. */
  readonly read: (uri: string, ranges: readonly ByteRange[]) => Promise<readonly Uint8Array[] | null>;
}

const ENDINGS = {
  sound: '.wav,.bwf,.rf64,.bw64',
  picture: '.mov,.mp4,.m4v,.webm,.mkv,.mxf,.wav,video/*',
};

export function createGivenFiles(): GivenFiles {
  const files = new Map<string, File>();
  return {
    choose: (role) =>
      new Promise((resolve) => {
        const input = document.createElement('input');
        input.type = 'file';
        input.accept = ENDINGS[role];
        input.addEventListener('change', () => resolve(input.files?.[0] ?? null));
        input.addEventListener('cancel', () => resolve(null));
        input.click();
      }),
    keep: (uri, file) => files.set(uri, file),
    has: (uri) => files.has(uri),
    read: async (uri, ranges) => {
      const file = files.get(uri);
      if (file === undefined) return null;
      try {
        return await Promise.all(
          ranges.map(async ({ start, end }) => new Uint8Array(await file.slice(start, end).arrayBuffer())),
        );
      } catch {
        return null;
      }
    },
  };
}
