import { say } from '../../../language/phrase.ts';
import type { Phrase } from '../../../language/phrase.ts';
import { isTractionDriven, mayHaveHighVoltage } from '../../../plan/high-voltage.ts';
import type { Operation } from '../../../plan/operations.ts';
import type { Plan } from '../../../plan/plan.ts';
import type { Connector } from '../../../plan/scope.ts';
import { nearCables, throughCables } from '../../../plan/tables/needs.ts';
import { zoneNamed } from '../../../plan/tables/zones.ts';
import { VehicleFacts } from '../../../sequence/facts/timeline.ts';
import { traceAt, named } from '../../support/words.ts';
import type { IsolationState } from '../../support/high-voltage.ts';
import { cablesIn, cablesNear } from '../../support/cables.ts';
import { makeSafeWays } from '../../support/make-safe.ts';
import { isolationState } from '../../support/high-voltage.ts';
import { stepsWithTools } from '../../support/tools.ts';
import { alsoAt, andAt, someOf, told } from '../../support/needs.ts';
import type { CheckContext, FindingReport, FindingRule } from '../../finding.ts';
import { plansOnly } from '../../finding.ts';

export const cutAtCables: FindingRule = {
  id: 'cut-at-cables',
  title: say`Metal is cut or welded where high-voltage cables may run`,
  severity: 'error',
  page: () => ({
    means: say`A step cuts, drills, grinds, welds, brazes or straightens in a zone with a high-voltage connector, or does a task of the shop's that raises sparks or metal debris and does not say what it needs, and either the system is not certain to be proven dead, or no source says where every cable runs. In an adjoining zone one of the two is enough. Where the plan names no high-voltage connector at all, it is a warning if neither is done before cutting, drilling or welding.`,
    why: say`A disc or a drill goes through the orange sleeve in a moment. A cable whose place is only guessed is found with the tool.`,
    whatToDo: say`Prove the system dead first, find every cable with the vehicle maker's documents, and name the source: \`cable-route\` in the step or under \`vehicle\`.`,
    source: say`HSE, Electric and hybrid vehicles (locate high-voltage cables before panel replacement, cutting or welding)`,
    example: {
      wrong: `operations:
  - { id: op50, do: cut, zone: rear-floor }
`,
      right: `vehicle: { description: Kestrel (invented), propulsion: battery-electric, system-voltage: 400 V, cable-route: S1 }
sources:
  - { id: S1, title: Cable routes of the Kestrel (invented), publisher: vehicle-maker, consulted: 2027-02-03 }
operations:
  - { id: op10, do: isolate }
  - { id: op12, do: lock-out }
  - { id: op14, do: wait, time: 5 min }
  - { id: op16, do: prove-dead, meter-proven: before-and-after }
  - { id: op50, do: cut, zone: rear-floor }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'safety',
  needsEveryStep: true,
  *check(subject) {
    const { plan, sequence } = subject;
    const cables = cablesIn(plan.reading);
    if (cables.size === 0) {
      yield* cablesNowhere(subject);
      return;
    }
    const facts = new VehicleFacts(plan);
    const causes = new Map<string, Cause>();
    const steps = stepsWithTools(plan, nearCables, 'cables');
    for (const operation of steps.sort((a, b) => sequence.order.compare(a, b))) {
      const { connectors: near, here } = cablesNear(operation, cables, plan.scope.zones);
      if (near.length === 0) continue;
      const dead = facts.isMet('high-voltage-dead', operation);
      const located = routeOf(plan, operation) !== undefined;
      if ((dead && located) || (!here && (dead || located))) continue;
      const owed = isolationState(facts, operation);
      // Welding on a system that is not isolated is told by \`weld-connected\`.
      if (heats.has(operation.taskId) && owed.missing.includes('isolate')) continue;
      const what = dead ? 'unlocated' : here ? 'live' : 'beside';
      const key = [what, owed.missing.join(), owed.culprit?.id].join(' ');
      const cause = causes.get(key);
      if (!cause) causes.set(key, { what, near, owed, steps: [operation] });
      else cause.steps.push(operation);
    }
    for (const { what, near, owed, steps: group } of causes.values()) {
      for (const { first, others } of told(subject, 'cut-at-cables', [
        { culprit: owed.culprit, steps: group },
      ])) {
        yield {
          at: first.span,
          operation: first.id,
          connectors: near.map(({ id }) => id),
          message: messages[what](first, someOf(near.map(({ id }) => id))),
          ...andAt(others),
          trace: [
            ...near.slice(0, 3).map((connector) => ({
              at: connector.span,
              message: say`${connector.id} is in ${connector.zone ? zoneNamed(connector.zone) : say`a place that nobody states`}`,
            })),
            ...(owed.culprit
              ? [traceAt(owed.culprit, say`${named(owed.culprit)}: the system may be live again from here`)]
              : []),
            ...alsoAt(others),
          ],
          fixes: () => (what === 'unlocated' ? [] : [makeSafeWays(plan, first, owed)]),
        };
      }
    }
  },
};

/** A plan that names no high-voltage connector says nothing of where the cables run. */
function* cablesNowhere(subject: CheckContext): Generator<FindingReport> {
  const { plan, sequence } = subject;
  if (!isTractionDriven(plan) || !mayHaveHighVoltage(plan)) return;
  const facts = new VehicleFacts(plan);
  const steps = stepsWithTools(plan, throughCables, 'cables')
    .filter(
      (step) =>
        !step.offVehicle &&
        routeOf(plan, step) === undefined &&
        // Elsewhere than at the cables, either of the two is enough, as beside them.
        !facts.isMet('high-voltage-dead', step) &&
        // Welding on a system that is not isolated is told by \`weld-connected\`.
        !(heats.has(step.taskId) && isolationState(facts, step).missing.includes('isolate')),
    )
    .sort((a, b) => sequence.order.compare(a, b));
  if (steps.length === 0) return;
  for (const { first, others } of told(subject, 'cut-at-cables', [{ culprit: undefined, steps }])) {
    yield {
      at: first.span,
      operation: first.id,
      severity: 'warning',
      message: say`${named(first)} works on a vehicle with high voltage, and the plan names neither a high-voltage connector nor a source for where the cables run. Find every high-voltage cable first and name the source as \`cable-route: …\` in the step or under \`vehicle\`.`,
      ...andAt(others),
      trace: alsoAt(others),
    };
  }
}

type What = 'unlocated' | 'live' | 'beside';

interface Cause {
  readonly what: What;
  readonly near: readonly Connector[];
  readonly owed: IsolationState;
  readonly steps: Operation[];
}

const heats: ReadonlySet<string> = new Set(['weld', 'braze']);

const messages: Readonly<Record<What, (step: Operation, connectors: Phrase) => Phrase>> = {
  unlocated: (step, connectors) =>
    say`${named(step)} works where the cables of ${connectors} may run, and no source says where they are. Find every high-voltage cable first and name the source as \`cable-route: …\` in the step or under \`vehicle\`.`,
  live: (step, connectors) =>
    say`${named(step)} works where the cables of ${connectors} may run, and the high-voltage system is not certain to be proven dead. A tool in a live cable kills: prove the system dead before ${step.id}, as the vehicle maker specifies.`,
  beside: (step, connectors) =>
    say`${named(step)} works next to the cables of ${connectors}; the high-voltage system is not certain to be dead, and no source says where the cables are. Do one of the two before ${step.id}: prove the system dead, or name the source as \`cable-route: …\`.`,
};

const routeOf = (plan: Plan, { step }: Operation): string | undefined =>
  step.node.get('cable-route')?.value ?? plan.vehicle?.cableRoute;
