import { mapsIn } from '../../../document/node.ts';
import type { MapNode } from '../../../document/node.ts';
import { say } from '../../../language/phrase.ts';
import type { Source } from '../../../generated/repair-plan.ts';
import { judgedIn } from '../../../plan/judged.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';

type SignOff = Record<'date' | 'name', string>;

export const dateWrong: FindingRule = {
  id: 'date-wrong',
  title: say`A date that cannot be right`,
  severity: 'warning',
  page: () => ({
    means: say`A document was consulted, a plan signed, or the vehicle came in on a day that is still to come; or the plan was signed before the vehicle came in. Or \`judged-on\` stands in a plan that nobody has signed, or lies before a sign-off; it then freezes nothing. Or an acceptance lasts longer than a year from today.`,
    why: say`A date that cannot be right proves nothing, and the payer stops reading there.`,
    whatToDo: say`Write the day on which it happened, year first.`,
    source: commonPractice,
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
  }),
  kinds: plansOnly,
  ground: 'text',
  *check({ plan, today }) {
    const arrived = plan.vehicle?.node.get('arrived');
    if (arrived && today !== undefined && arrived.value > today) {
      yield {
        at: arrived.span,
        message: say`The vehicle came in on ${arrived.value}, which is still to come. Write the day on which it came in.`,
      };
    }
    for (const { until } of plan.accepted) {
      if (!until || today === undefined || until.value <= aYearAfter(today)) continue;
      yield {
        at: until.span,
        message: say`This acceptance lasts until ${until.value}, more than a year from now: it outlives the repair, and nobody looks at it again. Write a day by which the repair is over.`,
      };
    }
    const judged = judgedIn(plan, today);
    if (judged?.fault) {
      const { node, fault, signed = '' } = judged;
      yield {
        at: node.span,
        message:
          fault === 'unsigned'
            ? say`The plan is judged on ${node.value}, and nobody has signed it. Only a finished plan is judged on a day of its own: sign it, or take \`judged-on\` out.`
            : fault === 'to-come'
              ? say`The plan is judged on ${node.value}, which is still to come. Write the day on which it was finished.`
              : say`The plan is judged on ${node.value}, before it was signed on ${signed}. Write the day on which it was finished.`,
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

/** The same day of the next year: an acceptance of one repair hardly lasts longer, an assumption. */
const aYearAfter = (day: string): string => `${Number(day.slice(0, 4)) + 1}${day.slice(4)}`;
