import { operationsWhere } from '../../../plan/plan.ts';
import { spanOfMention, named } from '../../support/words.ts';
import { say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';

export const zoneMissing: FindingRule = {
  id: 'zone-missing',
  title: say`Dirty work without a place`,
  severity: 'warning',
  means: say`A step produces dust, sparks, water, overspray or knocks and names neither a zone nor a connector; or a connector that is opened has no zone. The step then reaches every connector, and the connector is reached by every dirty step.`,
  why: say`Without a place nobody can tell which connectors the dirt meets.`,
  whatToDo: say`Write the \`zone\` of the step, or of the connector.`,
  source: commonPractice,
  kinds: plansOnly,
  ground: 'order',
  example: {
    wrong: `operations:
  - { id: op40, do: grind }
`,
    right: `operations:
  - { id: op40, do: grind, zone: front-left }
`,
  },
  *check({ plan, lives }) {
    for (const operation of placeless(plan)) {
      yield {
        at: operation.span,
        operation: operation.id,
        message: say`${named(operation)} names no zone, so it may reach every connector of the plan. Write where it happens as \`zone: …\`.`,
      };
    }
    for (const { connector, events } of lives) {
      const opened = events.find(({ act }) => act === 'disconnect')?.operation;
      if (connector.zone !== undefined || !opened || connector.nodes.some((node) => node.entry('zone')))
        continue;
      yield {
        at: spanOfMention(opened, connector.id),
        operation: opened.id,
        connector: connector.id,
        message: say`${named(opened)} opens ${connector.id}, and nobody states where it is: every dirty step may reach it. Write its \`zone\` in the plan or the list.`,
        trace: [{ at: connector.span, message: say`${connector.id} is described here` }],
      };
    }
  },
};

const placeless = operationsWhere(
  ({ task, zones, connectors, step, bindings }) =>
    task !== undefined &&
    task.raises.length > 0 &&
    task.reach !== 'everywhere' &&
    zones.length === 0 &&
    connectors.length === 0 &&
    bindings.size === 0 &&
    step.node.partlyParsed !== true,
);
