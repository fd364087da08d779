/**
 * The port through which sound is read: a file, a memory block, a range of a remote disk.
 *
 * The engine never opens a file itself, so it runs wherever bytes can be fetched by offset, and a test can count what was
 * read. Offsets are plain numbers: exact up to 2^53 bytes, two thousand times the longest recording we expect.
 */

export interface ByteSource {
  /** Bytes in the whole source. */
  readonly size: number;
  /**
   * Bytes from `offset` on. Fewer than `length` come back only at the end of the source. The block belongs to the caller
   * until the next `read`: a source may reuse its buffer. Reads that are asked for together each get a block of their own.
   */
  read(offset: number, length: number): Promise<Uint8Array>;
}

/** A source over bytes that are in memory already. */
export function byteSourceOf(bytes: Uint8Array): ByteSource {
  return {
    size: bytes.length,
    read: (offset, length) =>
      Promise.resolve(bytes.subarray(Math.min(offset, bytes.length), Math.min(offset + length, bytes.length))),
  };
}
