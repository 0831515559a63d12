import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { parse as parseYaml } from 'yaml';
import type { AnyNode } from '../../server/src/document/node.ts';
import { parse } from '../../server/src/document/parse.ts';
import { recoverEntry } from '../../server/src/document/recover.ts';
import { valueOf } from '../../server/src/document/validate.ts';
import { samples } from '../support/files.ts';

const origin = { uri: 'file:///a', base: 0 };
const read = (entry: string): Record<string, unknown> | null => {
  const found = recoverEntry(entry, origin);
  return found ? (valueOf(found.top) as [Record<string, unknown>])[0] : null;
};

interface Row {
  readonly name: string;
  readonly entry: string;
  readonly reads: Record<string, unknown> | null;
}
const rows = parseYaml(readFileSync('tests/document/recover.yaml', 'utf8')) as Row[];

describe('what is read of an entry around a slip', () => {
  test.each(rows)('$name', ({ entry, reads }) => {
    expect(read(entry)).toEqual(reads);
  });

  test.each(rows.filter(({ reads }) => reads !== null))('$name: where it stands', ({ entry }) => {
    const check = (node: AnyNode): void => {
      const { from, to } = node.span;
      const written = entry.slice(from, to);
      if (node.kind === 'list') for (const item of node.items as readonly AnyNode[]) check(item);
      else if (node.kind === 'map') {
        for (const { keySpan, key, value } of node.entries) {
          expect(entry.slice(keySpan.from, keySpan.to)).toBe(key);
          check(value);
        }
      } else if (!/['"]/.test(written)) expect(written).toBe(String(node.value));
      expect(from).toBeLessThan(to);
      expect(to).toBeLessThanOrEqual(entry.length);
    };
    check(recoverEntry(entry, origin)!.top);
  });
});

/** The entries in braces on one line, of all samples. */
const entries = Object.values(samples()).flatMap((text) =>
  [...text.matchAll(/^ *- \{ .* \}$/gm)].map(([line]) => line.trimStart()),
);
const topKeys = (entry: string): Record<string, unknown> => {
  const { root } = parse('file:///a', `list:\n  ${entry}\n`);
  return ((root && valueOf(root)) as { list: [Record<string, unknown>] }).list[0];
};

test('an entry cut off anywhere has no part beyond its end', () => {
  const within = (node: AnyNode, end: number): void => {
    expect(node.span.to).toBeLessThanOrEqual(end);
    if (node.kind === 'list') for (const item of node.items as readonly AnyNode[]) within(item, end);
    else if (node.kind === 'map') for (const { value } of node.entries) within(value, end);
  };
  for (const entry of entries)
    for (let end = 4; end < entry.length; end++) {
      const found = recoverEntry(entry.slice(0, end), origin);
      if (found) within(found.top, end);
    }
});

test('a bracket or quote rubbed out in a line of the samples costs its own value and no other', () => {
  expect(entries.length).toBeGreaterThan(50);
  let tried = 0;
  for (const entry of entries) {
    const whole = Object.entries(topKeys(entry));
    for (const { index } of entry.matchAll(/[[\]"']/g)) {
      const slip = entry.slice(0, index) + entry.slice(index + 1);
      const own = whole.findLastIndex(([key]) => entry.search(new RegExp(`[{,] ${key}: `)) < index);
      const got = read(slip);
      const others = whole.filter((_, i) => i !== own);
      expect({ slip, got: Object.fromEntries(others.map(([key]) => [key, got?.[key]])) }).toEqual({
        slip,
        got: Object.fromEntries(others),
      });
      tried++;
    }
  }
  expect(tried).toBeGreaterThan(100);
});

test.each([
  ['closing braces', '}'],
  ['opening braces', '{'],
  ['brackets', '['],
  ['quotes', '"'],
  ['words', 'a, '],
  ['keys', 'a: "'],
  ['white space', ' '],
  ['empty lines', '\n'],
])('an entry of a hundred thousand %s is read in one pass', (_, sign) => {
  for (const last of ['', ' x: 1', '\nx'])
    expect(() => recoverEntry(`- { id: a, b: c], ${sign.repeat(100_000)}${last}`, origin)).not.toThrow();
});
