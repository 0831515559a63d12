import { defineConfig } from 'vitest/config';

/** The tests of the folders that `npm run mutate` changes: no protocol, no process, no long law. */
export default defineConfig({
  test: {
    root: '.',
    include: [
      'tests/{plan,sequence,findings,heat,costing,published,scenarios,samples,features}/**/*.test.ts',
    ],
    testTimeout: 600_000,
    // Thousands of draws through code that counts each expression take minutes.
    testNamePattern: /^(?!.*(?:Monte Carlo|99 % of draws|holds every answer from values))/u,
    setupFiles: ['tests/support/seed.ts'],
    pool: 'threads',
  },
});
