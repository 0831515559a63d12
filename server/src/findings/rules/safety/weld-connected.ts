import { addToGroup, emptyList } from '../../../base/collections.ts';
import { VehicleFacts } from '../../../sequence/facts/timeline.ts';
import { andList, say, uncapital } from '../../../language/phrase.ts';
import type { Operation } from '../../../plan/operations.ts';
import { bothHalves } from '../../../plan/steps.ts';
import type { Plan } from '../../../plan/plan.ts';
import { mayHaveHighVoltage } from '../../../plan/high-voltage.ts';
import { historiesWhere } from '../../../sequence/lives.ts';
import type { ConnectorHistory } from '../../../sequence/life.ts';
import { isReportedElsewhere } from '../../support/exposure.ts';
import { windowsOf } from '../../../sequence/facts/exposure.ts';
import type { FindingRule, Fix, FindingReport, CheckContext } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';
import { isolationState, proofToWaitFor } from '../../support/high-voltage.ts';
import { makeSafeWays, offWithTheOthers } from '../../support/make-safe.ts';
import { fix, insertBefore, onlyAfter } from '../../support/mending.ts';
import { ownWelding } from '../../support/tools.ts';
import type { NewStep } from '../../support/mending.ts';
import { traceAt, named } from '../../support/words.ts';

/** Connectors of restraints, as far as their lives are known. */
const restraintsOf = historiesWhere(({ connector, unsure }) => !unsure && connector.class === 'restraint');

export const weldConnected: FindingRule = {
  id: 'weld-connected',
  title: say`Welding with a battery connected or a restraint connector bare`,
  severity: 'error',
  page: () => ({
    means: say`Welding or brazing, or a task of the shop's own that raises heat and sparks and does not say what it needs, is not certain to come after the high-voltage system is isolated, the 12 V battery disconnected and every charger and jump pack off the 12 V supply (\`support-12v-off\`), or may happen while a restraint connector near it is bare.`,
    why: say`Welding current takes every return path it finds: through control units, cells, the igniter of an airbag.`,
    whatToDo: say`Isolate the high-voltage system, take every charger and jump pack off and disconnect the 12 V battery before welding, as the vehicle maker specifies; cover the restraint connectors near it.`,
    source: commonPractice,
    example: {
      wrong: `operations:
  - { id: op50, do: weld, zone: quarter-left }
`,
      right: `operations:
  - { id: op10, do: battery-12v-off }
  - { id: op12, do: isolate }
  - { id: op14, do: lock-out }
  - { id: op16, do: wait, time: 5 min }
  - { id: op18, do: prove-dead, meter-proven: before-and-after }
  - { id: op50, do: weld, zone: quarter-left }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'safety',
  needsEveryStep: true,
  *check(subject) {
    const { plan } = subject;
    const facts = new VehicleFacts(plan);
    const bare = bareRestraints(plan);
    const welding = ['weld', 'braze'].flatMap((task) => plan.operationsDoing(task));
    for (const operation of [...welding, ...ownWelding(plan)]) {
      if (!operation.offVehicle) yield* connected(subject, facts, operation);
      for (const life of bare.get(operation) ?? emptyList) yield* besideBare(life, subject, operation);
    }
  },
};

function* connected(
  { plan, sequence }: CheckContext,
  facts: VehicleFacts,
  operation: Operation,
): Generator<FindingReport> {
  const { missing, culprit } = isolationState(facts, operation);
  const high = mayHaveHighVoltage(plan);
  const live = high && missing.includes('isolate');
  const live48 = !high && !facts.isMet('48v-off', operation);
  const on12V = !facts.isMet('12v-off', operation);
  const charger = facts.verdict('charger-off', operation);
  const supply = charger.met ? undefined : charger.culprit;
  if (!live && !live48 && !on12V && !supply) return;
  const undone = [
    ...(live ? [say`the high-voltage system to be isolated`] : []),
    ...(live48 ? [say`the 48 V system to be isolated`] : []),
    ...(supply ? [say`the charger or jump pack of ${supply.id} to be taken off`] : []),
    ...(on12V ? [say`the 12 V battery to be disconnected`] : []),
  ];
  yield {
    at: operation.span,
    operation: operation.id,
    severity: live ? 'error' : 'warning',
    message: say`Nothing makes ${named(operation)} wait for ${andList(undone)}: welding current can pass through control units and battery cells. Do that first, as the vehicle maker specifies.`,
    trace: [
      ...(culprit ? [traceAt(culprit, say`${named(culprit)} may make the system live again here`)] : []),
      ...(supply
        ? [traceAt(supply, say`${named(supply)}: a charger or jump pack may be on the 12 V supply from here`)]
        : []),
    ],
    fixes: () => {
      const more: readonly NewStep[] = [
        ...(supply ? [{ task: 'support-12v-off', fields: [], by: 'nobody' } as const] : []),
        ...(on12V ? [{ task: 'battery-12v-off', fields: [], by: 'nobody' } as const] : []),
        ...(live48 ? [{ task: 'isolate-48v', fields: [], by: 'nobody' } as const] : []),
      ];
      const deeds = [
        ...(supply ? [say`Take the charger or jump pack off`] : []),
        ...(live48 ? [say`Isolate the 48 V system`] : []),
        ...(on12V ? [say`Disconnect the 12 V battery`] : []),
      ];
      const title = andList(deeds.map((deed, i) => (i === 0 ? deed : uncapital(deed))));
      const tasks = [...(supply ? ['support-12v-off'] : []), ...(on12V ? ['battery-12v-off'] : [])];
      const waiting = live48 ? undefined : waitForAll({ plan, sequence }, operation, live, tasks);
      if (live) return [[waiting, ...makeSafeWays(plan, operation, { missing, culprit }, more)]];
      return [
        [
          waiting,
          ...(live48 || supply ? [] : offWithTheOthers(plan, operation)),
          fix(say`${title} before ${operation.planStep.id}`, insertBefore(plan, operation.planStep, more)),
        ],
      ];
    },
  };
}

/** If the plan already does what is owed, only make the welding wait for it. */
function waitForAll(
  { plan, sequence }: Pick<CheckContext, 'plan' | 'sequence'>,
  target: Operation,
  live: boolean,
  tasks: readonly string[],
): Fix | undefined {
  const steps = [
    live ? proofToWaitFor(plan, sequence, target) : undefined,
    ...tasks.map((task) =>
      plan.operationsDoing(task).find((operation) => !sequence.order.before(target, operation)),
    ),
  ].flatMap((step) => step ?? []);
  if (steps.length < Number(live) + tasks.length) return undefined;
  return onlyAfter(plan, target, ...steps);
}

/** The restraints that are bare during a step which endangers them, by that step. */
function bareRestraints(plan: Plan): ReadonlyMap<Operation, readonly ConnectorHistory[]> {
  const found = new Map<Operation, ConnectorHistory[]>();
  for (const life of restraintsOf(plan)) {
    const endangering = windowsOf(plan, life).flatMap(({ hazards }) =>
      hazards.map(({ operation }) => operation),
    );
    for (const operation of new Set(endangering)) addToGroup(found, operation, life);
  }
  return found;
}

/** If the bare connector itself is reported, do not also report the welding. */
function* besideBare(
  life: ConnectorHistory,
  { plan, isActive: counts }: CheckContext,
  operation: Operation,
): Generator<FindingReport> {
  const { connector } = life;
  const windows = windowsOf(plan, life);
  const window = windows.find(({ hazards }) => hazards.some((hazard) => hazard.operation === operation));
  if (!window || isReportedElsewhere(window, windows, connector.id, counts)) return;
  yield {
    at: operation.span,
    operation: operation.id,
    connector: connector.id,
    message:
      window.halves.length === bothHalves.length
        ? say`${named(operation)} may happen while both halves of ${connector.id} are bare: sparks and welding current can fire its airbag or pretensioner. Cover both halves first, as the vehicle maker specifies.`
        : say`${named(operation)} may happen while one half of ${connector.id} is bare: sparks and welding current can fire its airbag or pretensioner. Cover that half first, as the vehicle maker specifies.`,
    trace: [
      traceAt(window.opened.operation, say`${window.opened.operation.id}: ${connector.id} is bare from here`),
    ],
  };
}
