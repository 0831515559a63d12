import { say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { plansOnly } from '../../finding.ts';

export const acceptanceExpired: FindingRule = {
  id: 'acceptance-expired',
  title: say`An expired acceptance`,
  severity: 'warning',
  page: () => ({
    means: say`The last day of an \`accepted\` line is over.`,
    why: say`What was accepted for a while is no longer accepted, and its finding is back if its cause is still there.`,
    whatToDo: say`Fix the cause, or let the person responsible review it and set a new date. Remove the line when its cause is gone.`,
    source: say`Rule of the plan language.`,
    example: {
      wrong: `operations: []
accepted:
  - { finding: weak-cover, reason: No room for a dummy plug., by: Lead technician, until: 2027-01-31 }
`,
      right: `operations: []
accepted:
  - { finding: weak-cover, reason: No room for a dummy plug., by: Lead technician, until: 2027-03-01 }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'text',
  *check({ plan, judgedOn }) {
    if (judgedOn === undefined) return;
    for (const { finding, at, until, node } of plan.accepted) {
      if (!until || judgedOn <= until.value) continue;
      const who = node.get('by')?.value;
      yield {
        at: until.span,
        message: say`${finding.value}${at ? say` at ${at.value}` : ''} was accepted until ${until.value}, and that date has passed. Fix the cause, or have ${who ?? say`whoever is responsible for it`} review it and set a new date.`,
      };
    }
  },
};
