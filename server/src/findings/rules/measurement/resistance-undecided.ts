import { quantityText } from '../../../heat/text.ts';
import { say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { plansOnly } from '../../finding.ts';
import { effectiveReadings } from '../../../sequence/readings.ts';
import { compareWithLimit, readingText } from '../../support/readings.ts';

export const resistanceUndecided: FindingRule = {
  id: 'resistance-undecided',
  title: say`Contact resistance too near its limit to decide`,
  severity: 'warning',
  page: () => ({
    means: say`The last reading of a contact resistance lies nearer to the limit than its own uncertainty: neither accepted nor rejected.`,
    why: say`A reading is never exact. Inside the guard band the true value may lie on either side of the limit, and a fault that is let through becomes a heater.`,
    whatToDo: say`Measure again with a smaller uncertainty (four wires, clean probes, a higher current, reversed and averaged), or clean the contacts.`,
    source: say`JCGM 106:2012, 8.3: guard band w = U (k = 2); accepted only up to limit − U. Other rules are in use (ISO 14253-1:2017 requires 1.65 u).`,
    example: {
      wrong: `connectors:
  - { id: inverter-dc, class: high-voltage-power, zone: rear-floor, resistance: { limit: 0.8 mΩ } }
operations: []
measurements:
  - { connector: inverter-dc, method: four-wire, value: 0.78 mΩ, uncertainty: 0.05 mΩ }
`,
      right: `connectors:
  - { id: inverter-dc, class: high-voltage-power, zone: rear-floor, resistance: { limit: 0.8 mΩ } }
operations: []
measurements:
  - { connector: inverter-dc, method: four-wire, value: 0.78 mΩ, uncertainty: 0.01 mΩ }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'readings',
  *check({ plan }) {
    for (const reading of effectiveReadings(plan, 'contact-resistance')) {
      const connector = plan.scope.connectors.get(reading.connector.value);
      const judged = connector && compareWithLimit(reading, connector);
      if (!judged || judged.verdict !== 'undecided' || reading.method === 'two-wire') continue;
      const { limit, acceptance, rule } = judged;
      yield {
        at: reading.value.span,
        connector: connector.id,
        message: say`${connector.id} measures ${readingText(reading)}, too near its limit of ${limit.text} to decide: only up to ${quantityText(acceptance, 'Ω')} is accepted (guard band = U, JCGM 106). Measure with less uncertainty, or have the contacts cleaned as the vehicle maker specifies.`,
        trace: [{ at: limit.span, message: say`the limit: ${limit.text}; ${rule}` }],
      };
    }
  },
};
