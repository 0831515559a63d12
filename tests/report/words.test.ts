import { expect, test } from 'vitest';
import type { Operation } from '../../server/src/plan/operations.ts';
import { stepTitle } from '../../server/src/report/print/words.ts';

test.each([
  ['constructor', 'Constructor'],
  ['hasOwnProperty', 'HasOwnProperty'],
  ['wash-down', 'Wash down'],
])('a task of the shop called %s is printed as %s', (taskId, title) => {
  expect(stepTitle({ taskId } as Operation)).toBe(title);
});
