import { hasIgniter } from '../../../plan/tables/classes.ts';
import type { Operation } from '../../../plan/operations.ts';
import { bothHalves } from '../../../plan/steps.ts';
import { ConnectorFacts } from '../../../sequence/facts/timeline.ts';
import { historiesWhere } from '../../../sequence/lives.ts';
import { coverWays } from '../../support/covers.ts';
import { suppliesOf12V } from '../../support/supply.ts';
import { traceAt, named } from '../../support/words.ts';
import { say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';

export const restraintBare: FindingRule = {
  id: 'restraint-bare',
  title: say`12 V on while a restraint connector is bare`,
  severity: 'warning',
  page: () => ({
    means: say`The 12 V battery is connected, a charger supports the supply, or a task of the shop's own makes that 12 V is on, while a half of a restraint connector or pyrotechnic disconnect is neither closed nor covered.`,
    why: say`A bare contact that touches metal or carries a charge can fire the igniter as soon as the control unit wakes up.`,
    whatToDo: say`Close or cover both halves before the 12 V supply comes on.`,
    source: commonPractice,
    example: {
      wrong: `connectors:
  - { id: curtain-airbag, class: restraint, zone: quarter-left }
operations:
  - { id: op10, do: battery-12v-off }
  - { id: op15, do: wait, time: 10 min }
  - { id: op20, do: disconnect, connectors: [curtain-airbag] }
  - { id: op30, do: battery-12v-on }
`,
      right: `connectors:
  - { id: curtain-airbag, class: restraint, zone: quarter-left }
operations:
  - { id: op10, do: battery-12v-off }
  - { id: op15, do: wait, time: 10 min }
  - { id: op20, do: disconnect, connectors: [curtain-airbag] }
  - { id: op25, do: cover, connectors: [curtain-airbag], using: orange-tape }
  - { id: op30, do: battery-12v-on }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'safety',
  *check({ plan, sequence }) {
    const supplies = suppliesOf12V(plan).toSorted((a, b) => sequence.order.compare(a, b));
    for (const life of ignitersOf(plan)) {
      const { connector } = life;
      const facts = new ConnectorFacts(plan, sequence, life);
      const bare = new Map<Operation, Operation | undefined>();
      for (const half of bothHalves) {
        for (const { step, verdict } of facts.unmetAt('protected', supplies, half))
          bare.set(step, verdict.culprit);
      }
      for (const [supply, opened] of bare) {
        yield {
          at: supply.span,
          operation: supply.id,
          connector: connector.id,
          message: say`${named(supply)} may come while ${connector.id} is bare: a contact that touches metal can fire its airbag or pretensioner. Close or cover both halves before ${supply.id}.`,
          trace: opened ? [traceAt(opened, say`${opened.id}: ${connector.id} is bare from here`)] : [],
          fixes: () => (opened ? [coverWays(plan, life, opened, supply)] : []),
        };
      }
    }
  },
};

const ignitersOf = historiesWhere(({ connector, unsure }) => !unsure && hasIgniter(connector));
