import { defineConfig } from 'vitest/config';

// The real workbench. One file at a time: they share two processor cores with the workbench and the browser.
export default defineConfig({
  test: {
    root: '.',
    include: ['tests/editor/**/*.test.ts'],
    exclude: ['tests/editor/host/**'],
    testTimeout: 120_000,
    hookTimeout: 600_000,
    fileParallelism: false,
    bail: 1,
  },
});
