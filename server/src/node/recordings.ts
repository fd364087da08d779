/**
 * Recordings for the clap desk: on the disk, or wherever the editor has them. A bundle of its own, loaded when somebody opens the desk:
 * a server that checks timelines should not have to read the sound engine first.
 */

import { fileURLToPath } from 'node:url';
import fourierBytes from '../../../node_modules/@echogarden/pffft-wasm/dist/simd/pffft.wasm';
import { createDeskRecordings } from '../sound/desk/deskRecordings.ts';
import type { MakeRecordings } from '../sound/desk/recordings.ts';
import { loadFourier } from '../sound/fourier/fourier.ts';
import { openBytes } from './openBytes.ts';

export const makeRecordings: MakeRecordings = (openElsewhere) =>
  createDeskRecordings({
    open: async (uri) => {
      if (!uri.startsWith('file:')) return openElsewhere(uri);
      const path = pathOf(uri);
      return path === null ? { ok: false, reason: 'is not a file of this machine.' } : openBytes(path);
    },
    fourier: () => loadFourier({ wasmBinary: fourierBytes }),
  });

function pathOf(uri: string): string | null {
  try {
    return fileURLToPath(uri);
  } catch {
    return null;
  }
}
