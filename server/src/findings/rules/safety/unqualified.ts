import { say } from '../../../language/phrase.ts';
import type { FindingRule, Trace } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';
import { mayCarryHighVoltage } from '../../../plan/high-voltage.ts';
import { onHighVoltage } from '../../support/high-voltage.ts';
import { traceAt, spanOfMention, named } from '../../support/words.ts';

export const unqualified: FindingRule = {
  id: 'unqualified',
  title: say`High voltage opened, and no high-voltage technician has signed for it`,
  severity: 'warning',
  page: () => ({
    means: say`The plan opens a high-voltage power or interlock connector, and nobody has signed it as high-voltage technician.`,
    why: say`Work on an opened high-voltage system is for people trained and appointed for it. The signature says who that was.`,
    whatToDo: say`Have the high-voltage technician who does or supervises the work sign under \`sign-offs:\`.`,
    source: commonPractice,
    example: {
      wrong: `operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
`,
      right: `operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
sign-offs:
  - { role: high-voltage-technician, name: Technician A, date: 2027-02-05 }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'proof',
  *check({ plan, sequence }) {
    if (plan.signedRoles.includes('high-voltage-technician')) return;
    const openings = onHighVoltage(plan)
      .filter(({ connector }) => mayCarryHighVoltage(plan, connector))
      .flatMap(({ connector, events }) =>
        events.flatMap(({ act, operation }) => (act === 'disconnect' ? [{ connector, operation }] : [])),
      )
      .sort((a, b) => sequence.order.compare(a.operation, b.operation));
    const first = openings[0];
    if (!first) return;
    const trace: Trace[] = openings
      .slice(1, 4)
      .map(({ connector, operation }) => traceAt(operation, say`${named(operation)} opens ${connector.id}`));
    yield {
      at: spanOfMention(first.operation, first.connector.id),
      operation: first.operation.id,
      connector: first.connector.id,
      message: say`${named(first.operation)} opens ${first.connector.id}, and no high-voltage technician has signed the plan. Whoever does or supervises this work signs under \`sign-offs:\`.`,
      trace,
    };
  },
};
