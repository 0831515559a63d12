import { say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { plansOnly } from '../../finding.ts';
import { effectiveReadings } from '../../../sequence/readings.ts';

export const twoWire: FindingRule = {
  id: 'two-wire',
  title: say`Milliohms measured with two wires`,
  severity: 'warning',
  page: () => ({
    means: say`The contact resistance of a connector was read with two wires.`,
    why: say`With two wires the meter also reads its own leads and probe tips. They add about a tenth of an ohm, a hundred times the contact: 0.1 Ω behind leads of 0.1 Ω reads 0.2 Ω.`,
    whatToDo: say`Measure again with four wires: two carry the current, two read the voltage at the contact itself.`,
    source: say`Four-terminal sensing (texts on electrical measurement); IEC 60512-2-1 and ASTM B539 measure contact resistance by current and voltage leads of their own.`,
    example: {
      wrong: `operations: []
measurements:
  - { connector: inverter-dc, method: two-wire, value: 0.2 Ω }
`,
      right: `operations: []
measurements:
  - { connector: inverter-dc, method: four-wire, value: 0.31 mΩ }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'readings',
  *check({ plan }) {
    for (const { method, connector, value, node } of effectiveReadings(plan, 'contact-resistance')) {
      if (method !== 'two-wire') continue;
      const limit = plan.scope.connectors.get(connector.value)?.resistance.limit;
      yield {
        at: node.get('method')?.span ?? value.span,
        connector: connector.value,
        message: say`The ${value.text} of ${connector.value} was read with two wires, so it includes the meter leads${limit ? say` and says nothing about its limit of ${limit.text}` : ''}. Measure again with four wires.`,
        ...(limit ? { trace: [{ at: limit.span, message: say`the limit: ${limit.text}` }] } : {}),
      };
    }
  },
};
