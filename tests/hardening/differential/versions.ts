import fc from 'fast-check';
import { isRecord, newSince, recordOf } from '../../../server/src/compare/baseline.ts';
import { compare } from '../../../server/src/compare/compare.ts';
import type { Comparison, Version } from '../../../server/src/compare/compare.ts';
import { valueOf } from '../../../server/src/document/validate.ts';
import { check } from '../../../server/src/features/check.ts';
import type { Operation } from '../../../server/src/plan/operations.ts';
import type { Workspace } from '../../../server/src/workspace/workspace.ts';
import { planName, plainly, versions } from '../../compare/versions.ts';
import { today } from '../../laws/runs.ts';
import { workspaceOf } from '../../support/files.ts';
import type { Random } from '../fuzz/random.ts';

const uri = `file:///plans/${planName}`;

/** A version as it is told later: by a plan that may have been edited on since. */
function versionIn(workspace: Workspace): Version {
  const texts = new Map([...workspace.uris].map((one) => [one, workspace.text(one)] as const));
  return {
    plan: workspace.plan(uri)!,
    findings: check(workspace, uri, { today }),
    text: (one) => texts.get(one),
  };
}

/** Keys that are told elsewhere: how a step is called, when it comes, and what it is matched by. */
const elsewhere = new Set(['id', 'do', 'follow', 'after', 'note']);

/** What a step says, read from its text alone. */
function saysOf({ step, halves }: Operation): Map<string, string> {
  const says = new Map<string, string>([['halves', halves.length > 1 ? 'both' : (halves[0] ?? '')]]);
  for (const { key, value } of step.node.entries) {
    if (elsewhere.has(key) || key === 'halves') continue;
    const plain = valueOf(value as never);
    says.set(
      key,
      JSON.stringify(
        Array.isArray(plain) ? plain.map(String).sort() : key === 'zone' || key === 'using' ? [plain] : plain,
      ),
    );
  }
  return says;
}

const fail = (words: string, ...more: unknown[]): never => {
  throw new Error([words, ...more.map((one) => JSON.stringify(one))].join('\n'));
};

/**
 * Whether the difference, applied to the old version, gives the new one: without the steps that are removed, with those
 * that are added, each other step under its new id and with what changed, and with nothing else.
 */
function appliesTo({ old, new: now, added, removed, renamed, changed }: Comparison): void {
  const before = old.plan.operations.filter((one) => !removed.includes(one));
  const after = new Map(
    now.plan.operations.filter((one) => !added.includes(one)).map((one) => [one.id, one] as const),
  );
  const nameNow = (id: string): string => {
    const exact = renamed.find((one) => one.old === id);
    if (exact) return exact.new;
    const whole = renamed.find((one) => id.startsWith(`${one.old}/`));
    return whole ? whole.new + id.slice(whole.old.length) : id;
  };
  if (before.length !== after.size) fail('steps are lost', before.length, after.size);
  for (const operation of before) {
    const other = after.get(nameNow(operation.id));
    if (!other) return fail('no such step', operation.id, nameNow(operation.id));
    after.delete(other.id);
    const [mine, theirs] = [saysOf(operation), saysOf(other)];
    const differ = [...new Set([...mine.keys(), ...theirs.keys()])].filter(
      (key) => mine.get(key) !== theirs.get(key),
    );
    const told = changed.find((stepChange) => stepChange.old === operation);
    if (told && told.new !== other) fail('another step is told', told.new.id, other.id);
    const keys = (told?.changes ?? []).map(({ key }) => key).filter((key) => !elsewhere.has(key));
    if (differ.sort().join() !== keys.sort().join()) fail('other keys changed', operation.id, differ, keys);
  }
}

/** What a baseline keeps, through its file and back. */
function throughFile(version: Version): unknown {
  return JSON.parse(JSON.stringify(recordOf(version)));
}

const named = (list: readonly { readonly finding: string; readonly message: string }[]): string =>
  JSON.stringify(list.map(({ finding, message }) => `${finding}: ${message}`).sort());

/**
 * Two versions of a plan: what is told of them is the same whether they are read afresh or one is edited into the other;
 * applied to the old one the difference gives the new one; and a baseline of the old one finds the same findings new.
 * @throws Error with what differs
 */
export function tryVersions(random: Random): number {
  const [{ old, now }] = fc.sample(versions, { numRuns: 1, seed: random.below(2 ** 31) }) as [
    { old: Record<string, string>; now: Record<string, string> },
  ];
  const where = (): string => `\nold:\n${old[planName]!}\nnew:\n${now[planName]!}`;
  try {
    const fresh = compare(versionIn(workspaceOf(old)), versionIn(workspaceOf(now)));
    appliesTo(fresh);

    // The same workspace, edited from the one to the other, with a detour that a hand makes.
    const workspace = workspaceOf(old);
    const before = versionIn(workspace);
    const record = throughFile(before);
    if (random.chance(0.5)) {
      const text = now[planName]!;
      workspace.set(uri, text.slice(0, random.below(text.length)));
      check(workspace, uri, { today });
    }
    workspace.set(uri, now[planName]!);
    const edited = versionIn(workspace);
    const incremental = compare(versionIn(workspaceOf(old)), edited);
    const [a, b] = [JSON.stringify(plainly(fresh)), JSON.stringify(plainly(incremental))];
    if (a !== b) fail('edited, it says otherwise', a, b);

    if (!isRecord(record)) return fail('the record does not come back from its file', record);
    const news = newSince(edited, record);
    if (named(news) !== named(fresh.findings.fresh))
      fail('the baseline and the comparison differ', named(news), named(fresh.findings.fresh));
    workspace.set(uri, old[planName]!);
    const again = newSince(versionIn(workspace), record);
    if (again.length > 0) fail('back again, findings are new', named(again));
    hostileRecord(record, edited, random);
    return plainly(fresh) ? 1 + fresh.added.length + fresh.removed.length + fresh.changed.length : 0;
  } catch (error) {
    throw new Error(`${(error as Error).message}${where()}`, { cause: error });
  }
}

const strange: readonly unknown[] = [
  null,
  0,
  '',
  'x',
  [],
  {},
  [null],
  { steps: 1 },
  'toString',
  '__proto__',
  ['a', 1],
];

/** A baseline that somebody edited is refused, or is read without harm. */
function hostileRecord(record: unknown, version: Version, random: Random): void {
  const copy = JSON.parse(JSON.stringify(record)) as Record<string, unknown>;
  const spoil = (holder: Record<string, unknown>, depth: number): void => {
    const keys = Object.keys(holder);
    if (keys.length === 0) return;
    const key = random.pick(keys);
    const inner = holder[key];
    if (depth > 0 && typeof inner === 'object' && inner !== null && random.chance(0.7))
      spoil(inner as Record<string, unknown>, depth - 1);
    else if (random.chance(0.2)) Reflect.deleteProperty(holder, key);
    else holder[key] = random.pick(strange);
  };
  spoil(copy, 4);
  const read: unknown = JSON.parse(JSON.stringify(copy));
  if (isRecord(read)) newSince(version, read);
}
