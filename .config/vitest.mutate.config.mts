import { defineConfig } from 'vitest/config';
import { BaseSequencer, type TestSpecification } from 'vitest/node';

/** First the rooms whose code is changed, then others that run it; what costs most comes last, as one failure ends a run. */
const rooms = [
  'findings/findings',
  'scenarios/verdicts',
  'told',
  'costing',
  'heat',
  'published',
  'plan',
  'sequence/facts',
  'sequence',
  'findings',
  'scenarios',
  'samples',
  'features',
];

class CheapFirst extends BaseSequencer {
  override sort(files: TestSpecification[]) {
    const place = ({ moduleId }: TestSpecification) =>
      rooms.findIndex((room) => moduleId.includes(`/tests/${room}`));
    return Promise.resolve([...files].sort((one, other) => place(one) - place(other)));
  }
}

/** The tests of the folders that `npm run mutate` changes, and of their features: no protocol, no process, no long law. */
export default defineConfig({
  test: {
    root: '.',
    include: [
      'tests/{plan,sequence,findings,heat,costing,published,scenarios,samples,features,told}/**/*.test.ts',
    ],
    testTimeout: 600_000,
    setupFiles: ['tests/support/seed.ts'],
    pool: 'threads',
    sequence: { sequencer: CheapFirst },
  },
});
