import type { HeatEstimate } from '../../heat/estimate.ts';
import type { HeatRow } from '../../heat/heat-row.ts';
import { estimateConnectorHeat, lastContactReading } from '../../heat/connector-heat.ts';
import type { Span } from '../../text/span.ts';
import { rangeOf } from '../../text/span.ts';
import { andList, say } from '../../language/phrase.ts';
import type { Phrase } from '../../language/phrase.ts';
import type { Measurement } from '../../plan/plan.ts';
import type { Connector, DutyCycle } from '../../plan/scope.ts';
import type { Quantity } from '../../plan/read.ts';
import type { CheckContext } from '../finding.ts';
import { compareWithLimit } from './readings.ts';
import type { ValuedMeasurement } from '../../sequence/readings.ts';
import { spanOfMention } from './words.ts';

/** A connector that the plan opens, closes or measures, with the resistance used for its heat estimate. */
export interface ConnectorHeat {
  readonly connector: Connector;
  readonly estimate: HeatEstimate;
  /**
   * At the measured resistance if there is one, else at the limit, the highest value that would be accepted.
   */
  readonly row: HeatRow;
  readonly basis: 'measured' | 'limit';
  readonly resistance: Quantity;
  /** As written: its expanded uncertainty, of a reading that states it. */
  readonly uncertainty: Quantity | undefined;
  /** Where to report it. */
  readonly place: Span;
}

/**
 * Yields the heat of each connector, skipping readings that have a finding of their own (two-wire, or
 * rejected against the limit).
 */
export function* connectorHeats({ plan, lives, isActive: counts }: CheckContext): Generator<ConnectorHeat> {
  for (const { connector, operations, unsure } of lives) {
    const reading = lastContactReading(plan, connector.id);
    if (reading && isRefused(reading, connector, counts)) continue;
    const resistance = reading?.value ?? connector.resistance.limit;
    if (!resistance || unsure || (!reading && operations.length === 0)) continue;
    const basis = reading ? 'measured' : 'limit';
    const estimate = estimateConnectorHeat(plan, connector);
    const row = estimate.rows.find(({ key }) => key === basis);
    if (!row) continue;
    const own = rangeOf(resistance.span).uri === plan.uri;
    const place = own ? resistance.span : spanOfMention(operations[0]!, connector.id);
    yield { connector, estimate, row, basis, resistance, uncertainty: reading?.uncertainty, place };
  }
}

/** "inverter-dc at its 0.31 mΩ ± 0.02 mΩ", "inverter-dc at its limit of 0.8 mΩ". */
export const atResistance = ({ connector, basis, resistance, uncertainty }: ConnectorHeat): Phrase =>
  basis === 'measured'
    ? say`${connector.id} at its ${resistance.text}${uncertainty ? ` ± ${uncertainty.text}` : ''}`
    : say`${connector.id} at its limit of ${resistance.text}`;

/** "480 A for 10 s, 60 A for 90 s, and 3 more". */
export function cycleText({ phases }: DutyCycle): Phrase {
  const first = phases.slice(0, 4).map(({ current, time }) => say`${current.text} for ${time.text}`);
  return andList(phases.length > 4 ? [...first, say`${phases.length - 4} more`] : first);
}

function isRefused(reading: Measurement, connector: Connector, counts: CheckContext['isActive']): boolean {
  if (reading.method === 'two-wire') return true;
  const judged = reading.value && compareWithLimit(reading as ValuedMeasurement, connector);
  return judged?.verdict === 'rejected' && counts('resistance-high', { connector: connector.id });
}
