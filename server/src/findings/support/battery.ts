/** Work at the traction battery in its place. */
import { emptyList } from '../../base/collections.ts';
import { isTractionDriven } from '../../plan/high-voltage.ts';
import type { Operation } from '../../plan/operations.ts';
import { operationsWhere } from '../../plan/plan.ts';
import type { Plan } from '../../plan/plan.ts';
import type { WithSpan } from '../../plan/read.ts';
import { nearBattery } from '../../plan/tables/needs.ts';
import { harmsBatteryByName, opensBatteryByName } from '../../plan/tables/own-names.ts';
import { batteryStore } from '../../plan/tables/zones.ts';
import { isVehicleFactMet } from '../../sequence/facts/timeline.ts';
import { batteryZonesOf } from '../../sequence/facts/whole-battery.ts';
import type { Sequence } from '../../sequence/lives.ts';
import { actsAs, hasTool } from './tools.ts';

/**
 * The zone of the battery at which a step works: its own, or one that adjoins it if sparks fly. A step without a zone may work
 * anywhere.
 * @param out zones of batteries that are out
 */
export const batteryZoneAt = (
  { vehicle, scope }: Plan,
  { zones }: Operation,
  sparksFly: boolean,
  out: ReadonlySet<string> = noZones,
): WithSpan<string> | undefined =>
  vehicle?.batteryZones.find(
    ({ value }) =>
      !out.has(value) &&
      (zones.length === 0 ||
        zones.some((zone) => zone === value || (sparksFly && scope.zones.adjoin(zone, value)))),
  );
const noZones: ReadonlySet<string> = new Set();

/** Whether a task of the shop's own opens the traction battery by its name, in the vehicle or where it lies apart. */
export const opensBattery = (plan: Plan, step: Operation): boolean =>
  opensBatteryByName(step.taskId, isAtBattery(plan, step));

/** Whether a task of the shop's own drops, strikes or wets the traction battery by its name; its row does not say that it does. */
export const harmsBattery = (plan: Plan, { order }: Sequence, step: Operation): boolean =>
  harmsBatteryByName(step.taskId, true) &&
  !step.task!.ends.includes('battery-checked') &&
  (harmsBatteryByName(step.taskId, isAtBattery(plan, step)) ||
    takingOut(plan).some((lowering) => order.before(lowering, step)));

/** Whether a step works where the battery sits, or in the battery store. */
const isAtBattery = ({ vehicle }: Plan, { zones }: Operation): boolean =>
  zones.some((zone) => zone === batteryStore || vehicle?.batteryZones.some(({ value }) => value === zone));

/** Steps that take the traction battery out, or put it in: by the built-in task, or by one of the shop's own, as its row says. */
export const takingOut = operationsWhere(actsAs('lower-battery', 'battery-out'));
export const puttingIn = operationsWhere(actsAs('raise-battery', 'battery-in'));

/** The zones whose own battery is certain to be out when a step starts, where the steps that lower and raise name zones. */
export function zonesOut(plan: Plan, { order }: Sequence, operation: Operation): ReadonlySet<string> {
  const lowerings = plan.operationsDoing('lower-battery');
  if (lowerings.length === 0) return noZones;
  const raisings = plan.operationsDoing('raise-battery');
  const isOut = (lowering: Operation): boolean =>
    order.before(lowering, operation) &&
    raisings.every((raising) => order.before(raising, lowering) || order.before(operation, raising));
  return new Set(lowerings.filter(isOut).flatMap((one) => batteryZonesOf(one)));
}

/** The zones whose own battery is lowered and not certain to be back when a step starts; none where a lowering names no zone. */
export function zonesMaybeOut(plan: Plan, { order }: Sequence, operation: Operation): readonly string[] {
  const raisings = plan
    .operationsDoing('raise-battery')
    .filter((raising) => order.before(raising, operation));
  const out = plan
    .operationsDoing('lower-battery')
    .filter((lowering) => !order.before(operation, lowering))
    .map((lowering) => ({
      lowered: batteryZonesOf(lowering),
      raised: raisings.filter((raising) => order.before(lowering, raising)).map(batteryZonesOf),
    }))
    .filter(({ raised }) => raised.every((zones) => zones.length > 0));
  if (out.some(({ lowered }) => lowered.length === 0)) return emptyList;
  return [
    ...new Set(out.flatMap(({ lowered, raised }) => lowered.filter((zone) => !raised.flat().includes(zone)))),
  ];
}

/** The source of the vehicle maker's distance from the battery, as the step or else the vehicle names it. */
export const distanceOf = (plan: Plan, { step }: Operation): string | undefined =>
  step.node.get('battery-distance')?.value ?? plan.vehicle?.batteryDistance;

/** Whether a step has a tool in the metal where the battery is, or may be: nobody states where it sits. */
export const hasToolAtBattery = (plan: Plan, operation: Operation): boolean =>
  isTractionDriven(plan) &&
  hasTool(operation, nearBattery, 'battery') &&
  (plan.vehicle?.batteryZones.length === 0 || batteryZoneAt(plan, operation, true) !== undefined) &&
  !isVehicleFactMet(plan, 'battery-out', operation);
