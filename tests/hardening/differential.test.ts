import { describe, expect, test, vi } from 'vitest';
import { tryCached } from './differential/cached.ts';
import { tryFacts, tryLongFacts } from './differential/facts.ts';
import { tryPeople } from './differential/people.ts';
import { tryVersions } from './differential/versions.ts';
import { Random } from './fuzz/random.ts';

/** How many times the usual number; `PLUGWARD_FUZZ=300` is a long run. */
const factor = Number(process.env['PLUGWARD_FUZZ'] ?? 1);
const seed = Number(process.env['PLUGWARD_FUZZ_SEED'] ?? 20_270_210);
vi.setConfig({ testTimeout: 240_000 * Math.max(1, factor) });

describe('what two ways of finding out must agree on', () => {
  test.each([
    ['facts: the engine, and every schedule played', 400, tryFacts],
    ['facts of long plans: short cuts, and the rule itself', 60, tryLongFacts],
    ['compare and baseline: edited and afresh, told and applied', 25, tryVersions],
    ['people: the findings, and the list read by hand', 150, tryPeople],
    ['cache: known from an earlier run, and checked', 12, tryCached],
  ] as const)('%s', async (name, usual, attempt) => {
    let asked = 0;
    const faults: string[] = [];
    const plans = Math.round(usual * factor);
    for (let number = 0; number < plans && faults.length < 20; number++) {
      try {
        asked += await attempt(new Random(seed, number));
      } catch (error) {
        faults.push(`seed ${seed}, number ${number}: ${(error as Error).message}`);
      }
    }
    console.log({ name, seed, plans, asked, faults: faults.length });
    expect(faults.slice(0, 3)).toEqual([]);
    expect(asked).toBeGreaterThanOrEqual(plans);
  });
});
