import type { Operation } from '../../../plan/operations.ts';
import type { Plan } from '../../../plan/plan.ts';
import { needsCured } from '../../../plan/tables/needs.ts';
import type { Sequence } from '../../../sequence/lives.ts';
import { onlyAfter } from '../../support/mending.ts';
import { told, unmetGroups } from '../../support/needs.ts';
import { named, traceAt } from '../../support/words.ts';
import { say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';

export const adhesiveUncured: FindingRule = {
  id: 'adhesive-uncured',
  title: say`On the road before the adhesive has cured`,
  severity: 'warning',
  page: () => ({
    means: say`Glass or a panel is bonded, and the vehicle is moved, towed, tested on rollers, road-tested, sent to another firm or handed over, and no \`cure\` with a \`time\`, no bake, no night and no \`wait\` of a quarter of an hour or more that is longer than those for capacitors and airbags is certain to come in between. Other work does not count as that time.`,
    why: say`Bonded glass stiffens the body, and a passenger airbag leans on the front one. Before its adhesive has cured, it comes out in a crash; a panel works loose.`,
    whatToDo: say`Add a \`cure\` step after the bonding, with the time from the data sheet of the adhesive for the temperature and the air of that day. There is no built-in time.`,
    source: commonPractice,
    example: {
      wrong: `operations:
  - { id: op20, do: bond, zone: roof }
  - { id: op30, do: road-test }
`,
      right: `operations:
  - { id: op20, do: bond, zone: roof }
  - { id: op25, do: cure, time: 2 h }
  - { id: op30, do: road-test }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'safety',
  needsEveryStep: true,
  *check(subject) {
    const { plan, sequence } = subject;
    const steps = [...needsCured].flatMap((task) => plan.operationsDoing(task));
    if (steps.length === 0) return;
    for (const { culprit, first } of told(
      subject,
      'adhesive-uncured',
      unmetGroups(plan, 'adhesive-cured', steps),
    )) {
      if (!culprit) continue;
      const curing = curingAfter(plan, sequence, culprit, first);
      const untimed = curing.find(({ step }) => step.node.entry('time') === undefined);
      const timed = curing.find(({ time }) => time !== undefined && time.si > 0);
      yield {
        at: culprit.span,
        operation: culprit.id,
        message:
          untimed && !timed
            ? say`${named(first)} follows ${named(culprit)}, and ${untimed.id} does not say how long the adhesive cures: glass or a panel comes off in a crash. Write in ${untimed.id} the \`time\` from the data sheet of the adhesive.`
            : say`${named(first)} may follow ${named(culprit)} before the adhesive has cured: glass or a panel comes off in a crash. Write a \`cure\` step before ${first.id}, with the \`time\` from the data sheet of the adhesive.`,
        trace: [traceAt(first, say`${named(first)}: reached without it`)],
        fixes: () => [[timed && onlyAfter(plan, first, timed)]],
      };
    }
  },
};

/** The steps of curing after a bonding that may come before the vehicle is on the road. */
const curingAfter = (
  plan: Plan,
  { order }: Sequence,
  bonding: Operation,
  road: Operation,
): readonly Operation[] =>
  plan.operationsDoing('cure').filter((step) => order.before(bonding, step) && !order.before(road, step));
