/** Fuel on board: where its tanks and lines run, and whether they are emptied. */
import type { Operation } from '../../plan/operations.ts';
import type { Plan } from '../../plan/plan.ts';
import { fuelledDrives, isFuel, sparkLit } from '../../plan/tables/fluids.ts';
import { vehicleVerdict } from '../../sequence/facts/timeline.ts';
import { historiesWhere } from '../../sequence/lives.ts';
import type { ConnectorHistory } from '../../sequence/life.ts';
import { sequenceOf } from '../../sequence/lives.ts';
import type { Fix } from '../finding.ts';
import { onlyAfter } from './mending.ts';

/** Lines and tanks that hold a fuel, as far as their lives are known. */
export const fuelLines = historiesWhere(
  ({ connector, unsure }) => !unsure && isFuelLine(connector) && connector.zone !== undefined,
);

const isFuelLine = ({ class: kind, medium }: ConnectorHistory['connector']): boolean =>
  kind === 'fluid-line' && isFuel(medium);

/** The vehicle carries fuel by its drive, and the plan states neither a line that holds it nor where it runs. */
export const isFuelUnplaced = ({ vehicle, scope }: Plan): boolean =>
  fuelledDrives.has(propulsion(vehicle) ?? '') &&
  vehicle!.fuelZones.length === 0 &&
  ![...scope.connectors.values()].some(isFuelLine);

const propulsion = (vehicle: Plan['vehicle']): string | undefined => vehicle?.node.get('propulsion')?.value;

/** Whether the fuel system is certain to be emptied when a step starts. */
export const isFuelOut = (plan: Plan, step: Operation): boolean => vehicleVerdict(plan, 'fuel-out', step).met;

/** Whether it is certain to be freed of vapour as well. */
export const isPurged = (plan: Plan, step: Operation): boolean =>
  vehicleVerdict(plan, 'fuel-purged', step).met;

/** Whether a step works in a zone that the plan states for fuel (`fuel-zone`), or may: it names no zone. */
export const isInFuelZone = ({ vehicle }: Plan, { zones }: Operation): boolean =>
  (vehicle?.fuelZones ?? []).some(({ value }) => zones.length === 0 || zones.includes(value));

/**
 * Whether a step works in a zone that adjoins one where fuel runs that a spark lights, and in none where it runs; a step in
 * such a zone itself is told elsewhere.
 */
export function isBesideFuel(plan: Plan, { zones }: Operation): boolean {
  const lit = fuelLines(plan).filter(({ connector }) => sparkLit.has(connector.medium!));
  const fuelled = new Set([
    ...lit.map(({ connector }) => connector.zone!),
    ...(plan.vehicle?.fuelZones ?? []).map(({ value }) => value),
  ]);
  const { beside } = plan.scope.zones;
  const adjoins = (zone: string): boolean =>
    [...(beside.get(zone) ?? [])].some((other) => fuelled.has(other));
  return !zones.some((zone) => fuelled.has(zone)) && zones.some(adjoins);
}

/** Makes a step wait for an emptying that is there. None is added: how a fuel system is emptied is the vehicle maker's to say. */
export function waitForEmptying(plan: Plan, target: Operation, task: string): Fix | undefined {
  const { order } = sequenceOf(plan);
  const ready = plan.operationsDoing(task).find((step) => !order.before(target, step));
  return ready && onlyAfter(plan, target, ready);
}
