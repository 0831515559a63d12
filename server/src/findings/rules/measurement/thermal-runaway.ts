import { quantityText } from '../../../heat/text.ts';
import { say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { plansOnly } from '../../finding.ts';
import { atResistance, cycleText, connectorHeats } from '../../support/heated.ts';

export const thermalRunaway: FindingRule = {
  id: 'thermal-runaway',
  title: say`Contact that keeps heating`,
  severity: 'warning',
  page: () => ({
    means: say`By an estimate the contact reaches no steady temperature at its steady current or in its duty cycle: the warmer its metal, the higher its resistance, and the heat grows faster than it can leave. It holds for the resistance that was measured or, before it is measured, for the highest that would be accepted; the message says whether over the whole range of the assumptions, as assumed, or at their warm end only. Over the whole range it is an error for a measured resistance.`,
    why: say`Such a contact heats until something breaks: the lock, the insulation, or the vehicle around it.`,
    whatToDo: say`Clean or renew the contacts as the vehicle maker specifies, and measure again. Before a reading: ask the vehicle maker whether limit and current belong together, or state how the connector passes its heat on (\`thermal:\`).`,
    source: say`R = R₂₀(1 + α(T − 20 °C)) with copper's α (IEC 60028): no steady state from α·I²·R·Rth = 1 on. Two-node thermal network (lumped capacitance method, Incropera, ch. 5); the assumptions are common practice, without a published source.`,
    example: {
      wrong: `connectors:
  - { id: inverter-dc, class: high-voltage-power, zone: rear-floor, current: { steady: 180 A } }
operations: []
measurements:
  - { connector: inverter-dc, method: four-wire, value: 3 mΩ }
`,
      right: `connectors:
  - { id: inverter-dc, class: high-voltage-power, zone: rear-floor, current: { steady: 180 A } }
operations: []
measurements:
  - { connector: inverter-dc, method: four-wire, value: 0.31 mΩ }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'proof',
  perConnector: true,
  *check(subject) {
    for (const connectorHeat of connectorHeats(subject)) {
      const { connector, estimate, row, basis, place } = connectorHeat;
      const { steady, dutyCycle } = connector.current;
      const load = steady ?? dutyCycle;
      if (row.runaway === 'none' || !load) continue;
      const when = steady
        ? say`at a steady ${steady.text}`
        : say`in its duty cycle (${quantityText(estimate.cycle!.rms, 'A')} RMS)`;
      const range =
        row.runaway === 'certain' && estimate.assumptions.length > 0
          ? say`, over the whole range of what is assumed`
          : row.runaway === 'expected'
            ? say`, as assumed`
            : '';
      const measured = basis === 'measured';
      yield {
        at: place,
        connector: connector.id,
        severity: measured && row.runaway === 'certain' ? 'error' : 'warning',
        message:
          row.runaway === 'possible'
            ? say`${atResistance(connectorHeat)} may reach no steady temperature ${when}: at the warm end of what is assumed it keeps heating. ${measured ? say`Clean or renew the contacts as the vehicle maker specifies and measure again, or state the connector's own values under \`thermal:\`.` : say`State the connector's own values under \`thermal:\`, as the vehicle maker gives them.`}`
            : say`${atResistance(connectorHeat)} reaches no steady temperature ${when}${range}: it keeps heating. ${measured ? say`Clean or renew the contacts as the vehicle maker specifies, and measure again.` : say`Ask the vehicle maker whether limit and current belong together.`}`,
        trace: [
          {
            at: load.span,
            message: steady
              ? say`the steady current: ${steady.text}`
              : say`the duty cycle: ${cycleText(dutyCycle!)}`,
          },
        ],
      };
    }
  },
};
