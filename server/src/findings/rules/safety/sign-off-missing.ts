import { say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { plansOnly } from '../../finding.ts';
import { roleText } from '../../support/words.ts';

export const signOffMissing: FindingRule = {
  id: 'sign-off-missing',
  title: say`A role that must sign has not signed`,
  severity: 'warning',
  page: () => ({
    means: say`The shop's rate sheet names the roles that must sign (\`sign-offs\` under \`plugward\`), and the plan lacks one of them. The high-voltage technician's signature has a finding of its own.`,
    why: say`Until someone signs, nobody is responsible for the work.`,
    whatToDo: say`Have the person check the plan and sign under \`sign-offs\`.`,
    source: say`The shop's rate sheet.`,
    example: {
      wrong: `uses: [./example.rate-sheet.yaml, ./strict.rate-sheet.yaml]
operations:
  - { id: op20, do: disconnect, connectors: [park-sensor] }
`,
      right: `uses: [./example.rate-sheet.yaml, ./strict.rate-sheet.yaml]
operations:
  - { id: op20, do: disconnect, connectors: [park-sensor] }
sign-offs:
  - { role: lead-technician, name: Technician B, date: 2027-02-05 }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'proof',
  *check({ plan }) {
    const at = plan.root?.get('plan')?.span;
    if (!at) return;
    for (const role of new Set(plan.scope.policy.signOffs)) {
      if (role === 'high-voltage-technician' || plan.signedRoles.includes(role)) continue;
      yield {
        at,
        message: say`The shop requires the signature of the ${roleText(role)}, and it is missing. Have the ${roleText(role)} check the plan and sign under \`sign-offs\`.`,
      };
    }
  },
};
