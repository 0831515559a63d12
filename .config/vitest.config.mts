import { resolve } from 'node:path';
import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    root: '.',
    include: ['tests/**/*.test.ts'],
    exclude: ['tests/editor/**', 'tests/bench/**'],
    testTimeout: 60_000,
    setupFiles: ['tests/support/seed.ts'],
    // Findings kept by the command line stay out of the user's own folder.
    env: { XDG_CACHE_HOME: resolve('.cache/tests') },
    pool: 'threads',
  },
});
