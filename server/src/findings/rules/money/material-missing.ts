import { materialFields, owedMaterials } from '../../../costing/owed.ts';
import { say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';
import { addLine, fix } from '../../support/mending.ts';

export const materialMissing: FindingRule = {
  id: 'material-missing',
  title: say`Material that is not billed`,
  severity: 'warning',
  page: () => ({
    means: say`A step uses a consumable that the rate sheet bills, and the plan has no material line for it.`,
    why: say`Covers, tape, bags, seals and cleaner are bought for this repair; without a line the shop gives them away.`,
    whatToDo: say`Add the line with the quantity used.`,
    source: commonPractice,
    example: {
      wrong: `operations:
  - { id: op20, do: disconnect, connectors: [park-sensor] }
  - { id: op30, do: cover, connectors: [park-sensor], using: orange-tape }
`,
      right: `operations:
  - { id: op20, do: disconnect, connectors: [park-sensor] }
  - { id: op30, do: cover, connectors: [park-sensor], using: orange-tape }
materials:
  - { for: op30, item: orange-tape, quantity: 2 }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'lines',
  *check({ plan }) {
    for (const owed of owedMaterials(plan)) {
      if (owed.written.length > 0 || owed.step.node.partlyParsed) continue;
      const { step, item, quantity } = owed;
      const { unit } = plan.scope.consumables.get(item)!;
      const amount = unit ? say`${quantity} ${unit}` : quantity;
      yield {
        at: step.span,
        operation: step.id,
        lacks: [item],
        message: say`${step.id} uses ${item}, and no material line bills it. Add one (${amount}).`,
        fixes: () => [
          fix(
            say`Add the material line of ${step.id}: ${String(quantity)} × ${item}`,
            addLine(plan, 'materials', materialFields(owed)),
          ),
        ],
      };
    }
  },
};
