import { say } from '../../../language/phrase.ts';
import type { Phrase } from '../../../language/phrase.ts';
import { mayCarryHighVoltage } from '../../../plan/high-voltage.ts';
import type { Operation } from '../../../plan/operations.ts';
import { SnapshotPlan } from '../../../plan/plan.ts';
import type { Plan } from '../../../plan/plan.ts';
import type { Snapshot } from '../../../plan/snapshot.ts';
import { memoByIdentity } from '../../../incremental/memo.ts';
import { query } from '../../../incremental/query.ts';
import type { Zones } from '../../../plan/tables/zones.ts';
import { addToGroup } from '../../../base/collections.ts';
import type { Connector } from '../../../plan/scope.ts';
import { nearCables } from '../../../plan/tables/needs.ts';
import { vehicleVerdict } from '../../../sequence/facts/timeline.ts';
import { traceAt, named } from '../../support/words.ts';
import type { IsolationState } from '../../support/high-voltage.ts';
import { fix, insertBefore, waitFor } from '../../support/mending.ts';
import {
  isolationState,
  proofToWaitFor,
  missingIsolationSteps,
  safetyUnsure,
} from '../../support/high-voltage.ts';
import { alsoAt, someOf, told } from '../../support/needs.ts';
import type { FindingRule, Fix, CheckContext } from '../../finding.ts';
import { plansOnly } from '../../finding.ts';

export const cutAtCables: FindingRule = {
  id: 'cut-at-cables',
  title: say`Metal is cut or welded where high-voltage cables may run`,
  severity: 'error',
  means: say`A step cuts, drills, grinds, welds, brazes or straightens in a zone with a high-voltage connector, and either the system is not certain to be proven dead, or no source says where every cable runs. In an adjoining zone one of the two is enough.`,
  why: say`A disc or a drill goes through the orange sleeve in a moment. A cable whose place is only guessed is found with the tool.`,
  whatToDo: say`Prove the system dead first, find every cable with the vehicle maker's documents, and name the source: \`cable-route\` in the step or under \`vehicle\`.`,
  source: say`HSE, Electric and hybrid vehicles (locate high-voltage cables before panel replacement, cutting or welding)`,
  kinds: plansOnly,
  ground: 'safety',
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
  *check(subject) {
    const { plan, sequence } = subject;
    if (safetyUnsure(plan)) return;
    const cables = cablesIn(plan.reading);
    if (cables.size === 0) return;
    const causes = new Map<string, Cause>();
    const steps = [...nearCables].flatMap((task) => plan.operationsDoing(task));
    for (const operation of steps.sort((a, b) => sequence.order.compare(a, b))) {
      const { connectors: near, here } = cablesNear(operation, cables, plan.scope.zones);
      if (near.length === 0) continue;
      const dead = vehicleVerdict(plan, 'high-voltage-dead', operation).met;
      const located = routeOf(plan, operation) !== undefined;
      if ((dead && located) || (!here && (dead || located))) continue;
      const owed = isolationState(plan, sequence, operation);
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
          message: messages[what](first, someOf(near.map(({ id }) => id))),
          trace: [
            ...near.slice(0, 3).map((connector) => ({
              at: connector.span,
              message: say`${connector.id} is in ${connector.zone ?? say`a place that nobody states`}`,
            })),
            ...(owed.culprit
              ? [traceAt(owed.culprit, say`${named(owed.culprit)}: the system may be live again from here`)]
              : []),
            ...alsoAt(others),
          ],
          fixes: () => (what === 'unlocated' ? [] : makeSafe(subject, first, owed.missing)),
        };
      }
    }
  },
};

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
    say`${named(step)} works where the cables of ${connectors} may run, and the high-voltage system is not certain to be proven dead. A tool in a live cable kills: prove the system dead before ${step.id}.`,
  beside: (step, connectors) =>
    say`${named(step)} works next to the cables of ${connectors}; the high-voltage system is not certain to be dead, and no source says where the cables are. Do one of the two before ${step.id}: prove the system dead, or name the source as \`cable-route: …\`.`,
};

function makeSafe(
  { plan, sequence }: Pick<CheckContext, 'plan' | 'sequence'>,
  operation: Operation,
  missing: IsolationState['missing'],
): readonly (Fix | undefined)[] {
  const proof = proofToWaitFor(plan, sequence, operation);
  const target = operation.planStep;
  return [
    proof &&
      fix(say`Do ${target.id} only after ${proof.planStep.id}`, [waitFor(plan, target, [proof.planStep.id])]),
    fix(
      say`Make the high-voltage system safe before ${target.id}`,
      insertBefore(plan, target, missingIsolationSteps(plan, missing)),
    ),
  ];
}

/** High-voltage power connectors by zone; those without one, which may be anywhere, under an empty text. */
const cablesIn = query((reading: Snapshot): ReadonlyMap<string, readonly Connector[]> => {
  const plan = new SnapshotPlan(reading);
  const found = new Map<string, Connector[]>();
  for (const connector of plan.scope.connectors.values()) {
    if (connector.class !== 'high-voltage-power' || !mayCarryHighVoltage(plan, connector)) continue;
    addToGroup(found, connector.zone ?? '', connector);
  }
  return found;
});

interface NearCables {
  readonly connectors: readonly Connector[];
  /** They are in the zones of the step itself, rather than in adjoining ones. */
  readonly here: boolean;
}

/** Those in the zones of a step, else those in the zones that adjoin them. A step without a zone may be anywhere. */
const cablesNear = memoByIdentity(
  ({ zones }: Operation, cables: ReadonlyMap<string, readonly Connector[]>, body: Zones): NearCables => {
    if (zones.length === 0) return { connectors: [...cables.values()].flat(), here: true };
    const of = (names: readonly string[]): readonly Connector[] =>
      names.flatMap((zone) => cables.get(zone) ?? []);
    const here = of(['', ...zones]);
    if (here.length > 0) return { connectors: here, here: true };
    return {
      connectors: of([...new Set(zones.flatMap((zone) => [...(body.beside.get(zone) ?? [])]))]),
      here: false,
    };
  },
);

const routeOf = (plan: Plan, { step }: Operation): string | undefined =>
  step.node.get('cable-route')?.value ?? plan.vehicle?.cableRoute;
