/** What may carry high voltage, by class and voltage. */
import { mapDefined } from '../base/collections.ts';
import type { Operation } from './operations.ts';
import type { Plan } from './plan.ts';
import type { Quantity } from './read.ts';
import type { Connector } from './scope.ts';
import { highVoltageAbove, insulationPerVolt, insulationPerVoltJoined } from './tables/electrical-safety.ts';
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

/** The connectors that a step names and that may carry high voltage. */
export const highVoltageOf = (plan: Plan, { connectors }: Operation): readonly string[] =>
  connectors.flatMap(({ value }) => {
    const connector = plan.scope.connectors.get(value);
    return connector && mayCarryHighVoltage(plan, connector) ? [value] : [];
  });

/** Whether opening a connector is the isolation, as of a service plug. */
export const isolates = ({ scope }: Plan, id: string): boolean => scope.connectors.get(id)?.isolates === true;

/** The steps of a task that name such a connector. */
export const stepsAtIsolating = (plan: Plan, task: string): readonly Operation[] =>
  plan
    .operationsDoing(task)
    .filter(({ connectors }) => connectors.some(({ value }) => isolates(plan, value)));

/** Drives with a traction battery or a traction voltage; a mild hybrid has 48 V. */
const tractionDrives: ReadonlySet<string> = new Set([
  'battery-electric',
  'plug-in-hybrid',
  'hybrid',
  'fuel-cell',
]);

/** Whether the vehicle is stated to be driven by traction voltage. */
export const isTractionDriven = ({ vehicle }: Plan): boolean => {
  const propulsion = vehicle?.node.get('propulsion')?.value;
  return propulsion !== undefined && tractionDrives.has(propulsion);
};

/** Whether the vehicle may have a high-voltage system: it does not where every stated voltage is below, as with 48 V. */
export function mayHaveHighVoltage(plan: Plan): boolean {
  const limit = highVoltageAbove[voltageKind(plan)];
  const { systemVoltage } = plan.vehicle ?? {};
  if (!systemVoltage || systemVoltage.si > limit) return true;
  return [...plan.scope.connectors.values()].some(
    ({ voltage }) => voltage !== undefined && voltage.si > limit,
  );
}

/** The lowest insulation resistance of a connector: the vehicle maker's own value or the regulation's, the stricter. */
export interface InsulationLimit {
  /** Ω. */
  readonly ohms: number;
  /** The vehicle maker's value, if that is the stricter; otherwise the regulation's terms apply. */
  readonly stated: Quantity | undefined;
  readonly byRule: InsulationRule | undefined;
}

/** A limit by UN R100, 5.1.3: so many ohms per volt of the working voltage. */
export interface InsulationRule {
  readonly perVolt: number;
  readonly voltage: Quantity;
}

/** Returns undefined where no limit is stated and the voltage is unknown or no high voltage. */
export function insulationLimit(plan: Plan, connector: Connector | undefined): InsulationLimit | undefined {
  const stated = connector?.insulationLimit;
  const kind = voltageKind(plan);
  const voltage = voltageAt(plan, connector);
  const perVolt = plan.vehicle?.acSide === 'unprotected' ? insulationPerVoltJoined : insulationPerVolt[kind];
  const byRule = voltage && voltage.si > highVoltageAbove[kind] ? { perVolt, voltage } : undefined;
  const least = byRule ? byRule.perVolt * byRule.voltage.si : 0;
  if (stated && stated.si >= least) return { ohms: stated.si, stated, byRule };
  return byRule && { ohms: least, stated: undefined, byRule };
}

/**
 * The rule for joined DC and AC circuits without further protection, where nobody says whether it applies. Undefined
 * where it does apply already, or is said not to.
 */
export function unstatedJoinedRule(plan: Plan, connector: Connector | undefined): InsulationRule | undefined {
  const { byRule } = insulationLimit(plan, connector) ?? {};
  return byRule && plan.vehicle?.acSide === undefined && byRule.perVolt < insulationPerVoltJoined
    ? { ...byRule, perVolt: insulationPerVoltJoined }
    : undefined;
}
