import { mapDefined } from '../base/collections.ts';
import { mapsIn } from '../document/node.ts';
import type { AnyNode } from '../document/node.ts';
import { billOf } from '../costing/bill.ts';
import { sumAmounts } from '../costing/decimal.ts';
import type { Operation } from '../plan/operations.ts';
import type { Plan } from '../plan/plan.ts';
import { scheduleOf } from '../sequence/critical-path.ts';
import { bearingPairs, mattering } from './bearing.ts';
import { exposures } from './exposure.ts';
import type { Exposure } from './exposure.ts';
import { changesOf, entryChanges, factsIn, shownList, shownOf, shownText } from './facts.ts';
import type { Change, EntryChange, Facts, Named, Shown } from './facts.ts';
import { findingsDifference, printsOf } from './finding-prints.ts';
import type { FindingsDifference, ToldFinding } from './finding-prints.ts';
import { matched, signatureOf, tokensOf } from './matching.ts';
import type { Tokens } from './matching.ts';
import { moneyDifference } from './money.ts';
import type { MoneyDifference } from './money.ts';
import { orderDifference } from './order-difference.ts';
import type { Before, OrderDifference } from './order-difference.ts';
import { sharedFacts } from './shared-facts.ts';

/** One version of a plan, with its findings and the texts that their places point into. */
export interface Version {
  readonly plan: Plan;
  readonly findings: readonly ToldFinding[];
  readonly text: (uri: string) => string | undefined;
}

/** An operation that both versions have. */
export interface Pair {
  readonly old: Operation;
  readonly new: Operation;
}

/** Two operations of which the order differs: the first stands before the second in one version, in the other not. */
export interface OrderChange {
  readonly first: Pair;
  readonly second: Pair;
  readonly kind: 'lost' | 'gained';
  /** The order of operations that concern one connector, a hazard near it or the safety of the car changed with it. */
  readonly matters: boolean;
}

interface StepChange extends Pair {
  readonly changes: readonly Change[];
}

/** What changed around one connector's bare halves. */
export interface ExposureChange {
  readonly connector: string;
  readonly old: Exposure | undefined;
  readonly new: Exposure | undefined;
}

/** Figures of a whole version; milliseconds, undefined where the order goes round in a circle. */
interface Times {
  readonly planned: number | undefined;
  readonly earliestFinish: number | undefined;
  /** Hours of the labour lines, as an exact decimal. */
  readonly paidHours: string;
}

/** What changed between two versions of a plan, in meaning: how either is written makes no difference. */
export interface Comparison {
  readonly old: Version;
  readonly new: Version;
  readonly added: readonly Operation[];
  readonly removed: readonly Operation[];
  /** The step has another id in the new version; of a followed procedure, its step in the plan alone. */
  readonly renamed: readonly { readonly old: string; readonly new: string; readonly pair: Pair }[];
  readonly changed: readonly StepChange[];
  /** Undefined where the order of one version goes round in a circle. */
  readonly order: readonly OrderChange[] | undefined;
  /** The plan's own words about the vehicle, what else stands at its top, and what shared files say of what it names. */
  readonly head: readonly Change[];
  readonly connectors: readonly EntryChange[];
  readonly readings: readonly EntryChange[];
  readonly evidence: readonly EntryChange[];
  readonly sources: readonly EntryChange[];
  readonly signOffs: readonly EntryChange[];
  readonly accepted: readonly EntryChange[];
  readonly money: MoneyDifference;
  readonly exposures: readonly ExposureChange[];
  readonly times: { readonly old: Times; readonly new: Times };
  readonly findings: FindingsDifference<ToldFinding>;
}

/** Compares two versions of a plan. Never throws. */
export function compare(old: Version, now: Version): Comparison {
  const [before, after] = [old.plan.operations, now.plan.operations];
  const [mine, theirs] = [before.map(signatureOf), after.map(signatureOf)];
  const places = matched(mine, theirs);
  const pairs = places.map(([a, b]): Pair => ({ old: before[a]!, new: after[b]! }));
  const tokens = tokensOf(mine, theirs, places);
  const [olds, news] = [new Set(places.map(([a]) => a)), new Set(places.map(([, b]) => b))];
  const prints = ({ plan, findings, text }: Version) =>
    printsOf(plan, findings, text).map((print, i) => [findings[i]!, print] as const);
  return {
    old,
    new: now,
    added: after.filter((_, at) => !news.has(at)),
    removed: before.filter((_, at) => !olds.has(at)),
    renamed: renamesOf(pairs),
    changed: pairs.flatMap((pair) => {
      const changes = changesOf(factsOfStep(pair.old), factsOfStep(pair.new));
      return changes.length > 0 ? [{ ...pair, changes }] : [];
    }),
    order: orderChanges(orderDifference(old.plan, now.plan, places), pairs, old.plan, now.plan),
    head: changesOf(headOf(old.plan, now.plan), headOf(now.plan, old.plan)),
    connectors: entryChanges(connectorsOf(old.plan, now.plan), connectorsOf(now.plan, old.plan)),
    readings: listChanges(old.plan, now.plan, 'measurements', tokens, 'after', ['connector', 'kind']),
    evidence: listChanges(old.plan, now.plan, 'evidence', tokens, 'for', ['photo']),
    sources: listChanges(old.plan, now.plan, 'sources', tokens, undefined, ['id']),
    signOffs: listChanges(old.plan, now.plan, 'sign-offs', tokens, undefined, ['role', 'name']),
    accepted: listChanges(old.plan, now.plan, 'accepted', tokens, 'at', ['finding']),
    money: moneyDifference(old.plan, now.plan, tokens),
    exposures: exposureChanges(exposures(old.plan), exposures(now.plan)),
    times: { old: timesOf(old.plan), new: timesOf(now.plan) },
    findings: findingsDifference(prints(old), prints(now), tokens),
  };
}

/** Whether nothing changed, in meaning. */
export function isSame(comparison: Comparison): boolean {
  const { money, order, findings } = comparison;
  const lists = [
    comparison.added,
    comparison.removed,
    comparison.renamed,
    comparison.changed,
    order ?? [],
    comparison.head,
    comparison.connectors,
    comparison.readings,
    comparison.evidence,
    comparison.sources,
    comparison.signOffs,
    comparison.accepted,
    money.labour,
    money.materials,
    comparison.exposures,
    findings.gone,
    findings.fresh,
  ];
  const { old, new: now } = comparison.times;
  return (
    lists.every(({ length }) => length === 0) &&
    (money.gross?.eq(0) ?? false) &&
    old.earliestFinish === now.earliestFinish
  );
}

/** What a step says but for its name and its place in the order. */
const apart: ReadonlySet<string> = new Set([
  'id',
  'do',
  'follow',
  'with',
  'after',
  'connectors',
  'halves',
  'zone',
  'using',
  'by',
]);

function factsOfStep({ step, bindings, connectors, halves, zones, using, by }: Operation): Facts {
  const facts = new Map<string, Shown>();
  const names = (list: readonly { readonly value: string }[]): Shown =>
    shownList([...new Set(list.map(({ value }) => value))]);
  if (connectors.length > 0) facts.set('connectors', names(connectors));
  facts.set('halves', shownText(halves.length > 1 ? 'both' : (halves[0] ?? '')));
  // A step that names no zone is where its connectors are: that is theirs to tell.
  if (step.node.entry('zone')) facts.set('zone', shownList([...new Set(zones)]));
  if (using.length > 0) facts.set('using', names(using));
  if (by) facts.set('by', shownText(by.value));
  for (const [key, fact] of factsIn(step.node as never, apart, bindings)) facts.set(key, fact);
  return facts;
}

function renamesOf(pairs: readonly Pair[]): Comparison['renamed'] {
  const renamed = new Map<string, { old: string; new: string; pair: Pair }>();
  for (const pair of pairs) {
    const [old, now] = [pair.old.id, pair.new.id];
    if (old === now) continue;
    const [from, to] = [pair.old.planStep.id, pair.new.planStep.id];
    const within = old.slice(from.length) === now.slice(to.length);
    const one = within ? { old: from, new: to, pair } : { old, new: now, pair };
    renamed.set(`${one.old}\n${one.new}`, renamed.get(`${one.old}\n${one.new}`) ?? one);
  }
  return [...renamed.values()];
}

function orderChanges(
  difference: OrderDifference | undefined,
  pairs: readonly Pair[],
  old: Plan,
  now: Plan,
): OrderChange[] | undefined {
  if (!difference) return undefined;
  const { lost, gained } = difference;
  if (lost.length + gained.length === 0) return [];
  // Walked twice; a list of all these pairs would be many times as long as the plan.
  function* bearing(): Generator<Before> {
    yield* bearingPairs(
      old,
      pairs.map((pair) => pair.old),
    );
    yield* bearingPairs(
      now,
      pairs.map((pair) => pair.new),
    );
  }
  const tell = (changed: readonly Before[], kind: OrderChange['kind']): OrderChange[] => {
    const [from, to] = kind === 'lost' ? [difference.old, difference.new] : [difference.new, difference.old];
    const grave = mattering(changed, bearing(), from, to);
    return changed.map((pair) => ({
      first: pairs[pair[0]]!,
      second: pairs[pair[1]]!,
      kind,
      matters: grave.has(pair),
    }));
  };
  return [...tell(lost, 'lost'), ...tell(gained, 'gained')];
}

/** A line about one step of which the order changed: what it no longer waits for, what it waits for now. */
export interface Move {
  readonly step: Pair;
  readonly changes: readonly OrderChange[];
  readonly matters: boolean;
}

/**
 * The changes of the order in lines a person can read: the step that has most of them first, with all of its own; so one
 * that was moved in a chain is one line.
 */
export function movesOf(order: readonly OrderChange[]): Move[] {
  const moves: Move[] = [];
  let left = [...order].sort((a, b) => Number(b.matters) - Number(a.matters));
  while (left.length > 0) {
    const count = new Map<Pair, number>();
    for (const { first, second, matters } of left) {
      for (const step of [first, second]) count.set(step, (count.get(step) ?? 0) + (matters ? 1_000 : 1));
    }
    let step = left[0]!.first;
    for (const [pair, of] of count) if (of > count.get(step)!) step = pair;
    const changes = left.filter(({ first, second }) => first === step || second === step);
    moves.push({ step, changes, matters: changes.some(({ matters }) => matters) });
    left = left.filter(({ first, second }) => first !== step && second !== step);
  }
  return moves;
}

const inLists: ReadonlySet<string> = new Set([
  'plan',
  'uses',
  'vehicle',
  'sources',
  'connectors',
  'operations',
  'labour',
  'materials',
  'measurements',
  'evidence',
  'sign-offs',
  'accepted',
]);

function headOf(plan: Plan, other: Plan): Facts {
  const { root } = plan;
  const facts = factsIn(root as never, inLists);
  const vehicle = root?.get('vehicle') as AnyNode | undefined;
  for (const [key, fact] of factsIn(vehicle, new Set())) facts.set(`vehicle ${key}`, fact);
  for (const [key, fact] of sharedFacts(plan, other)) facts.set(key, fact);
  return facts;
}

/** The connectors that either version handles or defines itself, as this one describes them. */
function connectorsOf(plan: Plan, other: Plan): Named[] {
  const handled = new Set(
    [plan, other].flatMap(({ operations, root }) => [
      ...operations.flatMap(({ connectors }) => connectors.map(({ value }) => value)),
      ...mapDefined(mapsIn(root?.get('connectors')), (node) => node.get('id')?.value),
    ]),
  );
  return mapDefined([...handled], (id): Named | undefined => {
    const connector = plan.scope.connectors.get(id);
    if (!connector) return undefined;
    const facts = new Map<string, Shown>();
    // The plan's word goes first.
    for (const node of connector.nodes) {
      for (const [key, fact] of factsIn(node as never, new Set(['id', 'note', 'name']))) {
        if (!facts.has(key)) facts.set(key, fact);
      }
    }
    return { token: id, name: id, facts };
  });
}

/** @param about the key that names steps; @param by the keys by which an entry is known */
function listChanges(
  old: Plan,
  now: Plan,
  section: 'measurements' | 'evidence' | 'sources' | 'sign-offs' | 'accepted',
  tokens: Tokens,
  about: string | undefined,
  by: readonly string[],
): EntryChange[] {
  const read = ({ root }: Plan, token: (id: string) => string): Named[] =>
    mapsIn<Record<string, string>>(root?.get(section) as never).map((node) => {
      const value = (key: string): AnyNode | undefined => node.get(key) as AnyNode | undefined;
      const ids = about === undefined ? [] : idsOf(value(about));
      const known = by.map((key) => value(key) && shownOf(value(key)!).shown);
      return {
        token: [...known, ...ids.map(token).sort()].join('\0'),
        name: mapDefined([...known, ids.join(', ')], (one) => one || undefined).join(', '),
        facts: factsIn(node as never, new Set([...by, ...(about === undefined ? [] : [about])])),
      };
    });
  return entryChanges(read(old, tokens.before), read(now, tokens.now));
}

const idsOf = (node: AnyNode | undefined): string[] =>
  node === undefined
    ? []
    : node.kind === 'list'
      ? (node.items as readonly AnyNode[]).map((item) => shownOf(item).shown)
      : [shownOf(node).shown];

function exposureChanges(
  old: ReadonlyMap<string, Exposure>,
  now: ReadonlyMap<string, Exposure>,
): ExposureChange[] {
  return [...new Set([...old.keys(), ...now.keys()])].flatMap((connector) => {
    const [before, after] = [old.get(connector), now.get(connector)];
    const same = before?.bare === after?.bare && before?.open === after?.open && before?.met === after?.met;
    return same ? [] : [{ connector, old: before, new: after }];
  });
}

function timesOf(plan: Plan): Times {
  const schedule = scheduleOf(plan);
  return {
    planned: schedule?.operations.reduce((sum, { duration }) => sum + duration, 0),
    earliestFinish: schedule?.finish,
    paidHours: sumAmounts(mapDefined(billOf(plan).labour, ({ hours }) => hours)).toFixed(),
  };
}
