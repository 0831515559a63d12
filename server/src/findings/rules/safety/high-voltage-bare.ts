import { own } from '../../../base/collections.ts';
import { keyedQuery, query, sameMembers } from '../../../incremental/query.ts';
import { mayCarryHighVoltage } from '../../../plan/high-voltage.ts';
import type { Operation } from '../../../plan/operations.ts';
import { SnapshotPlan } from '../../../plan/plan.ts';
import type { Plan } from '../../../plan/plan.ts';
import type { Snapshot } from '../../../plan/snapshot.ts';
import { fluidsOfTask } from '../../../plan/tables/effects.ts';
import { needsDeadOnTheVehicle } from '../../../plan/tables/needs.ts';
import { contaminating } from '../../../plan/tables/tasks.ts';
import { protectionOf } from '../../../sequence/facts/exposure.ts';
import { unmetSteps } from '../../../sequence/facts/at-steps.ts';
import { reachedFrom } from '../../../sequence/life.ts';
import { sequenceOf } from '../../../sequence/lives.ts';
import { movesVehicle } from '../../support/beside.ts';
import { coverWays } from '../../support/covers.ts';
import { onlyAfter } from '../../support/mending.ts';
import { alsoAt } from '../../support/needs.ts';
import { traceAt, named } from '../../support/words.ts';
import { say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';

export const highVoltageBare: FindingRule = {
  id: 'high-voltage-bare',
  title: say`A high-voltage contact left bare while other work goes on`,
  severity: 'error',
  page: () => ({
    means: say`Somebody works by hand in the zone of an open high-voltage connector, or next to it, while one of its halves is neither covered nor closed. It is a warning where the plan only does not forbid it, and where the work is elsewhere. Work on that connector itself does not count, nor does covering. Towing, pushing, lifting or lowering the vehicle and sending it to another firm count as work there.`,
    why: say`The half on the side of the traction battery can stay live after every proof: cells cannot be switched off, and a contactor can stick.`,
    whatToDo: say`Cover both halves right after the opening, with what the vehicle maker or the shop keeps for it, before anybody does anything else there.`,
    source: commonPractice,
    example: {
      wrong: `connectors:
  - { id: inverter-dc, class: high-voltage-power, zone: rear-floor }
operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
  - { id: op30, do: remove, zone: rear-floor }
  - { id: op40, do: cover, connectors: [inverter-dc], using: dummy-plug }
`,
      right: `connectors:
  - { id: inverter-dc, class: high-voltage-power, zone: rear-floor }
operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
  - { id: op25, do: cover, connectors: [inverter-dc], using: dummy-plug }
  - { id: op30, do: remove, zone: rear-floor }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'order',
  needsEveryStep: true,
  perConnector: true,
  *check({ plan, sequence, lives }) {
    const { zones } = plan.scope;
    for (const life of lives) {
      const { connector, events, operations, unsure, unclear } = life;
      if (unsure || unclear || connector.class !== 'high-voltage-power') continue;
      if (!mayCarryHighVoltage(plan, connector) || !events.some(({ act }) => act === 'disconnect')) continue;
      const { zone } = connector;
      const isNear = (step: Operation): boolean =>
        moves(step) ||
        step.zones.length === 0 ||
        zone === undefined ||
        step.zones.some((other) => other === zone || zones.adjoin(other, zone));
      const found = new Map<Operation, Set<Operation>>();
      const certain = new Set<Operation>();
      for (const { step, opened, isCertain } of bareMeanwhile(plan.reading, connector.id)) {
        if (operations.includes(step)) continue;
        // Dirt that reaches the contact is told by the findings about covers.
        if (reachedFrom(zones, step, zone, contaminating) !== undefined) continue;
        if (isCertain) certain.add(step);
        // Work elsewhere counts only where the contact is certainly left bare meanwhile.
        else if (!isNear(step)) continue;
        const ending = events.find(
          ({ act, operation }) => endings.has(act) && sequence.order.before(opened, operation),
        )?.operation;
        if (isPartOf([opened, ending], step)) continue;
        const met = found.get(opened);
        if (met) met.add(step);
        else found.set(opened, new Set([step]));
      }
      for (const [opened, met] of found) {
        const isGrave = (step: Operation): boolean => certain.has(step) && isNear(step);
        // The gravest first: it decides the severity.
        const [first, ...others] = [...met].sort(
          (a, b) => Number(isGrave(b)) - Number(isGrave(a)) || sequence.order.compare(a, b),
        );
        const covered = events.find(
          ({ act, operation }) => act === 'cover' && sequence.order.before(opened, operation),
        )?.operation;
        yield {
          at: first!.span,
          operation: first!.id,
          connector: connector.id,
          severity: isGrave(first!) ? 'error' : 'warning',
          message: certain.has(first!)
            ? say`${named(first!)} comes while ${connector.id} is bare: the half on the battery side can stay live after every proof. Cover both halves right after ${opened.id}, before ${first!.id}.`
            : say`${named(first!)} may happen while ${connector.id} is bare: the half on the battery side can stay live after every proof. Make ${first!.id} wait until both halves are covered, or let it come before ${opened.id}.`,
          fixes: () => [
            covered && sequence.order.unordered(covered, first!) && covered.planStep !== first!.planStep
              ? onlyAfter(plan, first!, covered)
              : coverWays(plan, life, opened, first!),
          ],
          trace: [traceAt(opened, say`${opened.id}: ${connector.id} is bare from here`), ...alsoAt(others)],
        };
      }
    }
  },
};

/** A step by hand during which a half may be, or certainly is, bare since `opened`. */
interface BareStep {
  readonly step: Operation;
  readonly opened: Operation;
  readonly isCertain: boolean;
}

/** Work by hand that counts, and the vehicle's going to another firm, earlier first. */
const workIn = query((reading: Snapshot): readonly Operation[] => {
  const plan = new SnapshotPlan(reading);
  const { order, byHand } = sequenceOf(plan);
  const work = byHand.filter((step) => counts(plan, step));
  const leaves = plan.operationsDoing('send-out').filter((step) => counts(plan, step));
  return leaves.length === 0 ? work : [...work, ...leaves].sort((a, b) => order.compare(a, b));
}, sameMembers);

/** By connector. A query of its own, since the steps by hand change with almost every step that is written. */
const bareMeanwhile = keyedQuery(
  (reading: Snapshot, id: string): readonly BareStep[] => {
    const { order } = sequenceOf(new SnapshotPlan(reading));
    return protectionOf(reading, id).flatMap(({ timeline }) =>
      unmetSteps(order, timeline, workIn(reading)).flatMap(({ step, verdict: { certain, culprits } }) =>
        culprits.map((opened) => ({ step, opened, isCertain: certain })),
      ),
    );
  },
  (before, now) =>
    before.length === now.length &&
    before.every(({ step, opened, isCertain }, i) => {
      const other = now[i]!;
      return step === other.step && opened === other.opened && isCertain === other.isCertain;
    }),
);

/**
 * Whether a step by hand is at a known place, or at an unknown one and spreads, as dirt and coolant do. Covering, and work on high-voltage
 * connectors by the people who opened them, belong to the opening itself.
 */
const counts = (plan: Plan, step: Operation): boolean =>
  step.taskId !== 'cover' &&
  (moves(step) ||
    step.zones.length > 0 ||
    step.task!.raises.length > 0 ||
    needsDeadOnTheVehicle.has(step.taskId) ||
    own(fluidsOfTask, step.taskId)?.has('coolant') === true) &&
  !isOnHighVoltage(plan, step);

/** The vehicle goes where people do not know what is open. */
const leaving: ReadonlySet<string> = new Set(['send-out', 'tow']);
/** The same, or it is pushed, lifted or lowered, with hands on it and a plug that swings or is caught. */
const moves = (step: Operation): boolean => leaving.has(step.taskId) || movesVehicle(step);

/** What ends the time in which a half is bare. */
const endings: ReadonlySet<string> = new Set(['cover', 'reconnect']);

/** Work on connectors that are opened, uncovered or closed in the same steps as the bare one belongs to that job. */
function isPartOf(steps: readonly (Operation | undefined)[], { connectors }: Operation): boolean {
  const together = new Set(steps.flatMap((step) => step?.connectors.map(({ value }) => value) ?? []));
  return connectors.length > 0 && connectors.every(({ value }) => together.has(value));
}

function isOnHighVoltage({ scope }: Plan, { connectors }: Operation): boolean {
  // A loop: a function for each step takes a twentieth of the memory that an edit of a long plan takes.
  for (const { value } of connectors) {
    const kind = scope.connectors.get(value)?.class;
    if (kind === 'high-voltage-power' || kind === 'interlock') return true;
  }
  return false;
}
