import fc from 'fast-check';
import { describe, expect, test, vi } from 'vitest';
import { check } from '../../server/src/features/check.ts';
import { workspaceOf } from '../support/files.ts';
import { patience, runs, today } from './runs.ts';
import { fixtures, shipped } from './texts.ts';
import type { Text } from './texts.ts';

vi.setConfig({ testTimeout: patience });

/** Checks a text among its files; a finding may come of it, an error may not. */
function survives({ name, files }: Text, texts: Iterable<string>): number {
  const workspace = workspaceOf(files);
  const uri = `file:///plans/${name}`;
  let count = 0;
  for (const text of texts) {
    workspace.set(uri, text);
    for (const { range } of check(workspace, uri, { today })) {
      // Every place lies in its file: an editor refuses one that does not.
      const length = workspace.text(range.uri)!.length;
      expect(range.start >= 0 && range.start <= range.end && range.end <= length).toBe(true);
    }
    count++;
  }
  return count;
}

/** Every truncation, or as many of them as the budget allows, the first offset drawn by the seed. */
function* truncations(text: string, max: number, seed: number): Generator<string> {
  const stride = Math.max(1, Math.floor(text.length / max));
  for (let at = seed % stride; at <= text.length; at += stride) yield text.slice(0, at);
}

describe('check never throws', () => {
  const { numRuns, seed } = runs(40);

  test.each(shipped.map((one) => [one.name, one] as const))('at truncations of %s', (_, one) => {
    expect(survives(one, truncations(one.text, numRuns, seed))).toBeGreaterThan(0);
  });

  test('at truncations of every fixture', () => {
    const max = Math.ceil(numRuns / 8);
    for (const [i, one] of fixtures.entries())
      expect(survives(one, truncations(one.text, max, seed + i))).toBeGreaterThan(0);
  });

  test('with noise inserted into samples and fixtures', () => {
    const all = [...shipped, ...fixtures];
    const noise = fc.oneof(
      fc.string({ unit: 'binary', maxLength: 6 }),
      fc.constantFrom(
        '\0',
        '\t',
        '\r',
        '\uFEFF',
        '"',
        "'",
        '- ',
        ': ',
        '{',
        '}',
        '[',
        ']',
        '&a ',
        '*a',
        '|',
        '>',
        '---\n',
        '...',
        '? ',
        '!!x ',
        '<<: ',
        '%',
      ),
    );
    fc.assert(
      fc.property(
        fc.nat(all.length - 1),
        fc.array(fc.tuple(fc.nat(), noise), { minLength: 1, maxLength: 4 }),
        (which, puts) => {
          const one = all[which]!;
          const noisy = puts.reduce((text, [place, what]) => {
            const at = place % (text.length + 1);
            return text.slice(0, at) + what + text.slice(at);
          }, one.text);
          survives(one, [noisy]);
        },
      ),
      runs(300),
    );
  });
});
