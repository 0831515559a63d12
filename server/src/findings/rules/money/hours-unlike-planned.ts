import { isAsPlanned, plannedSeconds } from '../../../costing/planned.ts';
import { andList, say } from '../../../language/phrase.ts';
import { labourWhere } from '../../../plan/plan.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';

export const hoursUnlikePlanned: FindingRule = {
  id: 'hours-unlike-planned',
  title: say`Paid hours that differ from the planned time, and no reason`,
  severity: 'information',
  page: () => ({
    means: say`A labour line bills other hours than the \`time\` of its steps comes to, and gives no \`reason\`. Lines that say \`basis: included\` are left alone. It is looked for where the shop's rate sheet says \`reasons: true\`.`,
    why: say`Paid hours are those of a study or an agreement, planned time is that of the clock; both may be right. A payer who finds the two side by side asks why.`,
    whatToDo: say`Write the \`reason\` in a sentence, or correct the figure that is wrong.`,
    source: commonPractice,
    example: {
      wrong: `uses: [./shop.rate-sheet.yaml, ./reasons.rate-sheet.yaml]
operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc], time: 12 min }
labour:
  - { for: op20, task: disconnect, hours: 0.3, basis: not-included, reference: T1, cites: [{ source: T1, says: Timed by itself. }] }
`,
      right: `operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc], time: 12 min }
labour:
  - { for: op20, task: disconnect, hours: 0.3, basis: not-included, reference: T1, cites: [{ source: T1, says: Timed by itself. }], reason: The study counts fetching the tools. }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'lines',
  *check({ plan }) {
    if (!plan.scope.policy.reasons) return;
    for (const line of unexplained(plan)) {
      const planned = plannedSeconds(plan, line);
      if (planned === undefined || isAsPlanned(planned, line)) continue;
      const steps = andList(line.for.map(({ value }) => value));
      yield {
        at: line.node.get('hours')!.span,
        ...(line.for[0] ? { operation: line.for[0].value } : {}),
        message: say`The line for ${steps} bills ${String(line.hours)} h, and the plan gives that work ${minutesText(planned)} min. Write the \`reason\`, or correct the figure that is wrong.`,
      };
    }
  },
};

const unexplained = labourWhere(
  ({ node, hours, sublet, basis }) =>
    hours !== undefined &&
    !sublet &&
    basis !== 'included' &&
    !node.partlyParsed &&
    !node.get('reason')?.value.trim(),
);

const minutesText = (seconds: number): string => String(Math.round(seconds / 6) / 10);
