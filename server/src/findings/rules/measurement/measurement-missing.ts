import { hasIgniter } from '../../../plan/tables/classes.ts';
import { andList, say } from '../../../language/phrase.ts';
import type { Operation } from '../../../plan/operations.ts';
import type { Measurement, Plan } from '../../../plan/plan.ts';
import type { ConnectorHistory } from '../../../sequence/life.ts';
import type { Sequence } from '../../../sequence/lives.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';
import { spanOfMention, named, ofConnectors } from '../../support/words.ts';

const kindOf: ReadonlyMap<string, Measurement['kind']> = new Map([
  ['measure-resistance', 'contact-resistance'],
  ['measure-insulation', 'insulation'],
  ['measure-bonding', 'bonding'],
]);

export const measurementMissing: FindingRule = {
  id: 'measurement-missing',
  title: say`Signed off without the reading`,
  severity: 'warning',
  page: () => ({
    means: say`A step measures the contact resistance, the insulation or the bonding of a connector, someone has signed the plan off, and the reading is not under \`measurements:\`.`,
    why: say`A measurement that nobody wrote down cannot be compared with a limit, and proves nothing later.`,
    whatToDo: say`Write the reading down, with its method and its uncertainty; or take the sign-off back until it is measured.`,
    source: commonPractice,
    example: {
      wrong: `operations:
  - { id: op70, do: measure-resistance, connectors: [inverter-dc] }
sign-offs:
  - { role: high-voltage-technician, name: Technician A, date: 2027-02-05 }
`,
      right: `operations:
  - { id: op70, do: measure-resistance, connectors: [inverter-dc] }
measurements:
  - { connector: inverter-dc, after: op70, method: four-wire, value: 0.31 mΩ, uncertainty: 0.02 mΩ }
sign-offs:
  - { role: high-voltage-technician, name: Technician A, date: 2027-02-05 }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'proof',
  *check({ plan, sequence, lives }) {
    // Before the work is done there are no readings; a sign-off says that it is.
    if (plan.signedRoles.length === 0) return;
    const open = new Map<Operation, string[]>();
    for (const life of lives) {
      const { connector, operations, unsure } = life;
      // An igniter is never measured: the step itself is wrong and has its own finding.
      if (unsure || hasIgniter(connector)) continue;
      for (const operation of operations) {
        const kind = kindOf.get(operation.taskId);
        if (kind === undefined || isWritten(plan, sequence, life, kind, operation)) continue;
        open.set(operation, [...(open.get(operation) ?? []), connector.id]);
      }
    }
    for (const [operation, ids] of open) {
      yield {
        at: spanOfMention(operation, ids[0]!),
        operation: operation.id,
        ...ofConnectors(ids),
        message: say`The plan is signed off, and the reading of ${named(operation)} at ${andList(ids)} is not under \`measurements:\`, so nobody can compare it. Write it down with its method and uncertainty.`,
      };
    }
  },
};

/** Whether a reading belongs to a measuring step: it names the step, or a later one with no other measuring in between, or none. */
function isWritten(
  plan: Plan,
  sequence: Sequence,
  { connector, operations }: ConnectorHistory,
  kind: Measurement['kind'],
  step: Operation,
): boolean {
  const { order } = sequence;
  const again = operations.filter((other) => other.taskId === step.taskId && order.before(step, other));
  return plan.measurements.some((reading) => {
    if (reading.connector.value !== connector.id || reading.kind !== kind) return false;
    // One that names no step is told by `reading-unplaced` where the plan measures that more than once.
    if (!reading.after) return true;
    const named = plan.step(reading.after.value);
    const place = named && plan.operationsOf(named).at(-1);
    if (!place) return true;
    if (place !== step && named !== step.planStep && !order.before(step, place)) return false;
    return !again.some((other) => other === place || order.before(other, place));
  });
}
