import { hasIgniter } from '../../../plan/tables/classes.ts';
import { mayCarryHighVoltage } from '../../../plan/high-voltage.ts';
import type { Operation } from '../../../plan/operations.ts';
import { operationsWhere } from '../../../plan/plan.ts';
import type { Plan } from '../../../plan/plan.ts';
import { livening } from '../../../plan/tables/effects.ts';
import type { VehicleFact } from '../../../plan/tables/effects.ts';
import type { OwnDanger } from '../../../plan/tables/needs.ts';
import { soundsLike, unplugsByName } from '../../../plan/tables/own-names.ts';
import { builtInTasks } from '../../../plan/tables/tasks.ts';
import type { Task } from '../../../plan/tables/tasks.ts';
import type { Connector } from '../../../plan/scope.ts';
import { foundations } from '../../../sequence/facts/timeline.ts';
import { say } from '../../../language/phrase.ts';
import type { Phrase } from '../../../language/phrase.ts';
import type { CheckContext, FindingReport, FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';
import { alsoAt, andAt, told, unmetGroups } from '../../support/needs.ts';
import { isByHand, isOwnTask, isSilentOn } from '../../support/tools.ts';
import { named, traceAt } from '../../support/words.ts';

export const needsUnstated: FindingRule = {
  id: 'needs-unstated',
  title: say`A shop's own task that may be dangerous, and nothing says what it needs`,
  severity: 'error',
  page: () => ({
    means: say`A task that the shop has added names a high-voltage, restraint, pyrotechnic or 48 V connector at a time when that system is not certain to be made safe, and its row in the rate sheet asks under \`needs:\` for nothing that makes that system safe. It is a warning for 48 V, and for a task that raises knocks in the zone of the traction battery while the battery may be in place. It is a warning, too, where the name of such a task sounds like dangerous work (welding, grinding, washing, towing, unplugging, powering up and the like), and its row says nothing of what it raises, makes or ends; of work that is dangerous without raising anything, such as powering up, nothing of what it makes or ends. A row with \`needs: []\` counts as silent where the name of the task tells that the connector is unplugged, plugged in, taken off or changed.`,
    why: say`Plugward knows what its own tasks need, such as disconnecting. Of a task that the shop has added it knows only what the row says; hands on a live contact or an armed airbag are as likely there.`,
    whatToDo: say`Make the system safe before the step, and write in the row of the task what it needs: \`needs: [high-voltage-dead]\` for high voltage, \`[restraint-safe]\` for igniters, \`[48v-off]\` for 48 V. Write \`needs: []\` only if nobody touches the connector. For a task that pulls at metal, write \`ends: [battery-checked]\`, for one that puts the vehicle under power or charges it, \`ends: [not-powered]\`, and for one that connects 12 V, \`makes: [12v-on]\`.`,
    source: commonPractice,
    example: {
      wrong: `operations:
  - { id: op40, do: rewire, connectors: [inverter-dc] }
uses: [./example.rate-sheet.yaml, ./tasks.rate-sheet.yaml]
`,
      right: `operations:
  - { id: op40, do: look-over, connectors: [inverter-dc] }
uses: [./example.rate-sheet.yaml, ./tasks.rate-sheet.yaml]
`,
    },
  }),
  kinds: plansOnly,
  ground: 'safety',
  needsEveryStep: true,
  *check(subject) {
    const { plan } = subject;
    yield* bySound(plan);
    yield* atTheBattery(subject);
    if (naming(plan).length === 0) return;
    for (const { fact, against, concerns, severity, danger } of dangers) {
      const touched = (operation: Operation): string[] =>
        operation.connectors.flatMap(({ value }) => {
          const connector = plan.scope.connectors.get(value);
          // A plug whose opening is the isolation is closed with gloves (`isolating-unprotected`).
          if (connector?.isolates && !isSilentOn(against, operation.task!)) return [];
          return connector && concerns(plan, connector) ? [value] : [];
        });
      const steps = naming(plan).filter(
        (operation) =>
          (isSilentOn(against, operation.task!) || deniesTouch(operation.task!)) &&
          !makesSafe(operation, fact) &&
          touched(operation).length > 0,
      );
      for (const { culprit, first, others } of told(
        subject,
        'needs-unstated',
        unmetGroups(plan, fact, steps),
      )) {
        const [connector] = touched(first);
        yield {
          at: first.span,
          operation: first.id,
          connector: connector!,
          severity,
          message: say`${named(first)} is the shop's own task, names ${connector!}, and its row does not ask for \`${fact}\`: ${danger}. Write \`needs: [${[...first.task!.needs, fact].join(', ')}]\` in the row of ${first.taskId}, and make the system safe before ${first.id}, as the vehicle maker specifies.`,
          ...andAt(others),
          trace: [
            ...(culprit ? [traceAt(culprit, say`${named(culprit)}: not safe any more from here`)] : []),
            ...alsoAt(others),
          ],
        };
      }
    }
  },
};

/** A row that needs nothing, of a task that puts hands on what the step names. */
const deniesTouch = (task: Task): boolean => task.needs.length === 0 && isByHand(task);

/** Tasks of the shop's own with an empty row, or one that tells nothing of what they do, whose name is that of dangerous work: once each. */
function* bySound(plan: Plan): Generator<FindingReport> {
  const known = new Set<string>();
  for (const step of unsaid(plan)) {
    if (known.has(step.taskId)) continue;
    known.add(step.taskId);
    const like = builtInTasks.get(soundsLike(step.taskId) ?? '');
    if (!like || !leavesOpen(step, like)) continue;
    yield {
      at: step.span,
      operation: step.id,
      severity: 'warning',
      message: isHazardous(like)
        ? say`${named(step)} is the shop's own task, sounds like ${like.doing}, and its row says nothing of what it raises or ends, so no danger of it is checked. Write in the row of ${step.taskId} what it \`raises\`, \`needs\` and \`ends\`; \`raises: []\` if the name misleads.`
        : say`${named(step)} is the shop's own task, sounds like ${like.doing}, and its row does not say what it makes or ends, so no danger of it is checked. Write that in the row of ${step.taskId}, as \`needs\`, \`makes\` and \`ends\`; \`ends: []\` if the name misleads.`,
    };
  }
}

/** Steps of tasks of the shop's own whose rows make and end nothing and are no gate. */
const unsaid = operationsWhere(
  ({ task }) =>
    task !== undefined &&
    !builtInTasks.has(task.id) &&
    task.makes.length + task.ends.length === 0 &&
    !task.gate,
);

const isHazardous = ({ raises }: Task): boolean => raises.length > 0;

/** Whether a row leaves open what a task of that sound raises or brings to life. */
const leavesOpen = ({ task, taskId, connectors }: Operation, like: Task): boolean => {
  const { needs, needsStated, saysHazards, saysEffects } = task!;
  // Where the danger is no hazard, a row that says what it raises says nothing of it.
  return (
    !(isHazardous(like) ? saysHazards : saysEffects) &&
    (!needsStated ||
      livening.has(like.id) ||
      // Of a plug that no step names, closing may be the end of the isolation.
      (like.id === 'reconnect' && connectors.length === 0) ||
      (needs.length > 0 &&
        (like.raises.some((hazard) => hazard !== 'knock') ||
          (connectors.length > 0 && unplugsByName(taskId)))))
  );
};

/** A task of the shop's own that may pull at the metal around the traction battery. */
function* atTheBattery(subject: CheckContext): Generator<FindingReport> {
  const { plan } = subject;
  const zones = new Set(plan.vehicle?.batteryZones.map(({ value }) => value));
  const steps = knocking(plan).filter((step) => step.zones.some((zone) => zones.has(zone)));
  if (steps.length === 0) return;
  const groups = unmetGroups(plan, 'battery-out', steps).map((group) => ({ ...group, culprit: undefined }));
  for (const { first, others } of told(subject, 'needs-unstated', groups)) {
    yield {
      at: first.span,
      operation: first.id,
      severity: 'warning',
      message: say`${named(first)} is the shop's own task, strikes or pulls at the place of the traction battery, and its row does not say what it needs or ends: a strained housing lets water in or shorts a cell. Write \`ends: [battery-checked]\` in the row of ${first.taskId} if it pulls at metal, else \`needs: []\`.`,
      ...andAt(others),
      trace: alsoAt(others),
    };
  }
}

const knocking = operationsWhere(
  ({ task }) =>
    task !== undefined &&
    !task.needsStated &&
    task.raises.includes('knock') &&
    !task.ends.includes('battery-checked'),
);

/** Steps by a task of the shop's own that name connectors. */
const naming = operationsWhere((operation) => isOwnTask(operation) && operation.connectors.length > 0);

interface Danger {
  /** What must be certain before hands touch the connector. */
  readonly fact: VehicleFact;
  readonly against: OwnDanger;
  readonly concerns: (plan: Plan, connector: Connector) => boolean;
  readonly severity: 'error' | 'warning';
  readonly danger: Phrase;
}

const dangers: readonly Danger[] = [
  {
    fact: 'high-voltage-dead',
    against: 'cables',
    concerns: mayCarryHighVoltage,
    severity: 'error',
    danger: say`a live contact kills`,
  },
  {
    fact: 'restraint-safe',
    against: 'igniters',
    concerns: (_, connector) => hasIgniter(connector),
    severity: 'error',
    danger: say`an airbag or a pretensioner can fire into hands and face`,
  },
  {
    fact: '48v-off',
    against: '48-volt',
    concerns: (_, connector) => connector.class === '48-volt',
    severity: 'warning',
    danger: say`a 48 V arc burns skin and contacts`,
  },
];

/** Whether the row of a task says that it makes a fact, or one that the fact rests on: it is a step of making safe. */
const makesSafe = ({ task }: Operation, fact: VehicleFact): boolean =>
  task!.makes.some((made) => foundations(fact).includes(made));
