/**
 * Recordings in memory behind the port that measuring reads through. Counts what was opened and closed.
 */

import type { CameraFacts } from '../../../server/src/project/measure/cameraFacts.ts';
import type { MediaPort } from '../../../server/src/project/measure/mediaPort.ts';
import { byteSourceOf } from '../../../server/src/sound/byteSource.ts';
import { soundSourceOf } from '../../../server/src/sound/soundSource.ts';

export interface MemoryCamera {
  readonly facts: CameraFacts;
  /** The decoded sound of its own; null stands for one that can't be decoded. */
  readonly scratch: Float32Array | null;
}

export interface MemoryMedia extends MediaPort {
  /** Files open now. */
  readonly openCount: () => number;
  /** The most that were open at once. */
  readonly mostOpen: () => number;
}

export function memoryMedia(
  waves: Readonly<Record<string, Uint8Array>>,
  cameras: Readonly<Record<string, MemoryCamera>> = {},
): MemoryMedia {
  let open = 0;
  let most = 0;
  const opened = <Value>(value: Value) => {
    open += 1;
    most = Math.max(most, open);
    return {
      ok: true as const,
      value,
      remarks: [],
      close: () => {
        open -= 1;
        return Promise.resolve();
      },
    };
  };
  return {
    openCount: () => open,
    mostOpen: () => most,
    openBytes: (path) => {
      const bytes = waves[path];
      return Promise.resolve(bytes === undefined ? { ok: false, reason: 'is not there' } : opened(byteSourceOf(bytes)));
    },
    probe: (path) => {
      const camera = cameras[path];
      return Promise.resolve(
        camera === undefined
          ? { ok: false, reason: 'needs a program that is not here', isToolMissing: true }
          : { ok: true, facts: camera.facts },
      );
    },
    decodeScratch: (path, facts) => {
      const samples = cameras[path]?.scratch ?? null;
      const rate = facts.scratch?.sampleRate ?? 48000;
      return Promise.resolve(
        samples === null ? { ok: false, reason: "has sound that can't be decoded" } : opened(soundSourceOf(rate, samples)),
      );
    },
  };
}
