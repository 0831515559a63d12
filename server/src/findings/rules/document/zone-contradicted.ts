import { say } from '../../../language/phrase.ts';
import { classRules } from '../../../plan/tables/classes.ts';
import type { FindingRule } from '../../finding.ts';
import { plansOnly } from '../../finding.ts';
import { valueSpan } from '../../support/words.ts';

export const zoneContradicted: FindingRule = {
  id: 'zone-contradicted',
  title: say`Two files put one connector in different zones`,
  severity: 'error',
  page: () => ({
    means: say`A connector or a fluid line is in one zone in the plan, or in a list that the plan uses, and in another zone in a further list. The first one counts: the plan's, else that of the list named first. For lamps, sensors and data connectors it is a warning.`,
    why: say`The zone decides which work meets the connector: where it is wrong, cutting, welding and wet work beside it pass without a word.`,
    whatToDo: say`Look at the vehicle or in the vehicle maker's documents where it sits, and leave the zone in one place only.`,
    source: say`The plan and the connector lists that it uses.`,
    example: {
      wrong: `connectors:
  - { id: motor-plug, zone: rear-floor }
uses: [./example.rate-sheet.yaml, ./example.connector-list.yaml]
operations:
  - { id: op10, do: consult }
`,
      right: `connectors:
  - { id: motor-plug, voltage: 400 V }
uses: [./example.rate-sheet.yaml, ./example.connector-list.yaml]
operations:
  - { id: op10, do: consult }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'names',
  *check({ plan }) {
    for (const connector of plan.scope.connectors.values()) {
      const { id, nodes, class: kind } = connector;
      if (nodes.length < 2) continue;
      const zones = nodes.flatMap((node) => node.get('zone') ?? []);
      const [counts] = zones;
      const other = zones.find(({ value }) => value !== counts!.value);
      if (!counts || !other) continue;
      const grave = kind === undefined || kind === 'fluid-line' || classRules[kind].grave;
      yield {
        at: valueSpan(plan, connector, counts),
        connector: id,
        severity: grave ? 'error' : 'warning',
        message: say`Two files disagree about the place of ${id}: ${counts.value} counts here, ${other.value} stands in the other, so nobody is warned of work in ${other.value}. Find out where ${id} is, and write the zone in one place only.`,
        trace: [{ at: other.span, message: say`the other zone: ${other.value}` }],
      };
    }
  },
};
