/**
 * Files made from code are as the code makes them now.
 */

import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { generatedFiles } from '../../../.build/generatedFiles.ts';

const read = (path: string): string => readFileSync(fileURLToPath(new URL(`../../../${path}`, import.meta.url)), 'utf8');

describe('generated files', () => {
  it.each([...generatedFiles(read('README.md'))])('%s is current (npm run generate makes it)', (path, text) => {
    expect(read(path)).toBe(text);
  });
});
