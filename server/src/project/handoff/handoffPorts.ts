/**
 * What making a hand-off needs from outside: recordings to read, a place to write, and somebody to tell.
 *
 * Everything that goes wrong on the writing side is thrown by the place itself, whose words fit the disk; nothing that was begun then
 * stays. What goes wrong on the reading side is answered and told, and the rest goes on.
 */

import type { FileDigest } from '../../core/handoff/manifest.ts';
import type { ByteSink } from '../../sound/reel/byteSink.ts';
import type { MediaPort } from '../measure/mediaPort.ts';
import type { Progress } from '../measure/progress.ts';

export interface HandoffPorts {
  readonly openBytes: MediaPort['openBytes'];
  readonly output: HandoffOutput;
  readonly onProgress: (progress: Progress) => void;
  readonly isCancelled: () => boolean;
}

export interface HandoffOutput {
  /** Begins a file of the hand-off, under another name until all of it is whole. `path` is relative, with `/`. */
  readonly create: (path: string) => Promise<StagedFile>;
}

export interface StagedFile extends ByteSink {
  /** The file is complete; it still waits under its other name. */
  readonly finish: () => Promise<FileDigest>;
  /** Takes the file away. */
  readonly discard: () => Promise<void>;
}
