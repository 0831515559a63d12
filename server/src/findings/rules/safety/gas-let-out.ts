import { say } from '../../../language/phrase.ts';
import { concernsGas, letsOutByRow } from '../../../plan/gas.ts';
import type { Operation } from '../../../plan/operations.ts';
import { operationsWhere } from '../../../plan/plan.ts';
import { readText } from '../../../plan/read.ts';
import { letsGasOut } from '../../../plan/tables/needs.ts';
import { named } from '../../support/words.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';

export const gasLetOut: FindingRule = {
  id: 'gas-let-out',
  title: say`Hydrogen or gas is let out, and nobody says how`,
  severity: 'warning',
  page: () => ({
    means: say`A step empties the fuel system or relieves the pressure of a line that holds hydrogen, natural gas or LPG, or of a fuel-cell vehicle, and names no source of the vehicle maker's procedure for that (\`maker-procedure\`).`,
    why: say`Gas that is let out under a roof gathers there or in a pit, and a switch, a heater or a lamp lights it. A hydrogen flame can hardly be seen.`,
    whatToDo: say`Have a person trained for gas vehicles let the gas out, outdoors or where the ventilation and the gas detection are made for it, with no flame, switch or heater near, as the vehicle maker and local rules specify. Name the source of that procedure as \`maker-procedure\` in the step.`,
    source: commonPractice,
    example: {
      wrong: `connectors:
  - { id: tank-line, class: fluid-line, medium: hydrogen, zone: rear-floor }
operations:
  - { id: op20, do: relieve-pressure, connectors: [tank-line] }
`,
      right: `connectors:
  - { id: tank-line, class: fluid-line, medium: hydrogen, zone: rear-floor }
sources:
  - { id: S1, title: Hydrogen system of the Kestrel (invented), publisher: vehicle-maker, consulted: 2027-02-03 }
operations:
  - { id: op20, do: relieve-pressure, connectors: [tank-line], maker-procedure: S1 }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'safety',
  *check({ plan }) {
    for (const step of lettingOut(plan)) {
      if (!concernsGas(plan, idsOf(step)) || readText(step.step.node.get('maker-procedure'), step.bindings))
        continue;
      yield {
        at: step.span,
        operation: step.id,
        message: say`${named(step)} lets gas out, and no source says how and where: gas gathers under a roof or in a pit and explodes at a spark. Have a person trained for gas vehicles do it in the open or with the ventilation that the vehicle maker and local rules specify, and name the source as \`maker-procedure: …\` in ${step.id}.`,
      };
    }
  },
};

const idsOf = ({ connectors }: Operation): string[] => connectors.map(({ value }) => value);
const lettingOut = operationsWhere(
  (step) => letsGasOut.has(step.taskId) || letsOutByRow(step.task, idsOf(step)),
);
