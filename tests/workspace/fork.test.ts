import { expect, test } from 'vitest';
import type { ListNode, MapNode } from '../../server/src/document/node.ts';
import { rangeOf } from '../../server/src/text/span.ts';
import { check } from '../../server/src/features/check.ts';
import { Workspace } from '../../server/src/workspace/workspace.ts';
import { sampleUri, samples, sampleWorkspace, workspaceOf } from '../support/files.ts';

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

test('editing a copy moves nothing in the original, and after the first edit reparses only what changed', () => {
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

test('a mirrored workspace gives the same findings as its source after any change, and shares nothing', () => {
  const workspace = sampleWorkspace();
  const uri = sampleUri('quarter-panel-faulty.repair-plan.yaml');
  const list = sampleUri('kestrel.connector-list.yaml');
  const copy = new Workspace();
  const today = '2027-02-10';
  const same = (): void => {
    copy.mirror(workspace, uri);
    expect(check(copy, uri, { today })).toEqual(check(workspace, uri, { today }));
  };
  same();
  expect(check(copy, uri, { today }).length).toBeGreaterThan(3);
  // Its own plan, a file it uses, one it no longer uses, one that is gone, a photograph that is not there.
  workspace.set(uri, workspace.text(uri)!.replace('do: grind', 'do: consult'));
  same();
  workspace.set(list, workspace.text(list)!.replace('0.5 mΩ', '0.9 mΩ'));
  same();
  copy.set(uri, `${workspace.text(uri)!}# tried out\n`);
  same();
  workspace.set(uri, workspace.text(uri)!.replace(/^uses:.*\n(?: .*\n)*/m, ''));
  same();
  expect(copy.uris).toEqual([uri]);
  workspace.set(uri, samples()['quarter-panel-faulty.repair-plan.yaml']!);
  workspace.markAbsent(list);
  same();
  workspace.set(uri, `${workspace.text(uri)!}evidence:\n  - { for: op20, photo: gone.jpg }\n`);
  for (const photo of workspace.unknownPhotos()) workspace.markPhoto(photo, false);
  same();
});

test('whether a photograph exists is remembered while a plan names it, and forgotten with the last', () => {
  const evidence = 'evidence:\n  - { for: op10, photo: one.jpg }\n';
  const workspace = workspaceOf({
    'a.repair-plan.yaml': `${plan}${evidence}`,
    'b.repair-plan.yaml': `${plan}${evidence}`,
  });
  const photo = 'file:///plans/one.jpg';
  workspace.markPhoto(photo, false);
  workspace.markAbsent('file:///plans/b.repair-plan.yaml');
  expect(workspace.unknownPhotos()).toEqual([]);
  workspace.set(uri, plan);
  workspace.set(uri, `${plan}${evidence}`);
  expect(workspace.unknownPhotos()).toEqual([photo]);
});
