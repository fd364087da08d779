/**
 * The WebAssembly that is committed is the one its source compiles to.
 */

import { expect, it } from 'vitest';
import { TAPE_SCANNER_BASE64 } from '../../../server/src/core/syntax/json/tapeScannerWasm.ts';

it('is what .build/wasm/tapeScanner.ts compiles to', async () => {
  const { compileTapeScanner } = await import('../../../.build/wasm/build.mjs');
  const binary = await compileTapeScanner();
  expect(binary.toString('base64'), 'run: node .build/wasm/build.mjs').toBe(TAPE_SCANNER_BASE64);
});
