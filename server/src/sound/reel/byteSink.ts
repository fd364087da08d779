/**
 * The port through which sound is written: a file on a disk, a memory block, a counter in a test.
 *
 * Bytes come in order and nothing is ever taken back, so a sink may hash or send them as they come. What goes wrong inside a sink is
 * thrown by it and reaches the caller of the writer as it is: only the edge knows what a full disk is called.
 */

export interface ByteSink {
  /** Takes the block before it resolves; the writer uses the same memory again afterwards. */
  readonly write: (bytes: Uint8Array) => Promise<void>;
}
