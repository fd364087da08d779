/**
 * Files on the disk by ranges. Opened for each read and closed again, so that a card can be pulled at any time.
 */

import { type FileHandle, open } from 'node:fs/promises';
import { fileURLToPath } from 'node:url';
import type { ByteRange } from '../../../server/src/lsp/messages.ts';
import type { FileRanges } from '../desk/fileRanges.ts';

/** A page that asks for more at once is answered in part, like at the end of a file. */
const LARGEST_READ = 64 * 1024 * 1024;

export const diskRanges: FileRanges = {
  open: async (uri) => {
    const size = await withFile(uri, async (file) => {
      const status = await file.stat();
      return status.isFile() ? status.size : null;
    });
    return { size };
  },
  read: (uri, ranges) =>
    withFile(uri, async (file) => {
      const blocks: Uint8Array[] = [];
      for (const range of ranges) blocks.push(await blockOf(file, range));
      return blocks;
    }),
};

async function blockOf(file: FileHandle, { start, end }: ByteRange): Promise<Uint8Array> {
  const bytes = new Uint8Array(Math.max(0, Math.min(end - start, LARGEST_READ)));
  let count = 0;
  // A network disk may hand out less than it was asked for.
  while (count < bytes.length) {
    const { bytesRead } = await file.read(bytes, count, bytes.length - count, start + count);
    if (bytesRead === 0) break;
    count += bytesRead;
  }
  return count === bytes.length ? bytes : bytes.slice(0, count);
}

async function withFile<Answer>(uri: string, work: (file: FileHandle) => Promise<Answer | null>): Promise<Answer | null> {
  try {
    const file = await open(fileURLToPath(uri), 'r');
    try {
      return await work(file);
    } finally {
      await file.close();
    }
  } catch {
    // Gone, not allowed, or no file: the page says that it can't be read.
    return null;
  }
}
