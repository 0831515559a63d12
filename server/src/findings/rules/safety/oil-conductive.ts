import { say } from '../../../language/phrase.ts';
import { isTractionDriven, mayHaveHighVoltage } from '../../../plan/high-voltage.ts';
import { named } from '../../support/words.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';

export const oilConductive: FindingRule = {
  id: 'oil-conductive',
  title: say`An oil that may conduct in the refrigerant circuit`,
  severity: 'error',
  page: () => ({
    means: say`A step that fills refrigerant uses an oil or another fluid of the rate sheet that is not stated to be non-conductive, on a vehicle with high voltage. On a hybrid, whose compressor may be driven by a belt, it is a warning.`,
    why: say`In an electric compressor the oil runs around windings at traction voltage: a little of the wrong oil takes the insulation away, and what is left in a service hose is enough.`,
    whatToDo: say`Use only the oil that the vehicle maker specifies, from equipment that carries no other. State \`non-conductive: true\` of that oil in the rate sheet.`,
    source: commonPractice,
    example: {
      wrong: `operations:
  - { id: op20, do: fill-refrigerant, using: belt-oil }
`,
      right: `operations:
  - { id: op20, do: fill-refrigerant, using: compressor-oil }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'names',
  *check({ plan }) {
    if (!mayHaveHighVoltage(plan) || !isTractionDriven(plan)) return;
    const drive = plan.vehicle?.node.get('propulsion')?.value;
    for (const step of plan.operationsDoing('fill-refrigerant')) {
      for (const { value } of step.using) {
        const fluid = plan.scope.consumables.get(value);
        if (!fluid || fluid.nonConductive || !intoTheCircuit.has(fluid.kind)) continue;
        yield {
          at: step.span,
          operation: step.id,
          severity: drive === 'battery-electric' || drive === 'fuel-cell' ? 'error' : 'warning',
          message: say`${named(step)} puts ${value} into the refrigerant circuit, and the rate sheet does not state that ${value} does not conduct: in an electric compressor conductive oil bridges the traction voltage. Use the oil that the vehicle maker specifies, and state \`non-conductive: true\` of that oil in the rate sheet.`,
        };
      }
    }
  },
};

const intoTheCircuit: ReadonlySet<string> = new Set(['oil', 'cleaner', 'other']);
