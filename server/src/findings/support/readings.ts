import { copperFactor, copperFactorHolds } from '../../heat/conductor.ts';
import { judge } from '../../heat/uncertainty.ts';
import type { Judgement } from '../../heat/uncertainty.ts';
import type { Measurement, Plan } from '../../plan/plan.ts';
import type { Quantity } from '../../plan/read.ts';
import type { Connector } from '../../plan/scope.ts';

/** A reading that has a value. */
export interface ValuedMeasurement extends Measurement {
  readonly value: Quantity;
}

/** The effective readings: for several of one kind at one connector, the last one in the text. */
export function effectiveReadings(plan: Plan, kind: Measurement['kind']): ValuedMeasurement[] {
  const last = new Map<string, ValuedMeasurement>();
  for (const one of plan.measurements) {
    if (one.kind === kind && one.value) last.set(one.connector.value, one as ValuedMeasurement);
  }
  return [...last.values()];
}

/** "0.31 mΩ ± 0.02 mΩ". */
export const readingText = ({ value, uncertainty }: ValuedMeasurement): string =>
  uncertainty ? `${value.text} ± ${uncertainty.text}` : value.text;

export interface AgainstLimit extends Judgement {
  readonly limit: Quantity;
  /** The value compared, in Ω: converted to the limit's temperature if both temperatures are given. */
  readonly compared: number;
  readonly converted: boolean;
}

/**
 * A contact reading against the connector's limit, undefined where there is none. Where both temperatures are
 * given the reading is converted by the copper line of IEC 60028: right for the metal it holds, an
 * approximation for the contact. Outside the range of that line, the reading is compared unconverted.
 */
export function compareWithLimit(reading: ValuedMeasurement, connector: Connector): AgainstLimit | undefined {
  const { limit, at: reference } = connector.resistance;
  if (!limit) return undefined;
  const converted =
    reading.at !== undefined &&
    reference !== undefined &&
    reading.at.si !== reference.si &&
    [reading.at, reference].every(({ si }) => copperFactorHolds(si));
  const factor = converted ? copperFactor(reference.si) / copperFactor(reading.at.si) : 1;
  const compared = reading.value.si * factor;
  const uncertainty = reading.uncertainty && Math.abs(reading.uncertainty.si) * factor;
  return { ...judge(compared, uncertainty, limit.si), limit, compared, converted };
}
