import { addToGroup } from '../base/collections.ts';
import type { Operation } from '../plan/operations.ts';
import type { Plan } from '../plan/plan.ts';
import { reachedFrom } from '../sequence/life.ts';
import { contaminating } from '../plan/tables/tasks.ts';
import type { Hazard } from '../plan/tables/tasks.ts';
import type { Before, SharedOrder } from './order-difference.ts';

/** Tasks that make the car safe to work on, or end that: what they are ordered with matters to every connector. */
const safety: ReadonlySet<string> = new Set([
  'isolate',
  'lock-out',
  'wait',
  'prove-dead',
  'battery-12v-off',
  'battery-12v-on',
  'support-12v',
  'support-12v-off',
  'weld',
  'braze',
]);
const hazards: ReadonlySet<Hazard> = new Set([...contaminating, 'heat', 'knock']);

/**
 * Pairs of operations of which the order can matter to a connector: both handle it, one may soil, heat or knock it, one
 * makes the car safe or live. The rules of the checker say what follows; this only sorts what is shown first, so it errs
 * to the side of mattering. Places among `operations`, which are the shared ones.
 */
export function* bearingPairs(plan: Plan, operations: readonly Operation[]): Generator<Before> {
  const handling = new Map<string, number[]>();
  const everywhere: number[] = [];
  operations.forEach(({ connectors, task, taskId }, at) => {
    for (const name of new Set(connectors.map(({ value }) => value))) {
      addToGroup(handling, name, at);
    }
    if (safety.has(taskId) || task?.gate || !task) everywhere.push(at);
  });
  const raising = [...operations.keys()].filter((at) => operations[at]!.task?.raises.length);
  for (const [name, own] of handling) {
    const zone = plan.scope.connectors.get(name)?.zone;
    const near = raising.filter(
      (at) => reachedFrom(plan.scope.zones, operations[at]!, zone, hazards) !== undefined,
    );
    for (const one of own) for (const other of [...own, ...near, ...everywhere]) yield [one, other];
  }
  for (const one of everywhere) for (const other of everywhere) yield [one, other];
}

/** So many look-ups are made; where there would be more, all that is left counts as mattering. */
const maxLookups = 3_000_000;

/** Of changed pairs, those through which the order of a pair that matters changed as well. */
export function mattering(
  changed: readonly Before[],
  bearing: Iterable<Before>,
  from: SharedOrder,
  to: SharedOrder,
): ReadonlySet<Before> {
  const found = new Set<Before>();
  if (changed.length === 0) return found;
  const told = new Set<number>();
  let lookups = 0;
  for (const [a, b] of bearing) {
    for (const pair of [
      [a, b],
      [b, a],
    ] as const) {
      const [x, y] = pair;
      if (x === y || !from.before(pair) || to.before(pair)) continue;
      const name = x * 65_536 + y;
      if (told.has(name)) continue;
      told.add(name);
      for (const edge of changed) {
        if (found.has(edge)) continue;
        const [first, second] = edge;
        const onTheWay =
          (x === first || from.before([x, first])) && (y === second || from.before([second, y]));
        if (onTheWay) found.add(edge);
      }
      if (found.size === changed.length) return found;
      if ((lookups += changed.length) > maxLookups) return new Set(changed);
    }
  }
  return found;
}
