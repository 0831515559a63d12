import { describe, expect, it } from 'vitest';
import type { PublishedCheck } from './check.ts';
import { conductor } from './conductor.ts';
import { contact } from './contact.ts';
import { discharge } from './discharge.ts';
import { joule } from './joule.ts';
import { measurement } from './measurement.ts';
import { safety } from './safety.ts';
import { thermal } from './thermal.ts';

const groups: Readonly<Record<string, readonly PublishedCheck[]>> = {
  joule,
  contact,
  conductor,
  discharge,
  thermal,
  measurement,
  safety,
};

// `--reporter=verbose` prints the table of all checks: question, expected value and tolerance, source.
for (const [group, checks] of Object.entries(groups)) {
  describe(`published values: ${group}`, () => {
    for (const { what, source, expected, got, tolerance } of checks) {
      it(`${what} = ${short(expected)} ± ${short(tolerance)} (${source})`, () => {
        expect(Math.abs(got - expected), `got ${got}`).toBeLessThanOrEqual(tolerance);
      });
    }
  });
}

function short(value: number): string {
  return String(Number(value.toPrecision(10)));
}
