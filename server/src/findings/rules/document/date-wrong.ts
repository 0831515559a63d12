import { mapsIn } from '../../../document/node.ts';
import type { MapNode } from '../../../document/node.ts';
import { say } from '../../../language/phrase.ts';
import type { Source } from '../../../generated/repair-plan.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';

type SignOff = Record<'date' | 'name', string>;

export const dateWrong: FindingRule = {
  id: 'date-wrong',
  title: say`A date that cannot be right`,
  severity: 'warning',
  means: say`A document was consulted, a plan signed, or the vehicle came in on a day that is still to come; or the plan was signed before the vehicle came in.`,
  why: say`A date that cannot be right proves nothing, and the payer stops reading there.`,
  whatToDo: say`Write the day on which it happened, year first.`,
  source: commonPractice,
  kinds: plansOnly,
  ground: 'text',
  example: {
    wrong: `operations:
  - { id: op10, do: consult }
sign-offs:
  - { role: high-voltage-technician, name: Technician A, date: 2127-02-05 }
`,
    right: `operations:
  - { id: op10, do: consult }
sign-offs:
  - { role: high-voltage-technician, name: Technician A, date: 2027-02-05 }
`,
  },
  *check({ plan, today }) {
    const arrived = plan.vehicle?.node.get('arrived');
    if (arrived && today !== undefined && arrived.value > today) {
      yield {
        at: arrived.span,
        message: say`The vehicle came in on ${arrived.value}, which is still to come. Write the day on which it came in.`,
      };
    }
    for (const source of mapsIn<Source>(plan.section('sources'))) {
      const consulted = source.get('consulted');
      if (!consulted || today === undefined || consulted.value <= today) continue;
      yield {
        at: consulted.span,
        message: say`${source.get('id')?.value ?? say`A source`} was consulted on ${consulted.value}, which is still to come. Write the day on which it was read.`,
      };
    }
    for (const signOff of mapsIn<SignOff>(
      plan.section('sign-offs') as { items: readonly MapNode<SignOff>[] } | undefined,
    )) {
      const date = signOff.get('date');
      if (!date) continue;
      if (today !== undefined && date.value > today) {
        yield {
          at: date.span,
          message: say`The plan is signed on ${date.value}, which is still to come. Write the day on which it was signed.`,
        };
      } else if (arrived && date.value < arrived.value) {
        yield {
          at: date.span,
          message: say`The plan is signed on ${date.value}, before the vehicle came in on ${arrived.value}. One of the two days is wrong.`,
          trace: [{ at: arrived.span, message: say`it came in on ${arrived.value}` }],
        };
      }
    }
  },
};
