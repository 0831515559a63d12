import { operationsWhere } from '../../../plan/plan.ts';
import { handling } from '../../../plan/tables/tasks.ts';
import { named } from '../../support/words.ts';
import { say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';

export const connectorsMissing: FindingRule = {
  id: 'connectors-missing',
  title: say`A step that handles connectors and names none`,
  severity: 'error',
  means: say`A step disconnects, covers, uncovers, reconnects, locks or measures, and names no connector.`,
  why: say`Nothing that the step opens is followed: no cover, no closing and no proof is required, and a measurement that names nothing proves nothing.`,
  whatToDo: say`Name the connectors under \`connectors\`.`,
  source: commonPractice,
  kinds: plansOnly,
  ground: 'order',
  example: {
    wrong: `operations:
  - { id: op20, do: disconnect }
`,
    right: `operations:
  - { id: op10, do: isolate }
  - { id: op12, do: lock-out }
  - { id: op14, do: wait, time: 5 min }
  - { id: op16, do: prove-dead, meter-proven: before-and-after }
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
`,
  },
  *check({ plan }) {
    for (const operation of nameless(plan)) {
      yield {
        at: operation.span,
        operation: operation.id,
        severity: operation.taskId === 'disconnect' ? 'error' : 'warning',
        message:
          operation.taskId === 'disconnect'
            ? say`${named(operation)} names no connector, so nobody follows what it opens. Name each one under \`connectors\`.`
            : say`${named(operation)} names no connector, so it counts for none. Name each one under \`connectors\`.`,
      };
    }
  },
};

const nameless = operationsWhere(
  ({ taskId, connectors, step, bindings }) =>
    handling.has(taskId) && connectors.length === 0 && bindings.size === 0 && step.node.partlyParsed !== true,
);
