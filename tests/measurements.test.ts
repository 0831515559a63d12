import { readFileSync } from 'node:fs';
import path from 'node:path';
import { expect, test } from 'vitest';
import { inReadme, rowsOf } from './bench/results.ts';
import { root } from './support/files.ts';

test('the README quotes what was measured', () => {
  const readme = readFileSync(path.join(root, 'README.md'), 'utf8');
  const measured = rowsOf(readFileSync(path.join(root, 'tests/bench/results.md'), 'utf8'));
  expect(measured.rows.length).toBeGreaterThan(10);
  expect(inReadme(readme, measured)).toBe(readme);
});
