import { say } from '../../../language/phrase.ts';
import { classRules } from '../../../plan/tables/classes.ts';
import type { FindingRule } from '../../finding.ts';
import { plansOnly } from '../../finding.ts';

export const classContradicted: FindingRule = {
  id: 'class-contradicted',
  title: say`Two files give one connector different classes`,
  severity: 'error',
  means: say`A connector has one class in the plan and another one in a list that the plan uses. The plan's counts.`,
  why: say`The class decides what must be safe before the connector is opened: a high-voltage plug that the plan calls a sensor is opened live without a word.`,
  whatToDo: say`Find out which class is right, and leave it in one place only.`,
  source: say`The plan and the connector lists that it uses.`,
  kinds: plansOnly,
  ground: 'names',
  example: {
    wrong: `connectors:
  - { id: motor-plug, class: sensor, zone: motor-bay }
uses: [./example.rate-sheet.yaml, ./example.connector-list.yaml]
operations:
  - { id: op10, do: consult }
`,
    right: `connectors:
  - { id: motor-plug, zone: motor-bay }
uses: [./example.rate-sheet.yaml, ./example.connector-list.yaml]
operations:
  - { id: op10, do: consult }
`,
  },
  *check({ plan }) {
    for (const { id, nodes, span } of plan.scope.connectors.values()) {
      if (nodes.length < 2) continue;
      const classes = nodes.flatMap((node) => node.get('class') ?? []);
      const [counts] = classes;
      const other = classes.find(({ value }) => value !== counts!.value);
      if (!counts || !other) continue;
      yield {
        at: counts.span.origin.uri === plan.uri ? counts.span : span,
        connector: id,
        message: say`Two files disagree about ${id}: ${classRules[counts.value].words} here, ${classRules[other.value].words} in the other, and the class decides what must be made safe first. Find out which is right, and write the class in one place only.`,
        trace: [{ at: other.span, message: say`the other class: ${other.value}` }],
      };
    }
  },
};
