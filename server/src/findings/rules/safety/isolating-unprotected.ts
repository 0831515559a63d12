import { isolates, mayCarryHighVoltage, stepsAtIsolating } from '../../../plan/high-voltage.ts';
import type { Operation } from '../../../plan/operations.ts';
import type { Plan } from '../../../plan/plan.ts';
import { glovedOnIsolating, needsDeadWhileOpen, parkedAfter } from '../../../plan/tables/needs.ts';
import { ConnectorFacts, VehicleFacts, isVehicleFactMet } from '../../../sequence/facts/timeline.ts';
import { historiesWhere } from '../../../sequence/lives.ts';
import type { Sequence } from '../../../sequence/lives.ts';
import { safetyUnsure } from '../../support/high-voltage.ts';
import { fix, insertBefore } from '../../support/mending.ts';
import { spanOfMention, named, traceAt } from '../../support/words.ts';
import { say } from '../../../language/phrase.ts';
import { actsAs } from '../../support/tools.ts';
import type { FindingReport, FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';

export const isolatingUnprotected: FindingRule = {
  id: 'isolating-unprotected',
  title: say`The service plug without gloves, without its procedure or under load`,
  severity: 'error',
  page: () => ({
    means: say`A connector whose opening is the isolation (\`isolates: true\`) is opened, closed, or handled before the system is proven dead in a step without \`glove-class\`, or is opened or closed without a source of the vehicle maker's procedure; or it is opened while the vehicle may still be powered: it came in powered, or was powered up or its engine was run, and nothing shuts it down first; or it is opened, and another one whose opening isolates as well never is, or only after the proof (a warning).`,
    why: say`At that moment the system is live. What protects the hand are the gloves and the order that the vehicle maker specifies. A plug that is opened under load draws an arc, against which gloves do little.`,
    whatToDo: say`Write the class of the gloves in the step, and the source of the connector. Shut the vehicle down before the plug is opened. Open every plug that the vehicle maker names for the isolation.`,
    source: commonPractice,
    example: {
      wrong: `connectors:
  - { id: service-plug, class: high-voltage-power, zone: rear-floor, isolates: true }
operations:
  - { id: op10, do: disconnect, connectors: [service-plug] }
`,
      right: `connectors:
  - { id: service-plug, class: high-voltage-power, zone: rear-floor, isolates: true, source: S1 }
sources:
  - { id: S1, title: Isolation of the Kestrel (invented), publisher: vehicle-maker, consulted: 2027-02-03 }
operations:
  - { id: op10, do: disconnect, connectors: [service-plug], glove-class: '0' }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'safety',
  *check({ plan, sequence }) {
    yield* oneOfSeveral(plan);
    yield* afterTheProof(plan, sequence);
    for (const life of isolatorsOf(plan)) {
      const { connector } = life;
      const facts = new ConnectorFacts(plan, sequence, life);
      for (const operation of life.operations) {
        const { taskId } = operation;
        const [opens, closes] = [isOpening(operation), isClosing(operation)];
        if (!glovedOnIsolating.has(taskId) && !opens && !closes) continue;
        if (opens) yield* underLoad(plan, operation, connector.id);
        // The look at a closed plug needs nothing.
        if (needsDeadWhileOpen.has(taskId) && facts.isMet('closed', operation)) continue;
        const handled = opens || closes;
        if (!handled && isVehicleFactMet(plan, 'high-voltage-dead', operation)) continue;
        const gloves = operation.step.node.entry('glove-class') !== undefined;
        if (gloves && (connector.source !== undefined || !handled)) continue;
        yield {
          at: spanOfMention(operation, connector.id),
          operation: operation.id,
          connector: connector.id,
          severity: gloves ? 'warning' : 'error',
          message: gloves
            ? say`${named(operation)} isolates with ${connector.id}, and no source names the vehicle maker's procedure for it. Name it as \`source\` of ${connector.id}.`
            : say`${named(operation)} handles ${connector.id} while the high-voltage system is live, and names no insulating gloves. Write \`glove-class\` in ${operation.id}, and follow the vehicle maker's procedure.`,
        };
      }
    }
  },
};

/** By the built-in task, or by one of the shop's own, as its row says. */
const isOpening = actsAs('disconnect', 'open', 'isolated');
const isClosing = actsAs('reconnect', 'closed');

/** A plug that isolates as well and that the plan never opens: it may feed a part of the system. */
function* oneOfSeveral(plan: Plan): Generator<FindingReport> {
  const [first] = stepsAtIsolating(plan, 'disconnect');
  if (!first || safetyUnsure(plan)) return;
  const opened = new Set(
    plan.operationsDoing('disconnect').flatMap(({ connectors }) => connectors.map(({ value }) => value)),
  );
  const [pulled] = first.connectors.filter(({ value }) => isolates(plan, value));
  for (const { id, class: kind, isolates: also, span } of plan.scope.connectors.values()) {
    if (!also || kind !== 'high-voltage-power' || opened.has(id)) continue;
    yield {
      at: spanOfMention(first, pulled!.value),
      operation: first.id,
      connector: id,
      severity: 'warning',
      message: say`${named(first)} opens ${pulled!.value}, and nobody opens ${id}, whose opening isolates as well: a part of the high-voltage system may stay live. Open ${id}, too, or accept this finding at ${id} where the vehicle maker specifies one of them alone.`,
      trace: [{ at: span, message: say`${id} is described here` }],
    };
  }
}

/** A plug that isolates as well and is opened only after the proof, with no other proof before high voltage is opened. */
function* afterTheProof(plan: Plan, { order }: Sequence): Generator<FindingReport> {
  const pulls = stepsAtIsolating(plan, 'disconnect');
  if (pulls.length < 2 || safetyUnsure(plan)) return;
  const proofs = plan.operationsDoing('prove-dead');
  const openings = plan.operationsDoing('disconnect').filter(({ connectors }) =>
    connectors.some(({ value }) => {
      const connector = plan.scope.connectors.get(value);
      return connector && !connector.isolates && mayCarryHighVoltage(plan, connector);
    }),
  );
  for (const pull of pulls) {
    const opened = pull.connectors.find(
      ({ value }) =>
        isolates(plan, value) &&
        !pulls.some(
          (other) =>
            order.before(other, pull) && other.connectors.some((connector) => connector.value === value),
        ),
    );
    const proof = proofs.findLast(
      (step) => order.before(step, pull) && pulls.some((other) => order.before(other, step)),
    );
    if (!opened || !proof) continue;
    const later = proofs.filter((step) => order.before(pull, step));
    const owing = openings.filter((step) => order.before(proof, step));
    const isProven = (step: Operation): boolean => later.some((one) => order.before(one, step));
    if (owing.length > 0 ? owing.every(isProven) : later.length > 0) continue;
    const id = opened.value;
    yield {
      at: spanOfMention(pull, id),
      operation: pull.id,
      connector: id,
      severity: 'warning',
      message: say`${named(pull)} opens ${id}, whose opening isolates as well, only after ${named(proof)}: a part of the high-voltage system may have been live then. Open ${id} before the wait and prove the system dead after it, or accept this finding at ${id} where the vehicle maker specifies that order.`,
      trace: [traceAt(proof, say`${named(proof)} comes before it`)],
    };
  }
}

/** A service plug that is opened while the vehicle may be powered. */
function* underLoad(plan: Plan, operation: Operation, id: string): Generator<FindingReport> {
  if (safetyUnsure(plan)) return;
  const found = new VehicleFacts(plan).verdict('not-powered', operation);
  if (found.met) return;
  const culprit = found.culprits.at(-1);
  if (culprit && parkedAfter.has(culprit.taskId)) return;
  yield {
    at: spanOfMention(operation, id),
    operation: operation.id,
    connector: id,
    severity: 'error',
    message: culprit
      ? say`${named(operation)} opens ${id} while the vehicle may still be powered since ${named(culprit)}: a plug that opens under load draws an arc that burns and blinds. Shut the vehicle down before ${operation.id}, as the vehicle maker specifies.`
      : say`${named(operation)} opens ${id}, and the vehicle came in powered: a plug that opens under load draws an arc that burns and blinds. Shut the vehicle down before ${operation.id}, as the vehicle maker specifies.`,
    trace: culprit ? [traceAt(culprit, say`${named(culprit)}: the vehicle may be powered from here`)] : [],
    fixes: () => [
      fix(
        say`Shut the vehicle down before ${operation.planStep.id}`,
        insertBefore(
          plan,
          operation.planStep,
          [{ task: 'shut-down', fields: [] }],
          culprit ? [culprit.planStep] : [],
        ),
      ),
    ],
  };
}

const isolatorsOf = historiesWhere(({ connector, unsure }) => !unsure && connector.isolates);
