/**
 * Recordings for the clap desk in a browser, where all bytes come through the editor. A script of its own, which the worker loads when
 * somebody opens the desk; it leaves `afterclapRecordings` behind (see .build/build.mjs).
 */

import fourierBytes from '../../../node_modules/@echogarden/pffft-wasm/dist/simd/pffft.wasm';
import { createDeskRecordings } from '../sound/desk/deskRecordings.ts';
import type { MakeRecordings } from '../sound/desk/recordings.ts';
import { loadFourier } from '../sound/fourier/fourier.ts';

export const makeRecordings: MakeRecordings = (open) =>
  createDeskRecordings({ open, fourier: () => loadFourier({ wasmBinary: fourierBytes }) });
