import { say } from '../../../language/phrase.ts';
import { classRules } from '../../../plan/tables/classes.ts';
import type { Connector } from '../../../plan/scope.ts';
import type { FindingRule } from '../../finding.ts';
import { plansOnly } from '../../finding.ts';

const isHighVoltage = (node: Connector['nodes'][number]): boolean =>
  node.get('class')?.value === 'high-voltage-power';

export const classContradicted: FindingRule = {
  id: 'class-contradicted',
  title: say`Two files give one connector different classes`,
  severity: 'error',
  means: say`A connector has one class in the plan and another one in a list that the plan uses. The plan's counts. Or one file says that opening it is the isolation (\`isolates: true\`), and another that gives its high-voltage class does not.`,
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
      // Whoever says that opening it isolates lets it be opened before the proof.
      const isolating = nodes.find((node) => node.get('isolates')?.value === true);
      const against = isolating && nodes.find((node) => node !== isolating && isHighVoltage(node));
      if (!other && isolating && against && against.get('isolates')?.value !== true) {
        const stated = isolating.get('isolates')!;
        yield {
          at: stated.span.origin.uri === plan.uri ? stated.span : span,
          connector: id,
          message: say`One file says that opening ${id} is the isolation, and another file that describes ${id} does not, so ${id} is opened here without proof that it is dead. Find out which is right, and write \`isolates\` in both or in none.`,
          trace: [{ at: against.get('id')!.span, message: say`the other file: ${id}` }],
        };
      }
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
