/**
 * The core runs anywhere: it bundles for no platform at all, with nothing left to import but the pinned pure packages, and
 * nothing in it reaches for a network, a process or the clock.
 */

import { fileURLToPath } from 'node:url';
import { build } from 'esbuild';
import { describe, expect, it } from 'vitest';

const entry = fileURLToPath(new URL('../../../server/src/core/audit.ts', import.meta.url));

describe('the core', () => {
  it('bundles for a neutral platform and names no platform', async () => {
    const result = await build({
      entryPoints: [entry],
      bundle: true,
      write: false,
      format: 'esm',
      platform: 'neutral',
      mainFields: ['module', 'main'],
      logLevel: 'silent',
      metafile: true,
      alias: {
        string_decoder: fileURLToPath(new URL('../../support/noPlatform.ts', import.meta.url)),
        stream: fileURLToPath(new URL('../../support/noPlatform.ts', import.meta.url)),
      },
    });
    const text = result.outputFiles[0]?.text ?? '';
    expect(text.length).toBeGreaterThan(10_000);
    expect(text).not.toMatch(/["']node:/);
    for (const word of ['child_process', 'XMLHttpRequest', 'Math.random', 'Date.now', 'eval(']) {
      expect(text.includes(word), word).toBe(false);
    }
    const outside = Object.keys(result.metafile.inputs).filter((path) => path.includes('node_modules'));
    expect(
      outside.every((path) => /node_modules\/sax\//.test(path)),
      outside.join(', '),
    ).toBe(true);
  });
});
