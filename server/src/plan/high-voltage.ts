/** What may carry high voltage, by class and voltage. */
import { mapDefined } from '../base/collections.ts';
import type { Operation } from './operations.ts';
import type { Plan } from './plan.ts';
import type { Quantity } from './read.ts';
import type { Connector } from './scope.ts';
import { highVoltageAbove } from './tables/electrical-safety.ts';
import type { VoltageKind } from './tables/electrical-safety.ts';

/** Direct, unless the plan says otherwise: the traction voltage of a road vehicle is the battery's. */
export const voltageKind = ({ vehicle }: Plan): VoltageKind => vehicle?.voltageKind ?? 'direct';

/** The voltage at a connector: its own where a list states one, else the system's. */
export const voltageAt = ({ vehicle }: Plan, connector: Connector | undefined): Quantity | undefined =>
  connector?.voltage ?? vehicle?.systemVoltage;

/** The highest voltage that a step meets: that of the connectors it names, else the system's. */
export function voltageMet(plan: Plan, { connectors }: Operation): Quantity | undefined {
  const own = mapDefined(connectors, ({ value }) => voltageAt(plan, plan.scope.connectors.get(value)));
  return own.sort((a, b) => b.si - a.si)[0] ?? plan.vehicle?.systemVoltage;
}

/**
 * Whether opening this connector may open a high-voltage circuit. Assumed true unless a lower voltage is
 * stated.
 */
export function mayCarryHighVoltage(plan: Plan, connector: Connector): boolean {
  if (connector.class !== 'high-voltage-power' && connector.class !== 'interlock') return false;
  const voltage = voltageAt(plan, connector);
  return !voltage || voltage.si > highVoltageAbove[voltageKind(plan)];
}

/** Whether the vehicle may have a high-voltage system: it does not where every stated voltage is below, as with 48 V. */
export function mayHaveHighVoltage(plan: Plan): boolean {
  const limit = highVoltageAbove[voltageKind(plan)];
  const { systemVoltage } = plan.vehicle ?? {};
  if (!systemVoltage || systemVoltage.si > limit) return true;
  return [...plan.scope.connectors.values()].some(
    ({ voltage }) => voltage !== undefined && voltage.si > limit,
  );
}
