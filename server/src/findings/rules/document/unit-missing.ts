import { rewrite } from '../../../document/edits.ts';
import { unitsOf } from '../../../document/quantity.ts';
import { say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { everyKind } from '../../finding.ts';
import { refusedQuantities, unitWords } from '../../support/units.ts';

export const unitMissing: FindingRule = {
  id: 'unit-missing',
  title: say`A number without its unit`,
  severity: 'error',
  page: () => ({
    means: say`A current, voltage, resistance, time, temperature or power is written as a bare number.`,
    why: say`0.3 mΩ and 0.3 Ω differ a thousandfold; the plan does not guess which was meant.`,
    whatToDo: say`Write the unit after the number, as in \`300 A\` or \`0.3 mΩ\`.`,
    source: say`Rule of the plan language.`,
    example: {
      wrong: `connectors:
  - { id: inverter-dc, class: high-voltage-power, zone: rear-floor, current: { steady: 180 } }
operations: []
`,
      right: `connectors:
  - { id: inverter-dc, class: high-voltage-power, zone: rear-floor, current: { steady: 180 A } }
operations: []
`,
    },
  }),
  kinds: everyKind,
  ground: 'text',
  *check({ document }) {
    for (const { mistake, quantity, key, text, written } of refusedQuantities(document)) {
      if (!written || written.unit !== '') continue;
      yield {
        at: mistake.node.span,
        message: say`${key}: ${text} has no unit, so it is ignored. Write it with one of ${unitWords(quantity)}.`,
        fixes: () =>
          unitsOf(quantity)
            .slice(0, 3)
            .map((unit) => ({
              title: say`Write ${written.digits} ${unit}`,
              safe: false,
              choice: true,
              edits: [rewrite(mistake.node, `${written.digits} ${unit}`)],
            })),
      };
    }
  },
};
