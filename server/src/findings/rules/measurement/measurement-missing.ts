import { listed, say } from '../../../language/phrase.ts';
import type { Operation } from '../../../plan/operations.ts';
import type { Measurement } from '../../../plan/plan.ts';
import type { Finding } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';
import { mention, named } from '../../support/words.ts';

const kindOf: ReadonlyMap<string, Measurement['kind']> = new Map([
  ['measure-resistance', 'contact-resistance'],
  ['measure-insulation', 'insulation'],
  ['measure-bonding', 'bonding'],
]);

export const measurementMissing: Finding = {
  id: 'measurement-missing',
  title: say`Signed off without the reading`,
  severity: 'warning',
  means: say`A step measures the contact resistance, the insulation or the bonding of a connector, someone has signed the plan off, and the reading is not under \`measurements:\`.`,
  why: say`A measurement that nobody wrote down cannot be compared with a limit, and proves nothing later.`,
  todo: say`Write the reading down, with its method and its uncertainty; or take the sign-off back until it is measured.`,
  source: commonPractice,
  kinds: plansOnly,
  ground: 'proof',
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
  *check({ plan, lives }) {
    // Before the work is done there are no readings; a sign-off says that it is.
    if (plan.signedRoles.length === 0) return;
    const written = new Set(plan.measurements.map(({ connector, kind }) => `${connector.value} ${kind}`));
    const open = new Map<Operation, string[]>();
    for (const { connector, operations, unsure } of lives) {
      // An igniter is never measured: the step itself is the mistake.
      if (unsure || connector.class === 'restraint' || connector.class === 'pyrotechnic') continue;
      for (const operation of operations) {
        const kind = kindOf.get(operation.taskId);
        if (kind === undefined || written.has(`${connector.id} ${kind}`)) continue;
        open.set(operation, [...(open.get(operation) ?? []), connector.id]);
      }
    }
    for (const [operation, ids] of open) {
      yield {
        at: mention(operation, ids[0]!),
        operation: operation.id,
        ...(ids.length === 1 ? { connector: ids[0]! } : {}),
        message: say`The plan is signed off, and the reading of ${named(operation)} at ${listed(ids)} is not under \`measurements:\`, so nobody can compare it. Write it down with its method and uncertainty.`,
      };
    }
  },
};
