/** Work at the traction battery in its place. */
import { isTractionDriven } from '../../plan/high-voltage.ts';
import type { Operation } from '../../plan/operations.ts';
import type { Plan } from '../../plan/plan.ts';
import type { WithSpan } from '../../plan/read.ts';
import { nearBattery } from '../../plan/tables/needs.ts';
import { isVehicleFactMet } from '../../sequence/facts/timeline.ts';
import { hasTool } from './tools.ts';

/**
 * The zone of the battery at which a step works: its own, or one that adjoins it if sparks fly. A step without a zone may work
 * anywhere.
 */
export const batteryZoneAt = (
  { vehicle, scope }: Plan,
  { zones }: Operation,
  sparksFly: boolean,
): WithSpan<string> | undefined =>
  vehicle?.batteryZones.find(
    ({ value }) =>
      zones.length === 0 ||
      zones.some((zone) => zone === value || (sparksFly && scope.zones.adjoin(zone, value))),
  );

/** The source of the vehicle maker's distance from the battery, as the step or else the vehicle names it. */
export const distanceOf = (plan: Plan, { step }: Operation): string | undefined =>
  step.node.get('battery-distance')?.value ?? plan.vehicle?.batteryDistance;

/** Whether a step has a tool in the metal where the battery is, or may be: nobody states where it sits. */
export const hasToolAtBattery = (plan: Plan, operation: Operation): boolean =>
  isTractionDriven(plan) &&
  hasTool(operation, nearBattery, 'battery') &&
  (plan.vehicle?.batteryZones.length === 0 || batteryZoneAt(plan, operation, true) !== undefined) &&
  !isVehicleFactMet(plan, 'battery-out', operation);
