import { expect, test, vi } from 'vitest';
import { growth, soak } from './soak/soak.ts';

/** `npm run soak -- --minutes 60 --plans 300` is the long run. */
const acts = Number(process.env['PLUGWARD_SOAK_ACTS'] ?? 120);
vi.setConfig({ testTimeout: 240_000 + acts * 1000 });

test.each([
  ['that watches the disk', true],
  ['that tells only what it saves', false],
])(
  'a day at an editor %s leaves the memory flat, and findings equal to those of a fresh server',
  async (_, watches) => {
    const { lives, ...result } = await soak({
      seed: Number(process.env['PLUGWARD_SOAK_SEED'] ?? 20_270_210),
      plans: 12,
      watches,
      looks: 40,
      progress: (done) => done / acts,
    });
    const grown = growth(lives);
    console.log({ acts: result.acts, counts: result.counts, compared: result.compared, grown });
    expect(result.different).toEqual([]);
    expect(result.errors).toEqual([]);
    expect(lives).toHaveLength(4);
    // A server that has just started still grows by what it loads and compiles; the long run allows a tenth.
    expect(grown.length).toBeGreaterThan(0);
    for (const { heap } of grown) expect(heap).toBeLessThan(1.2);
  },
);
