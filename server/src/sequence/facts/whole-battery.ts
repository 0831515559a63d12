/** Of several traction batteries: whether a step that lowers, raises or inspects one leaves another to be done. */
import { emptyList } from '../../base/collections.ts';
import { query, sameMembers } from '../../incremental/query.ts';
import type { Operation } from '../../plan/operations.ts';
import { operationsWhere, SnapshotPlan } from '../../plan/plan.ts';
import type { Plan } from '../../plan/plan.ts';
import { readIds } from '../../plan/read.ts';
import type { Snapshot } from '../../plan/snapshot.ts';
import { batteryStore } from '../../plan/tables/zones.ts';
import { cameInWetOrDamaged } from '../../plan/vehicle.ts';
import { sequenceOf } from '../lives.ts';

/** The zones that a step at the battery writes; those of its connectors say nothing of how many batteries there are. */
export const batteryZonesOf = ({ step, bindings }: Operation): readonly string[] =>
  readIds(step.node.get('zone'), bindings).map(({ value }) => value);

/** Where batteries that are lowered lie: the battery store, and what those steps write. */
export const placesOfLowered = ({ reading }: Plan): readonly string[] => placesIn(reading);
const placesIn = query(
  (reading: Snapshot): readonly string[] => [
    ...new Set([
      batteryStore,
      ...loweringIn(new SnapshotPlan(reading)).flatMap(({ step, bindings }) =>
        readIds(step.node.get('put-down'), bindings).map(({ value }) => value),
      ),
    ]),
  ],
  sameMembers,
);
const loweringIn = operationsWhere(
  ({ taskId, task }) => taskId === 'lower-battery' || task?.makes.includes('battery-out') === true,
);

/**
 * Whether nothing is left to do at another zone of the battery once a step that lowers, raises or inspects is over, and those
 * that go on beside it.
 */
export const isWholeBattery = (operation: Operation, plan: Plan): boolean => isWhole(operation, plan, true);

/**
 * Whether a step that lowers, raises or inspects, or one beside it, needs the other to be over: such steps end the fact that they make,
 * so that it holds only once the last of them is over.
 */
export function isOneOfSeveral(operation: Operation, plan: Plan): boolean {
  if (batteryZonesOf(operation).length === 0) return false;
  if (operation.taskId === 'inspect-battery' && !cameInWetOrDamaged(plan.vehicle)) return false;
  const { order } = sequenceOf(plan);
  const beside = plan
    .operationsDoing(operation.taskId)
    .filter((step) => step !== operation && order.unordered(step, operation));
  return beside.length > 0 && [operation, ...beside].some((step) => !isWhole(step, plan, false));
}

/** @param isBesideEnough whether a step beside it counts as one that is over */
function isWhole(operation: Operation, plan: Plan, isBesideEnough: boolean): boolean {
  const here = batteryZonesOf(operation);
  if (here.length === 0) return true;
  const { order } = sequenceOf(plan);
  const concerns = (step: Operation, zone: string): boolean => {
    const zones = batteryZonesOf(step);
    return zones.length === 0 || zones.includes(zone);
  };
  const others = (zones: readonly string[]): readonly string[] =>
    zones.filter((zone) => !here.includes(zone));
  const doneBefore = (zone: string, holds: (step: Operation) => boolean): boolean =>
    plan
      .operationsDoing(operation.taskId)
      .some(
        (step) =>
          concerns(step, zone) &&
          (order.before(step, operation) ||
            (isBesideEnough && step !== operation && order.unordered(step, operation))) &&
          holds(step),
      );
  if (operation.taskId === 'raise-battery')
    return plan
      .operationsDoing('lower-battery')
      .every(
        (lowering) =>
          order.before(operation, lowering) ||
          others(batteryZonesOf(lowering)).every((zone) =>
            doneBefore(zone, (step) => order.before(lowering, step)),
          ),
      );
  const zones = others((plan.vehicle?.batteryZones ?? emptyList).map(({ value }) => value));
  if (operation.taskId === 'inspect-battery')
    // After work at one of them, a look at that one is enough.
    return !cameInWetOrDamaged(plan.vehicle) || zones.every((zone) => doneBefore(zone, () => true));
  const raisings = plan.operationsDoing('raise-battery');
  return zones.every((zone) =>
    doneBefore(zone, (step) =>
      raisings.every(
        (raising) =>
          !concerns(raising, zone) || order.before(raising, step) || order.before(operation, raising),
      ),
    ),
  );
}
