import { quantityText } from '../../../heat/text.ts';
import { say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { plansOnly } from '../../finding.ts';
import { effectiveReadings } from '../../../sequence/readings.ts';
import { compareWithLimit, readingText } from '../../support/readings.ts';

export const resistanceHigh: FindingRule = {
  id: 'resistance-high',
  title: say`Contact resistance above its limit`,
  severity: 'error',
  page: () => ({
    means: say`The last reading of a contact resistance is above the limit of its connector by more than its uncertainty; without a stated uncertainty the reading alone decides.`,
    why: say`The heat of a contact grows with its resistance and with the square of the current. Above the limit the vehicle maker takes no responsibility for the connector.`,
    whatToDo: say`Open, clean or renew the contacts as the vehicle maker specifies, close and measure again. A later reading replaces an earlier one.`,
    source: say`JCGM 106:2012, 8.3 (rejected when the reading is above the limit by more than its expanded uncertainty U, k = 2); temperature by IEC 60028 where both temperatures are given. The limit itself is the vehicle maker's.`,
    example: {
      wrong: `connectors:
  - { id: inverter-dc, class: high-voltage-power, zone: rear-floor, resistance: { limit: 0.8 mΩ } }
operations: []
measurements:
  - { connector: inverter-dc, method: four-wire, value: 0.95 mΩ, uncertainty: 0.05 mΩ }
`,
      right: `connectors:
  - { id: inverter-dc, class: high-voltage-power, zone: rear-floor, resistance: { limit: 0.8 mΩ } }
operations: []
measurements:
  - { connector: inverter-dc, method: four-wire, value: 0.31 mΩ, uncertainty: 0.02 mΩ }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'readings',
  *check({ plan }) {
    for (const reading of effectiveReadings(plan, 'contact-resistance')) {
      const connector = plan.scope.connectors.get(reading.connector.value);
      const judged = connector && compareWithLimit(reading, connector);
      // A two-wire reading includes the leads, so a value above the limit proves nothing; it has its own
      // finding.
      if (!judged || judged.verdict !== 'rejected' || reading.method === 'two-wire') continue;
      const { limit, compared, converted, rule } = judged;
      const at = converted ? say` (${quantityText(compared, 'Ω')} at the limit's temperature)` : '';
      yield {
        at: reading.value.span,
        connector: connector.id,
        message: say`${connector.id} measures ${readingText(reading)}${at}, above its limit of ${limit.text}: it may overheat at drive current. Clean or renew the contacts as the vehicle maker specifies, close and measure again.`,
        trace: [{ at: limit.span, message: say`the limit: ${limit.text}; ${rule}` }],
      };
    }
  },
};
