import { say } from '../../../language/phrase.ts';
import type { Operation } from '../../../plan/operations.ts';
import { setKey } from '../../../document/edits.ts';
import { isOwn } from '../../../sequence/facts/last-lock.ts';
import { lockRemovalsIn, locksIn } from '../../support/locks.ts';
import { fix } from '../../support/mending.ts';
import { traceAt, named } from '../../support/words.ts';
import type { FindingRule } from '../../finding.ts';
import { plansOnly } from '../../finding.ts';

export const lockOfAnother: FindingRule = {
  id: 'lock-of-another',
  title: say`The lock is taken off by somebody else`,
  severity: 'error',
  page: () => ({
    means: say`One person locks the high-voltage system out, and another one takes the lock off.`,
    why: say`The lock protects whoever put it on. Only that person knows whether a hand is still in the vehicle.`,
    whatToDo: say`Have the lock taken off by the person who put it on. After a change of shift the next person locks out with a lock of their own first.`,
    source: say`by analogy, 29 CFR 1910.147(e)(3): a lock is removed by the employee who applied it; its scope does not reach every workshop (from memory)`,
    example: {
      wrong: `operations:
  - { id: op10, do: isolate, by: technician-a }
  - { id: op12, do: lock-out, by: technician-a }
  - { id: op80, do: lock-out-off, by: technician-b }
`,
      right: `operations:
  - { id: op10, do: isolate, by: technician-a }
  - { id: op12, do: lock-out, by: technician-a }
  - { id: op80, do: lock-out-off, by: technician-a }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'safety',
  needsEveryStep: true,
  *check({ plan, sequence: { order } }) {
    const locks = locksIn(plan);
    const removals = lockRemovalsIn(plan);
    for (const removal of removals) {
      const { by } = removal;
      if (!by) continue;
      // A lock that its owner took off before is none, nor one that somebody without a lock took off.
      const takesOff = (other: Operation, lock: Operation): boolean =>
        isOwn(lock, other) ||
        !locks.some((own) => own.by?.value === other.by?.value && order.before(own, other));
      const hanging = locks.filter(
        (lock) =>
          order.before(lock, removal) &&
          !removals.some(
            (other) =>
              other !== removal &&
              order.before(lock, other) &&
              order.before(other, removal) &&
              takesOff(other, lock),
          ),
      );
      const owners = new Set(hanging.flatMap((lock) => lock.by?.value ?? []));
      if (owners.size === 0 || owners.has(by.value)) continue;
      const last: Operation = hanging.findLast((lock) => lock.by)!;
      const owner = last.by!.value;
      yield {
        at: removal.span,
        operation: removal.id,
        message: say`${by.value} takes the lock off in ${removal.id}, and ${owner} put it on in ${last.id}: only ${owner} knows whether a hand is still in the vehicle. Have ${owner} take it off.`,
        trace: [traceAt(last, say`${named(last)}: the lock of ${owner}`)],
        fixes: () =>
          removal.step === removal.planStep
            ? [
                fix(say`Have ${owner} do ${removal.id}`, [
                  setKey(plan.document, removal.step.node, 'by', owner),
                ]),
              ]
            : [],
      };
    }
  },
};
