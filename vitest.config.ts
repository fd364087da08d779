import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    include: ['test/**/*.test.ts'],
    testTimeout: 60_000,
    // A real editor on a busy machine loses a key or closes a hover now and then; locally that shows, in integration it is tried again.
    retry: process.env['CI'] === undefined ? 0 : 2,
    pool: 'threads',
  },
});
