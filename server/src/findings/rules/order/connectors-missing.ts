import type { ListNode, ScalarNode } from '../../../document/node.ts';
import type { Operation } from '../../../plan/operations.ts';
import { operationsWhere } from '../../../plan/plan.ts';
import type { Bindings } from '../../../plan/read.ts';
import { handling } from '../../../plan/tables/tasks.ts';
import { named } from '../../support/words.ts';
import { say } from '../../../language/phrase.ts';
import type { Phrase } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';

export const connectorsMissing: FindingRule = {
  id: 'connectors-missing',
  title: say`A step that handles connectors and names none`,
  severity: 'error',
  page: () => ({
    means: say`A step disconnects, covers, uncovers, reconnects, locks or measures, and names no connector; or \`connectors\` of any step is an empty list.`,
    why: say`Nothing that the step opens is followed: no cover, no closing and no proof is required, and a measurement that names nothing proves nothing. An empty list is a name that somebody meant to fill in: a look or a tug without a name counts for the whole vehicle.`,
    whatToDo: say`Name the connectors under \`connectors\`.`,
    source: commonPractice,
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
  }),
  kinds: plansOnly,
  ground: 'order',
  *check({ plan }) {
    for (const operation of nameless(plan)) {
      yield {
        at: operation.span,
        operation: operation.id,
        severity: operation.taskId === 'disconnect' ? 'error' : 'warning',
        message: messageOf(operation),
      };
    }
  },
};

const messageOf = (operation: Operation): Phrase =>
  operation.taskId === 'disconnect'
    ? say`${named(operation)} names no connector, so nobody follows what it opens. Name each one under \`connectors\`.`
    : handling.has(operation.taskId)
      ? say`${named(operation)} names no connector, so it counts for none. Name each one under \`connectors\`.`
      : say`The \`connectors\` of ${named(operation)} are an empty list, which counts for all of the vehicle or for none of it. Name each one under \`connectors\`, or take the key out.`;

const nameless = operationsWhere(({ task, taskId, connectors, step, bindings }) => {
  if (connectors.length > 0 || step.node.partlyParsed === true) return false;
  const written = step.node.get('connectors');
  if (!written || written.rejectedBySchema) return handling.has(taskId);
  return (handling.has(taskId) || task !== undefined) && isEmpty(written, bindings);
});

/** Whether a list is empty, or a parameter stands for an empty one. */
function isEmpty(written: ScalarNode<string> | ListNode<string>, bindings: Bindings): boolean {
  const items = written.kind === 'list' ? written.items : [written];
  return items.every((item) => {
    const { value } = item as ScalarNode<unknown>;
    return typeof value === 'string' && value.startsWith('$') && bindings.get(value.slice(1))?.length === 0;
  });
}
