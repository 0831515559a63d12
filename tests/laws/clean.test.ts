import fc from 'fast-check';
import { expect, test, vi } from 'vitest';
import { check } from '../../server/src/features/check.ts';
import { workspaceOf } from '../support/files.ts';
import { cleanPlans } from './clean-plans.ts';
import { patience, runs, today } from './runs.ts';

vi.setConfig({ testTimeout: patience });

test('a complete plan that follows every rule of the trade has no finding', () => {
  fc.assert(
    fc.property(cleanPlans, ({ files, name }) => {
      const found = check(workspaceOf(files), `file:///plans/${name}`, { today });
      expect(found.map(({ finding, message }) => `${finding}: ${message}`)).toEqual([]);
    }),
    runs(150),
  );
});

test('and neither do the files it uses', () => {
  fc.assert(
    fc.property(cleanPlans, ({ files }) => {
      const workspace = workspaceOf(files);
      const found = workspace.uris.flatMap((uri) => check(workspace, uri, { today }));
      expect(found.map(({ finding, message }) => `${finding}: ${message}`)).toEqual([]);
    }),
    runs(20),
  );
});
