/** Who may do which work, by the people of the rate sheet. */
import { emptyList, own } from '../../base/collections.ts';
import { plainWords } from '../../base/plain-words.ts';
import { concernsGas, letsOutByRow } from '../../plan/gas.ts';
import { isTractionDriven, mayCarryHighVoltage, mayHaveHighVoltage } from '../../plan/high-voltage.ts';
import { query } from '../../incremental/query.ts';
import { SnapshotPlan } from '../../plan/plan.ts';
import type { Plan } from '../../plan/plan.ts';
import { todayIn } from '../../plan/snapshot.ts';
import type { Snapshot } from '../../plan/snapshot.ts';
import type { FactId } from '../../plan/tables/effects.ts';
import { hasIgniter } from '../../plan/tables/classes.ts';
import {
  alsoOn48V,
  fillsGas,
  letsGasOut,
  mayCarryIgniters,
  needsAgainst,
  needsDead,
  needsDeadWhileOpen,
  needsRestraintSafe,
  qualified,
  qualifiedAtGas,
  qualifiedByFact,
} from '../../plan/tables/needs.ts';
import type { OwnDanger } from '../../plan/tables/needs.ts';
import { stillLearns } from '../../plan/tables/own-names.ts';
import { builtInTasks } from '../../plan/tables/tasks.ts';
import { sequenceOf } from '../../sequence/lives.ts';
import { isByHand } from './tools.ts';

/** The id that a name comes to: people write `Technician A` for `technician-a`. */
export const idOfPerson = (name: string): string =>
  plainWords(name)
    .replaceAll(/[^a-z0-9]+/g, '-')
    .replaceAll(/^-|-$/g, '');

/** Work that needs a qualification. */
export type Qualification = 'high-voltage' | 'restraint' | 'refrigerant' | 'gas';

/** The qualifications that a task on these connectors needs. */
export function qualificationsFor(
  plan: Plan,
  task: string,
  connectors: readonly string[],
): ReadonlySet<Qualification> {
  const kinds = new Set<Qualification>();
  const byTask = own(qualified, task);
  // The lock of a 48 V system is no work on high voltage where the vehicle has none.
  if (byTask && (!alsoOn48V.has(task) || isTractionDriven(plan) || mayHaveHighVoltage(plan)))
    kinds.add(byTask);
  if (
    isAtGas(plan, task, connectors) ||
    (fillsGas.has(task) && concernsGas(plan, connectors) && hasWorkAtGas(plan))
  )
    kinds.add('gas');
  // A task of the shop's own that names a connector and asks for it to be made safe, or changes it by its name, is work on it.
  const row = builtInTasks.has(task) ? undefined : plan.scope.tasks.get(task);
  const asks = (danger: OwnDanger): boolean =>
    row?.needs.some((fact) => needsAgainst[danger].has(fact)) ?? false;
  const byHand = row !== undefined && isByHand(row);
  if (row?.ends.includes('locked-out') && mayHaveHighVoltage(plan)) kinds.add('high-voltage');
  for (const fact of row?.makes ?? emptyList) {
    const byFact = qualifiedByFact[fact];
    if (byFact === 'refrigerant' || (byFact && mayHaveHighVoltage(plan))) kinds.add(byFact);
  }
  for (const id of connectors) {
    const connector = plan.scope.connectors.get(id);
    if (!connector) continue;
    const handles = needsDead.has(task) || needsDeadWhileOpen.has(task) || asks('cables') || byHand;
    if (handles && mayCarryHighVoltage(plan, connector)) kinds.add('high-voltage');
    if (
      hasIgniter(connector) &&
      (needsRestraintSafe.has(task) || mayCarryIgniters.has(task) || asks('igniters') || byHand)
    )
      kinds.add('restraint');
    if (
      connector.medium === 'refrigerant' &&
      (task === 'disconnect' || task === 'reconnect' || row?.makes.some((fact) => atRefrigerant.has(fact)))
    )
      kinds.add('refrigerant');
  }
  return kinds;
}

const atRefrigerant: ReadonlySet<FactId> = new Set<FactId>([
  'open',
  'closed',
  'line-empty',
  'depressurised',
  'filled',
]);

const isAtGas = (plan: Plan, task: string, connectors: readonly string[]): boolean =>
  (letsOutByRow(plan.scope.tasks.get(task), connectors) ||
    (connectors.length > 0 ? qualifiedAtGas.has(task) : letsGasOut.has(task))) &&
  concernsGas(plan, connectors);

const hasWorkAtGas = ({ reading }: Plan): boolean => hasWorkAtGasIn(reading);
const hasWorkAtGasIn = query((reading: Snapshot) => {
  const plan = new SnapshotPlan(reading);
  return plan.operations.some(({ taskId, connectors }) =>
    isAtGas(
      plan,
      taskId,
      connectors.map(({ value }) => value),
    ),
  );
});

/** Whether the rate sheet lists the person for all of this work, today. */
function mayDo(plan: Plan, person: string, work: ReadonlySet<Qualification>): boolean {
  const listed = plan.scope.people?.get(person);
  const today = todayIn(plan.reading);
  const expired = listed?.until !== undefined && today !== undefined && today > listed.until;
  return [...work].every((kind) => listed?.may.has(kind) === true && !expired && !listed.untilUnreadable);
}

/** Whether the rate sheet's list, or a name of somebody who still learns, shows that a person may not do a task. */
export const isShownUnqualified = (
  plan: Plan,
  person: string,
  task: string,
  connectors: readonly string[],
): boolean =>
  plan.scope.people ? !mayDo(plan, person, qualificationsFor(plan, task, connectors)) : stillLearns(person);

/** Whether connectors may be added to the work of a person; where the rate sheet lists people, `not-qualified` tells it. */
export const mayTakeOn = (
  plan: Plan,
  person: string | undefined,
  task: string,
  connectors: readonly string[],
): boolean => {
  if (person === undefined || plan.scope.people) return true;
  const work = qualificationsFor(plan, task, connectors);
  return work.size === 0 || isGiven(plan, person, work);
};

/** Whether the plan gives the person such work, and by the name it is nobody who still learns it. */
const isGiven = (plan: Plan, person: string, work: ReadonlySet<Qualification>): boolean =>
  !stillLearns(person) &&
  [...work].every((kind) =>
    plan.operations.some(
      ({ by, taskId, connectors }) =>
        by?.value === person &&
        qualificationsFor(
          plan,
          taskId,
          connectors.map(({ value }) => value),
        ).has(kind),
    ),
  );

/** Whoever makes the vehicle safe in a plan does these. */
export const safetyTasks: readonly string[] = [
  'prove-dead',
  'isolate',
  'lock-out',
  'wait',
  'lock-out-off',
  'isolate-48v',
  'battery-12v-off',
  'battery-12v-on',
  'shut-down',
];

/**
 * Who does a step that a fix writes. Where the rate sheet lists people, it is one whom the sheet allows the work: the person
 * of the step beside it or one who makes the vehicle safe in this plan. Where no sheet lists people, work that needs a
 * qualification goes to one who does such work in this plan: the person of the step beside it or one who handles the same
 * connectors. Without such a person the step names nobody.
 * @param beside the person of the step beside it
 */
export function personFor(
  plan: Plan,
  task: string,
  connectors: readonly string[],
  beside: string | undefined,
): string | undefined {
  const work = qualificationsFor(plan, task, connectors);
  const neighbour = beside === undefined ? [] : [beside];
  if (!plan.scope.people) {
    if (work.size === 0) return beside;
    const { lives } = sequenceOf(plan);
    const handlers = connectors.flatMap(
      (id) => lives.get(id)?.operations.flatMap(({ by }) => by?.value ?? []) ?? [],
    );
    return [...neighbour, ...handlers].find((person) => isGiven(plan, person, work));
  }
  const makers = safetyTasks.flatMap((safe) =>
    plan.operationsDoing(safe).flatMap(({ by }) => by?.value ?? []),
  );
  const people = safetyTasks.includes(task) ? [...makers, ...neighbour] : [...neighbour, ...makers];
  return people.find((person) => mayDo(plan, person, work));
}
