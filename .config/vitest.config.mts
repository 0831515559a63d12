import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    root: '.',
    include: ['tests/**/*.test.ts'],
    exclude: ['tests/editor/**', 'tests/bench/**'],
    testTimeout: 60_000,
    setupFiles: ['tests/support/seed.ts'],
    pool: 'threads',
  },
});
