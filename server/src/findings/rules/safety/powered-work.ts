import { say } from '../../../language/phrase.ts';
import type { Operation } from '../../../plan/operations.ts';
import type { Plan } from '../../../plan/plan.ts';
import {
  engineZone,
  leavesOn,
  needsNotPowered,
  parkedAfter,
  startsByItself,
} from '../../../plan/tables/needs.ts';
import { isVehicleFactMet } from '../../../sequence/facts/timeline.ts';
import { fix, insertBefore } from '../../support/mending.ts';
import { alsoAt, andAt, told, unmetGroups } from '../../support/needs.ts';
import { traceAt, named } from '../../support/words.ts';
import type { CheckContext, FindingReport, Fix, FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';

export const poweredWork: FindingRule = {
  id: 'powered-work',
  title: say`Parts are taken off or cut on a powered vehicle`,
  severity: 'warning',
  page: () => ({
    means: say`Parts are removed or refitted, or metal is cut, drilled, ground or straightened, while the vehicle may still be powered: it came in powered, or was powered up or its engine was run, and nothing shuts it down before the work. Or this is done in \`motor-bay\` on a hybrid that may still be on since a scan, a calibration or a programming. Power that comes on beside the work is told by \`powered-beside\`. Of a vehicle that was only driven or charged nothing is told.`,
    why: say`A powered vehicle makes no sound. A fan, a belt or a wheel can start by itself. Shutting down stops those; it does not make the high-voltage system dead.`,
    whatToDo: say`Shut the vehicle down before the work, as the vehicle maker specifies.`,
    source: commonPractice,
    example: {
      wrong: `operations:
  - { id: op10, do: run-engine }
  - { id: op20, do: remove, zone: motor-bay }
`,
      right: `operations:
  - { id: op10, do: run-engine }
  - { id: op15, do: shut-down }
  - { id: op20, do: remove, zone: motor-bay }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'safety',
  needsEveryStep: true,
  *check(subject) {
    yield* atTheEngine(subject);
    const { plan, sequence } = subject;
    const gates = new Set(sequence.gates);
    const work = [...needsNotPowered]
      .flatMap((task) => plan.operationsDoing(task))
      .filter(({ offVehicle }) => !offVehicle);
    for (const { culprit, first, others } of told(
      subject,
      'powered-work',
      // Power that comes on beside the work is told where it comes on (`powered-beside`).
      unmetGroups(
        plan,
        'not-powered',
        work,
        (culprit, step) =>
          gates.has(culprit) &&
          sequence.order.unordered(culprit, step) &&
          subject.isActive('powered-beside', { operation: culprit.id }),
      ),
    )) {
      if (culprit && parkedAfter.has(culprit.taskId)) continue;
      yield {
        at: first.span,
        operation: first.id,
        message: culprit
          ? say`${named(first)} begins while the vehicle may still be powered since ${named(culprit)}: a fan, a belt or a wheel can start by itself. Shut the vehicle down before ${first.id}.`
          : say`${named(first)} begins, and the vehicle came in powered: a fan, a belt or a wheel can start by itself. Shut the vehicle down before ${first.id}.`,
        ...andAt(others),
        trace: [
          ...(culprit
            ? [traceAt(culprit, say`${named(culprit)}: the vehicle may be powered from here`)]
            : []),
          ...alsoAt(others),
        ],
        fixes: () => [shutDown(plan, first, culprit)],
      };
    }
  },
};

/** Work at an engine that starts by itself, on a vehicle that may still be switched on since a scan or the like. */
function* atTheEngine(subject: CheckContext): Generator<FindingReport> {
  const { plan } = subject;
  if (!startsByItself.has(plan.vehicle?.node.get('propulsion')?.value ?? '')) return;
  const work = [...needsNotPowered]
    .flatMap((task) => plan.operationsDoing(task))
    .filter((step) => step.zones.includes(engineZone) && !hasNo12V(plan, step));
  if (work.length === 0) return;
  for (const { culprit, first, others } of told(
    subject,
    'powered-work',
    unmetGroups(plan, 'shut-down', work),
  )) {
    if (!culprit || !leavesOn.has(culprit.taskId)) continue;
    yield {
      at: first.span,
      operation: first.id,
      message: say`${named(first)} works in ${engineZone} after ${named(culprit)}, and nobody knows whether the vehicle is still on: the engine of a hybrid starts by itself, with its belts and fans. Shut the vehicle down before ${first.id}.`,
      ...andAt(others),
      trace: [traceAt(culprit, say`${named(culprit)}: the vehicle may be on from here`), ...alsoAt(others)],
      fixes: () => [shutDown(plan, first, culprit)],
    };
  }
}

const hasNo12V = (plan: Plan, step: Operation): boolean =>
  isVehicleFactMet(plan, '12v-off', step) && isVehicleFactMet(plan, 'charger-off', step);

const shutDown = (plan: Plan, step: Operation, culprit: Operation | undefined): Fix | undefined =>
  fix(
    say`Shut the vehicle down before ${step.planStep.id}`,
    insertBefore(plan, step.planStep, [{ task: 'shut-down', fields: [] }], culprit ? [culprit.planStep] : []),
  );
