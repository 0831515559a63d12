import { memoByIdentity } from '../incremental/memo.ts';
import type { Measurement, Plan } from '../plan/plan.ts';
import type { Quantity } from '../plan/read.ts';
import type { Connector } from '../plan/scope.ts';
import { readingsOn } from '../sequence/readings.ts';
import { classRules } from '../plan/tables/classes.ts';
import { awgArea } from './conductor.ts';
import { estimateHeat } from './estimate.ts';
import type { HeatEstimate, HeatInput } from './estimate.ts';

/** The contact reading that counts for a connector; the highest where the order leaves several open. */
export function lastContactReading(plan: Plan, connector: string): Measurement | undefined {
  const readings = readingsOn(plan, 'contact-resistance', connector);
  return readings.length > 1 ? [...readings].sort((a, b) => a.value.si - b.value.si).at(-1) : readings[0];
}

/** The connector's cable: its cross-section in m², and what was written. A gauge counts where no cross-section is stated. */
export function cableOf({ cable, cableGauge }: Connector): { si: number; text: string } | undefined {
  if (cable || !cableGauge) return cable;
  return { si: awgArea(cableGauge.value), text: `AWG ${cableGauge.value}` };
}

/** The heat of a connector from what the plan and its lists say about it. */
export const estimateConnectorHeat = (plan: Plan, connector: Connector): HeatEstimate =>
  estimateOf(connector, lastContactReading(plan, connector.id), connector.heatBudget ?? plan.heatBudget);

/** Several findings and the hover ask for the same estimate. */
const estimateOf = memoByIdentity(
  (connector: Connector, reading?: Measurement, budget?: Quantity): HeatEstimate => {
    const { current, resistance, thermal } = connector;
    const measured = reading?.value && {
      value: reading.value.si,
      ...(reading.uncertainty ? { uncertainty: Math.abs(reading.uncertainty.si) } : {}),
      ...(reading.at ? { at: reading.at.si } : {}),
    };
    const numbers = {
      steady: current.steady?.si,
      peak: current.peak?.si,
      peakTime: current.peakTime?.si,
      cycle: current.dutyCycle?.phases.map(({ current, time }) => ({
        current: current.si,
        duration: time.si,
      })),
      asNew: resistance.asNew?.si,
      limit: resistance.limit?.si,
      reference: resistance.at?.si,
      measured,
      plating: connector.plating,
      cableArea: cableOf(connector)?.si,
      temperatureClass: connector.temperatureClass?.si,
      budget: budget?.si,
      poles: connector.poles,
      usualPoles: connector.class && classRules[connector.class].poles,
      zone: connector.zone,
      ambient: thermal.surroundings?.si,
      thermal: {
        contactCapacity: thermal['contact-capacity']?.si,
        bodyCapacity: thermal['body-capacity']?.si,
        contactToBody: thermal['contact-to-body']?.si,
        bodyToSurroundings: thermal['body-to-surroundings']?.si,
        cableRise: thermal['cable-rise']?.si,
      },
    };
    return estimateFor(
      Object.fromEntries(Object.entries(numbers).filter(([, value]) => value !== undefined)),
    );
  },
);

/**
 * Connectors of one kind share the same inputs, within and across plans; each set of inputs is computed once.
 */
function estimateFor(input: HeatInput): HeatEstimate {
  const key = JSON.stringify(input, exactly);
  let estimate = estimates.get(key);
  if (!estimate) {
    if (estimates.size >= maxEstimates) estimates.clear();
    estimates.set(key, (estimate = estimateHeat(input)));
  }
  return estimate;
}
/** JSON cannot represent −0 or infinities. */
const exactly = (_: string, value: unknown): unknown =>
  value === 0 || (typeof value === 'number' && !Number.isFinite(value))
    ? `${Object.is(value, -0) ? '-' : ''}${value}`
    : value;
const maxEstimates = 500;
const estimates = new Map<string, HeatEstimate>();
