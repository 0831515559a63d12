import { burnsRefrigerant } from '../../../plan/tables/needs.ts';
import { historiesWhere } from '../../../sequence/lives.ts';
import { stepsAtFullLines } from '../../support/lines.ts';
import { someOf } from '../../support/needs.ts';
import { orderOrAdd } from '../../support/mending.ts';
import { named } from '../../support/words.ts';
import { say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { plansOnly } from '../../finding.ts';

export const heatAtLine: FindingRule = {
  id: 'heat-at-line',
  title: say`Welding or brazing beside a line that holds refrigerant`,
  severity: 'error',
  means: say`A step welds or brazes in the zone of a refrigerant line whose circuit is not certain to be recovered.`,
  why: say`Heat bursts a line under pressure, and a flame turns escaping refrigerant into poisonous, corrosive gas.`,
  whatToDo: say`Have a certified person recover the refrigerant before the welding, as the vehicle maker specifies.`,
  source: say`common practice; a maker of R134a and R1234yf names hydrogen fluoride as a product of their decomposition at very hot surfaces and flames`,
  kinds: plansOnly,
  ground: 'order',
  example: {
    wrong: `connectors:
  - { id: condenser-hose, class: fluid-line, zone: motor-bay, medium: refrigerant }
operations:
  - { id: op50, do: braze, zone: motor-bay }
`,
    right: `connectors:
  - { id: condenser-hose, class: fluid-line, zone: motor-bay, medium: refrigerant }
operations:
  - { id: op10, do: recover-refrigerant }
  - { id: op50, do: braze, zone: motor-bay }
`,
  },
  *check({ plan, sequence }) {
    for (const [step, ids] of stepsAtFullLines(plan, sequence, refrigerantLines(plan), burnsRefrigerant)) {
      yield {
        at: step.span,
        operation: step.id,
        ...(ids.length === 1 ? { connector: ids[0]! } : {}),
        message: say`${named(step)} heats the place of ${someOf(ids)}, and the refrigerant is not certain to be recovered: a heated line bursts, and burnt refrigerant is poison. Have a certified person recover the refrigerant before ${step.id}.`,
        fixes: () => [
          orderOrAdd(
            plan,
            step,
            'recover-refrigerant',
            say`Recover the refrigerant before ${step.planStep.id}`,
          ),
        ],
      };
    }
  },
};

const refrigerantLines = historiesWhere(
  ({ connector, unsure }) =>
    !unsure && connector.class === 'fluid-line' && connector.medium === 'refrigerant',
);
