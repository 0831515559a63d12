import { quantityText, uncertainText } from '../../../heat/text.ts';
import { say } from '../../../language/phrase.ts';
import { exceeds } from '../../support/compare.ts';
import type { FindingRule } from '../../finding.ts';
import { plansOnly } from '../../finding.ts';
import { atResistance, cycleText, connectorHeats } from '../../support/heated.ts';

export const heatOverBudget: FindingRule = {
  id: 'heat-over-budget',
  title: say`More heat than the budget`,
  severity: 'warning',
  page: () => ({
    means: say`At its steady current, or on average over its duty cycle where that is more, a power connector gives off more heat than its own or the plan's heat budget: with the resistance that was measured or, before it is measured, with the highest that would be accepted.`,
    why: say`The heat of a connector in a closed cavity can only go into its own seals, its cable and the paint above it.`,
    whatToDo: say`After measuring: clean or renew the contacts as the vehicle maker specifies, and measure again. Before: ask whether limit, current and budget belong together.`,
    source: say`P = I²R, Joule's law (OpenStax College Physics). The budget is the plan's or the vehicle maker's.`,
    example: {
      wrong: `heat-budget: 15 W
connectors:
  - { id: inverter-dc, class: high-voltage-power, zone: rear-floor, current: { steady: 180 A } }
operations: []
measurements:
  - { connector: inverter-dc, method: four-wire, value: 0.7 mΩ }
`,
      right: `heat-budget: 15 W
connectors:
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
      const budget = connector.heatBudget ?? subject.plan.heatBudget;
      const { steady, dutyCycle } = connector.current;
      const { forBudget, forCycleBudget } = estimate.largestResistance;
      // Use the more demanding of the two cases.
      const cycled = dutyCycle && (row.cycle ?? 0) > (row.steady ?? 0);
      const heat = cycled ? row.cycle : row.steady;
      const current = cycled ? dutyCycle : steady;
      if (!budget || !current || heat === undefined || !exceeds(heat, budget.si)) continue;
      const room = cycled ? forCycleBudget : forBudget;
      const given = uncertainText(heat, row.uncertainties?.[cycled ? 'cycle' : 'steady'], 'W');
      const when = cycled
        ? say`on average over its duty cycle (${quantityText(estimate.cycle!.rms, 'A')} RMS)`
        : say`at ${steady!.text}`;
      yield {
        at: place,
        connector: connector.id,
        message: say`${atResistance(connectorHeat)} gives off ${given} ${when}, more than its heat budget of ${budget.text}${room === undefined ? '' : say`; up to ${quantityText(room, 'Ω')} would stay within it`}. ${basis === 'measured' ? say`Clean or renew the contacts as the vehicle maker specifies, and measure again.` : say`Ask the vehicle maker whether limit, current and budget belong together.`}`,
        trace: [
          { at: budget.span, message: say`the heat budget: ${budget.text}` },
          {
            at: current.span,
            message: cycled
              ? say`the duty cycle: ${cycleText(dutyCycle)}`
              : say`the steady current: ${steady!.text}`,
          },
        ],
      };
    }
  },
};
