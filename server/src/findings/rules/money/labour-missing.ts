import { fillInMarker, labourFields, owedLabour } from '../../../costing/owed.ts';
import { say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';
import { addLine, fix } from '../../support/mending.ts';

export const labourMissing: FindingRule = {
  id: 'labour-missing',
  title: say`Work that is not billed`,
  severity: 'warning',
  page: () => ({
    means: say`A step that is seldom part of the published time of the surrounding operation has no labour line.`,
    why: say`Without the line nobody is paid for the work, and then nobody does it.`,
    whatToDo: say`Add the line with the shop's own time, its basis and its reference; a line of zero hours with \`basis: included\` says that it is paid elsewhere.`,
    source: commonPractice,
    example: {
      wrong: `operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
`,
      right: `operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
labour:
  - { for: op20, task: disconnect, hours: 0.3, rate: electrical, basis: not-included }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'lines',
  *check({ plan, isActive: counts }) {
    const unpaid = owedLabour(plan).filter(
      ({ written, step: { node } }) => written.length === 0 && !node.partlyParsed,
    );
    for (const owed of unpaid) {
      const { step, task, hours } = owed;
      // A line that names the step with another task is reported by `labour-orphan` instead.
      if (owed.misplaced.length > 0 && counts('labour-orphan', { operation: step.id })) continue;
      const doing = step.follows ? say`following ${task}` : (plan.scope.tasks.get(task)?.doing ?? task);
      yield {
        at: step.span,
        operation: step.id,
        message: say`${step.id} (${doing}) has no labour line, so this work is not billed. Add one${hours === undefined ? say`; the rate sheet has no time for it, so fill in the hours` : say` (${String(hours)} h by the rate sheet)`}.`,
        fixes: () => [
          fix(
            hours === undefined
              ? say`Add the labour line of ${step.id}, hours to be filled in (${fillInMarker})`
              : say`Add the labour line of ${step.id} (${String(hours)} h)`,
            addLine(plan, 'labour', labourFields(plan, owed)),
          ),
        ],
      };
    }
  },
};
