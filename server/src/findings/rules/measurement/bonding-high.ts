import { standards } from '../../../base/standards.ts';
import { judge } from '../../../heat/uncertainty.ts';
import { say } from '../../../language/phrase.ts';
import { bondingBelow } from '../../../plan/tables/electrical-safety.ts';
import type { FindingRule } from '../../finding.ts';
import { plansOnly } from '../../finding.ts';
import { scopeOfVehicleRules } from '../../support/high-voltage.ts';
import { effectiveReadings } from '../../../sequence/readings.ts';
import { readingText } from '../../support/readings.ts';

export const bondingHigh: FindingRule = {
  id: 'bonding-high',
  title: say`Bonding resistance too high`,
  severity: 'error',
  page: () => ({
    means: say`The last reading of a bonding resistance is not below 0.1 Ω, or too near to it to decide.`,
    why: say`Bonding keeps every metal part that a person can touch at the same potential as the vehicle body. Paint under an earth (ground) point is enough to lose that, and nobody sees it.`,
    whatToDo: say`Clean the contact to bare metal, tighten it as the vehicle maker specifies, and measure again with at least 0.2 A.`,
    source: say`${standards.r100}, 5.1.2.2 (below 0.1 Ω, measured with at least 0.2 A). ${scopeOfVehicleRules}`,
    example: {
      wrong: `operations: []
measurements:
  - { connector: inverter-dc, kind: bonding, value: 0.3 Ω }
`,
      right: `operations: []
measurements:
  - { connector: inverter-dc, kind: bonding, value: 4 mΩ }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'readings',
  *check({ plan }) {
    for (const reading of effectiveReadings(plan, 'bonding')) {
      const { connector, value, uncertainty } = reading;
      const { verdict, rule } = judge(value.si, uncertainty && Math.abs(uncertainty.si), bondingBelow);
      // The rule says "below": so a reading of exactly 0.1 Ω fails.
      const high = verdict === 'rejected' || (!uncertainty && value.si >= bondingBelow);
      if (!high && verdict === 'accepted') continue;
      yield {
        at: value.span,
        connector: connector.value,
        severity: high ? 'error' : 'warning',
        message: high
          ? say`The bonding at ${connector.value} measures ${readingText(reading)}, not below ${bondingBelow} Ω (UN R100): a metal part may become live. Clean to bare metal, tighten and measure again.`
          : say`The bonding at ${connector.value} measures ${readingText(reading)}, too near ${bondingBelow} Ω (UN R100) to decide. Measure with less uncertainty, or clean the contact.`,
        trace: [{ at: reading.connector.span, message: rule }],
      };
    }
  },
};
