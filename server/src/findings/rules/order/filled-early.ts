import { readText } from '../../../plan/read.ts';
import type { Operation } from '../../../plan/operations.ts';
import { fluidsOfTask } from '../../../plan/tables/effects.ts';
import type { ConnectorFact } from '../../../plan/tables/effects.ts';
import { gases } from '../../../plan/tables/fluids.ts';
import type { Medium } from '../../../plan/tables/fluids.ts';
import { ConnectorFacts } from '../../../sequence/facts/timeline.ts';
import { operationsOn } from '../../../sequence/facts/use.ts';
import { onlyAfter } from '../../support/mending.ts';
import { traceAt, named } from '../../support/words.ts';
import { say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';

export const filledEarly: FindingRule = {
  id: 'filled-early',
  title: say`A circuit filled before its lines are closed and tested`,
  severity: 'error',
  page: () => ({
    means: say`Coolant, refrigerant or fuel is filled while a line of its circuit may still be open; or refrigerant is filled before its circuit is certain to be tested for leaks, or gas before its line is (a warning).`,
    why: say`Coolant on a high-voltage connector is a short circuit in waiting; refrigerant that escapes freezes skin and eyes and must not reach the air; fuel burns.`,
    whatToDo: say`Close every line first. Evacuate and test a refrigerant circuit for leaks before it is filled, as the vehicle maker specifies.`,
    source: commonPractice,
    example: {
      wrong: `connectors:
  - { id: coolant-line, class: fluid-line, zone: motor-bay, medium: coolant }
operations:
  - { id: op10, do: drain-coolant }
  - { id: op20, do: disconnect, connectors: [coolant-line] }
  - { id: op40, do: fill-coolant }
  - { id: op50, do: reconnect, connectors: [coolant-line] }
`,
      right: `connectors:
  - { id: coolant-line, class: fluid-line, zone: motor-bay, medium: coolant }
operations:
  - { id: op10, do: drain-coolant }
  - { id: op20, do: disconnect, connectors: [coolant-line] }
  - { id: op40, do: reconnect, connectors: [coolant-line] }
  - { id: op50, do: fill-coolant }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'order',
  perConnector: true,
  *check({ plan, sequence, lives }) {
    for (const life of lives) {
      const { connector, unsure, events } = life;
      const { medium } = connector;
      if (unsure || events.length === 0 || connector.class !== 'fluid-line' || medium === 'other') continue;
      const facts = new ConnectorFacts(plan, sequence, life);
      const told = new Set<Operation>();
      for (const [task, fact, media = fluidsOfTask[task]!] of needs) {
        // Where nobody states what a line holds, it is not taken for gas.
        if (medium === undefined ? media === gases : !media.has(medium)) continue;
        // A line that is shut off by itself spills nothing while it is open.
        if (fact === 'closed' && connector.shutOff !== undefined && task === 'fill-coolant') continue;
        for (const filling of operationsOn(sequence, connector, task)) {
          const found = facts.verdict(fact, filling);
          if (found.met || told.has(filling)) continue;
          const isOfGas = media === gases;
          if (isOfGas && readText(filling.step.node.get('maker-procedure'), filling.bindings)) continue;
          told.add(filling);
          const ready = found.candidates.find((step) => !sequence.order.before(filling, step));
          yield {
            at: filling.span,
            operation: filling.id,
            connector: connector.id,
            ...(isOfGas ? { severity: 'warning' as const } : {}),
            message: isOfGas
              ? say`${named(filling)} comes before ${connector.id} is certain to be tested for leaks: gas from a leak explodes at a spark. Test it with inert gas before ${filling.id} and again once it is filled, or name the source of the vehicle maker's way of filling as \`maker-procedure: …\` in ${filling.id}.`
              : fact === 'leak-tested'
                ? say`${named(filling)} comes before ${connector.id} is certain to be tested for leaks: escaping refrigerant freezes skin and eyes. Test the empty circuit before ${filling.id}, as the vehicle maker specifies.`
                : say`${named(filling)} may come while ${connector.id} is open: what is filled runs out there. Close ${connector.id} before ${filling.id}.`,
            trace: found.culprit
              ? [traceAt(found.culprit, say`${named(found.culprit)}: not closed and tested since then`)]
              : [],
            fixes: () => [ready && onlyAfter(plan, filling, ready)],
          };
        }
      }
    }
  },
};

/** What must be certain of a line when a task fills its circuit, of these media where not all. */
const needs: readonly (readonly [
  'fill-coolant' | 'fill-refrigerant' | 'refuel',
  ConnectorFact,
  ReadonlySet<Medium>?,
])[] = [
  ['fill-coolant', 'closed'],
  ['fill-refrigerant', 'closed'],
  ['fill-refrigerant', 'leak-tested'],
  ['refuel', 'closed'],
  ['refuel', 'leak-tested', gases],
];
