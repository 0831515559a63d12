import { expect, test } from 'vitest';
import type { ListNode, MapNode } from '../../server/src/document/node.ts';
import { rangeOf } from '../../server/src/document/text.ts';
import type { Workspace } from '../../server/src/workspace/workspace.ts';
import { workspaceOf } from '../support/files.ts';

const uri = 'file:///plans/a.repair-plan.yaml';
const plan = `plan: T-1
operations:
  - { id: op10, do: grind }
  - { id: op20, do: clean }
`;

const operations = (workspace: Workspace): readonly MapNode<{ id: string }>[] => {
  const root = workspace.document(uri)!.root as unknown as MapNode<{ operations: unknown[] }>;
  return (root.get('operations') as unknown as ListNode<never>).items;
};

test('a copy is edited without moving anything of the original, and after its first edit reads only what changed', () => {
  const workspace = workspaceOf({ 'a.repair-plan.yaml': plan });
  const [, original] = operations(workspace);
  const copy = workspace.fork();
  expect(operations(copy)[1]).toBe(original);

  const edited = plan.replace('T-1', 'T-1000');
  copy.set(uri, edited);
  const [, own] = operations(copy);
  expect(own).not.toBe(original);
  expect(rangeOf(original!.span).start).toBe(plan.indexOf('{ id: op20'));

  const again = edited.replace('grind', 'remove');
  copy.set(uri, again);
  expect(operations(copy)[1]).toBe(own);
  expect(rangeOf(own!.span).start).toBe(again.indexOf('{ id: op20'));

  // What the copy has read itself is shared in its turn.
  const second = copy.fork();
  second.set(uri, again.replace('T-1000', 'T'));
  expect(rangeOf(own!.span).start).toBe(again.indexOf('{ id: op20'));
});
