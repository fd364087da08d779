/**
 * Camera files by ranges: the port that the desk's panel sees. The desktop and remote hosts have one (`node/diskRanges.ts`); in a
 * browser no disk can be reached, so there is none.
 */

export interface FileRanges {
  /** Bytes in the file; null when it can't be read. `uri` is a file's. */
  readonly sizeOf: (uri: string) => Promise<number | null>;
  /** Bytes from `start` up to `end`, fewer only at the end of the file; null when it can't be read. */
  readonly read: (uri: string, start: number, end: number) => Promise<Uint8Array | null>;
}
