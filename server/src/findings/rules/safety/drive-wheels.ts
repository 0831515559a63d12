import { named } from '../../support/words.ts';
import { say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { plansOnly } from '../../finding.ts';

export const driveWheels: FindingRule = {
  id: 'drive-wheels',
  title: say`Drive wheels that may turn the motor`,
  severity: 'warning',
  page: () => ({
    means: say`The vehicle is towed or rolled, or its wheels are aligned, and the step does not say that the drive wheels are lifted or free to turn without the motor.`,
    why: say`Drive wheels that turn generate voltage in the motor, also with the battery isolated.`,
    whatToDo: say`Lift the drive wheels or free them as the vehicle maker specifies, and write \`drive-wheels: lifted\` or \`free\`.`,
    source: say`HSE, Electric and hybrid vehicles (no towing unless determined safe: moving drive wheels generate voltage)`,
    example: {
      wrong: `operations:
  - { id: op20, do: tow }
`,
      right: `operations:
  - { id: op20, do: tow, drive-wheels: lifted }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'order',
  *check({ plan }) {
    for (const task of ['tow', 'roll', 'align-wheels']) {
      for (const operation of plan.operationsDoing(task)) {
        if (operation.step.node.entry('drive-wheels')) continue;
        yield {
          at: operation.span,
          operation: operation.id,
          severity: task === 'tow' ? 'warning' : 'information',
          message: say`${named(operation)} may turn the drive wheels, and turning drive wheels generate voltage. Lift or free them as the vehicle maker specifies, and write \`drive-wheels: lifted\` or \`free\`.`,
        };
      }
    }
  },
};
