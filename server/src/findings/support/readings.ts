import { copperFactor, copperFactorHolds } from '../../heat/conductor.ts';
import { judge } from '../../heat/uncertainty.ts';
import type { Judgement } from '../../heat/uncertainty.ts';
import type { Quantity } from '../../plan/read.ts';
import type { Connector } from '../../plan/scope.ts';
import type { ValuedMeasurement } from '../../sequence/readings.ts';

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
