/**
 * Reviews and their renderers are core: they bundle for no platform, so that an editor in a browser can show them too.
 */

import { fileURLToPath } from 'node:url';
import { type BuildOptions, build } from 'esbuild';
import { describe, expect, test } from 'vitest';

const core = fileURLToPath(new URL('../../../server/src/core/', import.meta.url));
const noPlatform = fileURLToPath(new URL('../../support/noPlatform.ts', import.meta.url));

describe('what has no platform', () => {
  test.each([
    'review/reviewCut.ts',
    'review/baseline.ts',
    'report/renderCompareText.ts',
    'report/renderCompareMarkdown.ts',
    'report/renderCompareJson.ts',
    'report/renderList.ts',
    'report/renderSarif.ts',
    'report/renderGithub.ts',
    'report/renderGitlab.ts',
    'report/renderJunit.ts',
  ])('%s', async (file) => {
    const options: BuildOptions & { write: false } = {
      entryPoints: [`${core}${file}`],
      bundle: true,
      write: false,
      format: 'esm',
      platform: 'neutral',
      logLevel: 'silent',
    };
    const whole = await build({
      ...options,
      mainFields: ['module', 'main'],
      alias: { string_decoder: noPlatform, stream: noPlatform },
    });
    expect(whole.outputFiles[0]?.text ?? '').not.toMatch(/\b(?:from|import|require)\b[ (]*["']node:/);
    // The packages have functions of their own that nothing here calls; our own words are looked at without them.
    const own = await build({ ...options, packages: 'external' });
    const text = own.outputFiles[0]?.text ?? '';
    expect(text.length).toBeGreaterThan(1000);
    for (const word of ['child_process', 'XMLHttpRequest', 'Math.random', 'Date.now', 'process.env'])
      expect(text).not.toContain(word);
  });
});
