import { addToGroup } from '../base/collections.ts';
import type { AnyNode } from '../document/node.ts';
import { quantityOfUnit, toSI } from '../document/quantity.ts';
import type { Bindings } from '../plan/read.ts';

/** A value of a file: what it means, in one form however it is written, and how it is shown. */
export interface Shown {
  readonly means: string;
  readonly shown: string;
  /** Of a set of names, each by itself. */
  readonly members?: readonly string[];
}

export type Facts = ReadonlyMap<string, Shown>;

/** One key whose value differs; undefined where it is absent. */
export interface Change {
  readonly key: string;
  readonly old: string | undefined;
  readonly new: string | undefined;
  /** Of a set: what is no longer in it, and what it has besides. */
  readonly members?: { readonly gone: readonly string[]; readonly fresh: readonly string[] };
}

/** A quantity means the same in any unit; to twelve digits, as factors are no whole numbers. */
export function meaningOf(text: string): string {
  // Most values are names; only what begins like a number can be a quantity.
  if (!/^\s*[-+\d]/.test(text)) return text;
  const written = /^([-+]?\d+(?:\.\d+)?)\s*([^\d\s].*)$/.exec(text.trim());
  const quantity = written ? quantityOfUnit(written[2]!) : undefined;
  const si = quantity && toSI(quantity, text);
  return si === undefined ? text : `${quantity!} ${si.toPrecision(12)}`;
}

export const shownText = (text: string): Shown => ({ means: meaningOf(text), shown: text });

/** A list of names or numbers is a set: its order says nothing, and one alone may stand without brackets. */
export function shownList(texts: readonly string[]): Shown {
  return { means: texts.map(meaningOf).sort().join('\n'), shown: texts.join(', '), members: texts };
}

export function shownOf(node: AnyNode, bindings?: Bindings): Shown {
  if (node.kind === 'scalar') {
    const text = String(node.value);
    const bound = text.startsWith('$') ? bindings?.get(text.slice(1)) : undefined;
    return bound ? shownList(bound.map(({ value }) => String(value))) : shownText(text);
  }
  if (node.kind === 'list') {
    const items = (node.items as readonly AnyNode[]).map((item) => shownOf(item, bindings));
    const simple = (node.items as readonly AnyNode[]).every(({ kind }) => kind === 'scalar');
    const means = items.map((item) => item.means);
    return {
      means: (simple ? means.sort() : means).join('\n'),
      shown: items.map(({ shown }) => shown).join(', '),
    };
  }
  const entries = node.entries.map(({ key, value }) => [key, shownOf(value, bindings)] as const);
  return {
    means: entries
      .map(([key, { means }]) => `${key}: ${means}`)
      .sort()
      .join('\n'),
    shown: `{ ${entries.map(([key, { shown }]) => `${key}: ${shown}`).join(', ')} }`,
  };
}

/** The keys of a group, but for some. */
export function factsIn(
  node: AnyNode | undefined,
  except: ReadonlySet<string>,
  bindings?: Bindings,
): Map<string, Shown> {
  const facts = new Map<string, Shown>();
  if (node?.kind !== 'map') return facts;
  for (const { key, value } of node.entries) {
    if (except.has(key) || key.startsWith('x-') || facts.has(key)) continue;
    if (value.kind === 'scalar' && value.value === null) continue;
    facts.set(key, shownOf(value, bindings));
  }
  return facts;
}

/** The keys of which two groups say different things, in the order of the first. */
export function changesOf(old: Facts, now: Facts): Change[] {
  const changes: Change[] = [];
  for (const key of new Set([...old.keys(), ...now.keys()])) {
    const [before, after] = [old.get(key), now.get(key)];
    if (before?.means === after?.means) continue;
    const [own, others] = [before?.members, after?.members];
    const members = own &&
      others && {
        gone: own.filter((one) => !others.includes(one)),
        fresh: others.filter((one) => !own.includes(one)),
      };
    changes.push({ key, old: before?.shown, new: after?.shown, ...(members && { members }) });
  }
  return changes;
}

/** What one version has and the other has not, or has otherwise. */
export interface EntryChange {
  /** Undefined when the entry was added. */
  readonly old: string | undefined;
  /** Undefined when it was removed. */
  readonly new: string | undefined;
  /** Empty for what was added or removed. */
  readonly changes: readonly Change[];
  /** What an entry that was added or removed says beside its name, key by key. */
  readonly says?: string;
}

/** An entry of a list: what it is told by, how it is called, what it says. */
export interface Named {
  readonly token: string;
  readonly name: string;
  readonly facts: Facts;
}

/** Compares two lists of entries. Of several with one token, equal ones belong together first, the others in their order. */
export function entryChanges(old: readonly Named[], now: readonly Named[]): EntryChange[] {
  return pairedBy(
    old,
    now,
    ({ token }) => token,
    ({ facts }) => meaningOfAll(facts),
  ).flatMap(([before, after]): EntryChange[] => {
    const changes = before && after ? changesOf(before.facts, after.facts) : [];
    if (before && after && changes.length === 0) return [];
    const alone = before && after ? undefined : (before ?? after)!.facts;
    const says = alone && [...alone].map(([key, { shown }]) => `${key} ${shown}`).join(', ');
    return [{ old: before?.name, new: after?.name, changes, ...(says ? { says } : {}) }];
  });
}

/** All that a group says, in one form however it is written. */
export const meaningOfAll = (facts: Facts): string =>
  [...facts]
    .map(([key, { means }]) => `${key}: ${means}`)
    .sort()
    .join('\n');

/**
 * Pairs the members of two lists that have one token: those that say the same first, then the others in their order. In the
 * order of the old list; what only the new one has comes last.
 */
export function pairedBy<T extends object>(
  old: readonly T[],
  now: readonly T[],
  tokenOf: (one: T, side: 'old' | 'new') => string,
  meaning: (one: T) => string,
): (readonly [T | undefined, T | undefined])[] {
  const pairs = new Map<T, T>();
  const taken = new Set<T>();
  for (const nameOf of [
    (one: T, side: 'old' | 'new'): string => `${tokenOf(one, side)}\0${meaning(one)}`,
    tokenOf,
  ]) {
    const waiting = new Map<string, T[]>();
    for (const one of now) {
      if (taken.has(one)) continue;
      addToGroup(waiting, nameOf(one, 'new'), one);
    }
    for (const one of old) {
      if (pairs.has(one)) continue;
      const other = waiting.get(nameOf(one, 'old'))?.shift();
      if (!other) continue;
      pairs.set(one, other);
      taken.add(other);
    }
  }
  return [
    ...old.map((one) => [one, pairs.get(one)] as const),
    ...now.filter((one) => !taken.has(one)).map((one) => [undefined, one] as const),
  ];
}
