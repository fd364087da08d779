/**
 * Where recordings come from, as measuring sees them: bytes of wave files, and what a camera file says and holds.
 *
 * Behind this port lie the disk and, for camera files, the programs ffprobe and ffmpeg. Both are only ever asked to read.
 * Nothing here throws for a file that can't be read: the answer says why.
 */

import type { ByteSource } from '../../sound/byteSource.ts';
import type { SoundSource } from '../../sound/soundSource.ts';
import type { CameraFacts } from './cameraFacts.ts';

export interface MediaPort {
  /** The bytes of a file, by ranges. */
  readonly openBytes: (path: string) => Promise<Opened<ByteSource>>;
  /** What a camera file says of itself. */
  readonly probe: (path: string) => Promise<ProbeAnswer>;
  /**
   * The camera's own sound, decoded once to a scratch file of its own so that it can be read anywhere; `close` removes it.
   * Asked only for facts that name a sound.
   */
  readonly decodeScratch: (path: string, facts: CameraFacts, watch: Watch) => Promise<Opened<SoundSource>>;
}

export type Opened<Value> =
  | { readonly ok: true; readonly value: Value; readonly remarks: readonly string[]; readonly close: () => Promise<void> }
  /** Why not, as the rest of a sentence that begins with the path. */
  | { readonly ok: false; readonly reason: string };

export type ProbeAnswer =
  | { readonly ok: true; readonly facts: CameraFacts }
  /** `isToolMissing`: the file may be fine, but nothing on this machine can read it. */
  | { readonly ok: false; readonly reason: string; readonly isToolMissing: boolean };

/** How long work tells how far it is, and learns that nobody wants it any more. */
export interface Watch {
  /** From 0 to 1. */
  readonly onProgress: (share: number) => void;
  readonly isCancelled: () => boolean;
}
