import { expect, test } from 'vitest';
import { hasInterruptBudget } from '../../server/src/base/v8-flags.ts';

// What `node --v8-options` of the newest Node 20, 22, 24 and 26 lists.
test.each([
  ['11.3.244.8-node.38', true],
  ['12.4.254.21-node.57', false],
  ['13.6.233.17-node.63', false],
  ['14.6.202.34-node.40', false],
  ['111.0', false],
])('V8 %s', (version, known) => {
  expect(hasInterruptBudget(version)).toBe(known);
});
