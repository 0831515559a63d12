import { say } from '../../../language/phrase.ts';
import type { Operation } from '../../../plan/operations.ts';
import type { Plan } from '../../../plan/plan.ts';
import { VehicleFacts } from '../../../sequence/facts/timeline.ts';
import { highVoltageSteps } from '../../support/live-work.ts';
import { locksIn, locksOn } from '../../support/locks.ts';
import { opensBattery } from '../../support/battery.ts';
import { fix, insertBefore, onlyAfter } from '../../support/mending.ts';
import { alsoAt, andAt, told } from '../../support/needs.ts';
import { isShownUnqualified, qualificationsFor } from '../../support/people.ts';
import { ownSteps } from '../../support/tools.ts';
import { traceAt, named } from '../../support/words.ts';
import type { FindingRule } from '../../finding.ts';
import { plansOnly } from '../../finding.ts';

export const noOwnLock: FindingRule = {
  id: 'no-own-lock',
  title: say`Hands on high voltage behind somebody else's lock alone`,
  severity: 'warning',
  page: () => ({
    means: say`A person opens, covers, cleans, closes or measures a high-voltage connector, moves the traction battery, or does a task of the shop's own on high voltage, and every lock on the system at that step is another's. It is silent where a lock or the step names nobody.`,
    why: say`Whoever owns the only lock can take that lock off and power the vehicle up while somebody else still has a hand on high voltage. Each person's own lock stays on until that person is clear.`,
    whatToDo: say`Have each person put on a lock of their own before their work on high voltage, on the disconnect or on a group lock box that holds its key, and take it off after. Write it as \`lock-out\` and \`lock-out-off\` of that person. Follow local rules where they let one person hold the lock for a group.`,
    source: say`by analogy, 29 CFR 1910.147(f)(3)(ii)(D): each authorized employee puts a personal lock on the group lockout device or lock box at the beginning of the work and takes it off at its end; its scope does not reach every workshop`,
    example: {
      wrong: `operations:
  - { id: op10, do: isolate, by: technician-a }
  - { id: op12, do: lock-out, by: technician-a }
  - { id: op20, do: disconnect, connectors: [inverter-dc], by: technician-b }
`,
      right: `operations:
  - { id: op10, do: isolate, by: technician-a }
  - { id: op12, do: lock-out, by: technician-a }
  - { id: op18, do: lock-out, by: technician-b }
  - { id: op20, do: disconnect, connectors: [inverter-dc], by: technician-b }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'safety',
  needsEveryStep: true,
  *check(subject) {
    const { plan, sequence, isActive } = subject;
    const { order } = sequence;
    const locks = locksIn(plan);
    if (locks.length === 0) return;
    const owners = new Set(locks.map(({ by }) => by?.value));
    const facts = new VehicleFacts(plan);
    const groups: { person: string; culprit: Operation; steps: Operation[] }[] = [];
    for (const step of workOnHighVoltage(plan).sort((a, b) => order.compare(a, b))) {
      const person = step.by?.value;
      // Most plans have one high-voltage technician, whose lock stays on throughout.
      if (person === undefined || (owners.size === 1 && owners.has(person))) continue;
      if (!facts.isMet('locked-out', step)) continue;
      const { certain, possible } = locksOn(plan, order, step);
      const owned = certain.some(({ by }) => by?.value === person);
      const culprit = possible.at(-1);
      if (owned || !culprit || possible.some(({ by }) => by === undefined)) continue;
      const ids = step.connectors.map(({ value }) => value);
      if (
        isShownUnqualified(plan, person, step.taskId, ids) &&
        isActive('not-qualified', { operation: step.id })
      )
        continue;
      const known = groups.find((group) => group.person === person && group.culprit === culprit);
      if (known) known.steps.push(step);
      else groups.push({ person, culprit, steps: [step] });
    }
    for (const { first, others, culprit } of told(subject, 'no-own-lock', groups)) {
      const person = first.by!.value;
      const owner = culprit!.by!.value;
      const later = locks.find((lock) => lock.by?.value === person && order.unordered(lock, first));
      yield {
        at: first.span,
        operation: first.id,
        message: say`${named(first)} is done by ${person}, and the high-voltage system is held off by the lock of ${owner} alone: that lock can come off while ${person} is still at work. Have ${person} lock out as well before ${first.id}, with a lock of their own on the disconnect or on the group lock box, as local rules and the vehicle maker specify.`,
        ...andAt(others),
        trace: [traceAt(culprit!, say`${named(culprit!)}: the lock of ${owner}`), ...alsoAt(others)],
        fixes: () => [
          [
            later && onlyAfter(plan, first, later),
            fix(
              say`Have ${person} lock out before ${first.planStep.id}`,
              insertBefore(plan, first.planStep, [
                { task: 'lock-out', fields: [['by', person]], by: 'nobody' },
              ]),
            ),
          ],
        ],
      };
    }
  },
};

/** Steps with hands on high voltage, by built-in tasks or by those of the shop's own. */
const workOnHighVoltage = (plan: Plan): Operation[] => [
  ...new Set([
    ...highVoltageSteps(plan).map(({ operation }) => operation),
    ...ownSteps(plan).filter(
      (step) =>
        qualificationsFor(
          plan,
          step.taskId,
          step.connectors.map(({ value }) => value),
        ).has('high-voltage') || opensBattery(plan, step),
    ),
  ]),
];
