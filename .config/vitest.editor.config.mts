import { defineConfig } from 'vitest/config';
import { thisMachine, whyNoEditor } from '../tests/editor/obstacle.mts';

const obstacle = whyNoEditor(thisMachine());
if (obstacle !== undefined) console.warn(`\nTHE EDITOR TESTS ARE SKIPPED: ${obstacle}.\n`);

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
    // A busy machine swallows a key now and then; what fails twice has failed.
    retry: 1,
    // Skipped tests are counted; a name that no test has skips all.
    ...(obstacle === undefined ? {} : { testNamePattern: /(?!)/ }),
  },
});
