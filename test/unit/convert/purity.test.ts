/**
 * Conversion is core: it bundles for no platform, with nothing left to import but the XML parser.
 */

import { fileURLToPath } from 'node:url';
import { build } from 'esbuild';
import { expect, it } from 'vitest';

const inRepository = (path: string): string => fileURLToPath(new URL(`../../../${path}`, import.meta.url));

it('conversion bundles for a neutral platform', async () => {
  const noPlatform = inRepository('test/support/noPlatform.ts');
  const result = await build({
    entryPoints: [
      inRepository('server/src/core/convert/convertTimeline.ts'),
      inRepository('server/src/core/convert/renderLosses.ts'),
    ],
    bundle: true,
    write: false,
    outdir: 'nowhere',
    format: 'esm',
    platform: 'neutral',
    mainFields: ['module', 'main'],
    logLevel: 'silent',
    metafile: true,
    loader: { '.wasm': 'binary' },
    alias: { string_decoder: noPlatform, stream: noPlatform },
  });
  for (const { text } of result.outputFiles) {
    expect(text).not.toMatch(/["']node:/);
    for (const word of ['child_process', 'Math.random', 'Date.now']) expect(text.includes(word), word).toBe(false);
  }
  const outside = Object.keys(result.metafile.inputs).filter((path) => path.includes('node_modules'));
  expect(outside.every((path) => path.includes('node_modules/sax/'))).toBe(true);
});
