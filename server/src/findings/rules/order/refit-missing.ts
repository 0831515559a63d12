import { addToGroup } from '../../../base/collections.ts';
import { andList, say } from '../../../language/phrase.ts';
import type { Operation } from '../../../plan/operations.ts';
import { operationsWhere } from '../../../plan/plan.ts';
import { noWorkByName } from '../../../plan/tables/own-names.ts';
import { contaminating } from '../../../plan/tables/tasks.ts';
import { zoneNamed } from '../../../plan/tables/zones.ts';
import type { Plan } from '../../../plan/plan.ts';
import type { Sequence } from '../../../sequence/lives.ts';
import { isOwnTask } from '../../support/tools.ts';
import { someOf } from '../../support/needs.ts';
import { named, ofConnectors, spanOfMention, traceAt } from '../../support/words.ts';
import type { CheckContext, FindingReport, FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';

export const refitMissing: FindingRule = {
  id: 'refit-missing',
  title: say`Handed over with parts off or masking on`,
  severity: 'warning',
  page: () => ({
    means: say`Parts are taken off, and no step refits them, fits a panel or bonds anything in that zone before the vehicle is handed over (where metal was cut out there, a new panel is not the refitting), or the steps that refit name other parts; or something is masked, and no step takes the masking off in that zone before the road test or the handing over.`,
    why: say`A guard, a heat shield or the cover of a high-voltage cable that stays off leaves that cable to stones and water. Film and paper blind lamps and cameras, and burn at brakes and exhausts.`,
    whatToDo: say`Write a \`refit\` or an \`unmask\` step for that zone, before the handing over.`,
    source: commonPractice,
    example: {
      wrong: `operations:
  - { id: op20, do: remove, zone: underbody }
  - { id: op90, do: deliver }
`,
      right: `operations:
  - { id: op20, do: remove, zone: underbody }
  - { id: op80, do: refit, zone: underbody }
  - { id: op90, do: deliver }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'order',
  needsEveryStep: true,
  *check({ plan, sequence }: CheckContext) {
    const removals = plan.operationsDoing('remove');
    const maskings = plan.operationsDoing('mask');
    if (removals.length === 0 && maskings.length === 0) return;
    const deliveries = plan.operationsDoing('deliver');
    const roads = [...plan.operationsDoing('road-test'), ...deliveries];
    if (roads.length === 0) return;
    if (deliveries.length > 0 && removals.length > 0) {
      const back = [
        ...['refit', 'fit-panel', 'bond'].flatMap((task) => plan.operationsDoing(task)),
        ...perhaps(plan),
      ];
      for (const left of leftOver(sequence, removals, back, deliveries, plan.operationsDoing('cut'))) {
        const { step, zones, use } = left;
        yield report(
          left,
          zones.length > 0
            ? say`${named(step)} takes parts off in ${andList(zones.map(zoneNamed))}, and no step refits any there before ${named(use)}: a guard or the cover of a cable may stay off. Write a \`refit\` step for that zone.`
            : say`${named(step)} takes parts off, and no step refits any before ${named(use)}: a guard or the cover of a cable may stay off. Write a \`refit\` step.`,
        );
      }
    }
    for (const use of deliveries.slice(0, 1)) yield* partsLeftOff(plan, sequence, removals, use);
    for (const left of leftOver(sequence, maskings, plan.operationsDoing('unmask'), roads)) {
      const { step, zones, use } = left;
      yield report(
        left,
        zones.length > 0
          ? say`${named(step)} masks ${andList(zones.map(zoneNamed))}, and no step takes the masking off there before ${named(use)}: film and paper blind lamps and burn at brakes. Write an \`unmask\` step for that zone.`
          : say`${named(step)} masks the vehicle, and no step takes the masking off before ${named(use)}: film and paper blind lamps and burn at brakes. Write an \`unmask\` step.`,
      );
    }
  },
};

/**
 * What a task that nobody knows, or one of the shop's own, puts back is not known. Parts that are put on knock at others:
 * one that names no zone, and whose row says what it needs or raises and of no knock, puts none on anywhere, nor does one that only
 * looks or is paperwork by its name.
 */
const perhaps = operationsWhere((operation) => {
  const { task, taskId, zones } = operation;
  if (task === undefined) return true;
  return (
    isOwnTask(operation) &&
    !noWorkByName(taskId) &&
    !(task.raises.some((hazard) => contaminating.has(hazard)) && !task.raises.includes('knock')) &&
    (zones.length > 0 || task.raises.includes('knock') || !(task.needsStated || task.raises.length > 0))
  );
});

/** Parts that a step takes off by their connectors, where steps that refit by name name others of the same step, or ones that never came off. */
function* partsLeftOff(
  plan: Plan,
  { order }: Sequence,
  removals: readonly Operation[],
  use: Operation,
): Generator<FindingReport> {
  const idsOf = ({ connectors }: Operation): readonly string[] => connectors.map(({ value }) => value);
  const removed = new Set(removals.flatMap(idsOf));
  if (removed.size === 0) return;
  const zoneOf = (id: string): string => plan.scope.connectors.get(id)?.zone ?? '';
  const byName = new Map<string, Operation[]>();
  // What never came off is refitted: of this zone, another part may be meant.
  const strangers = new Map<string, Operation[]>();
  // A new part may be fitted by a task of the shop's own, which names it too.
  for (const refit of [
    ...plan.operationsDoing('refit'),
    ...plan.operationsDoing('fit-panel'),
    ...perhaps(plan),
  ]) {
    for (const id of idsOf(refit)) {
      addToGroup(byName, id, refit);
      if (!removed.has(id)) addToGroup(strangers, zoneOf(id), refit);
    }
  }
  for (const step of removals) {
    if (!order.before(step, use)) continue;
    const puts = (one: Operation): boolean => !order.before(one, step) && !order.before(use, one);
    const ids = idsOf(step);
    const off = ids.filter((id) => !byName.get(id)?.some(puts));
    const mixed = off.length < ids.length ? off : off.filter((id) => strangers.get(zoneOf(id))?.some(puts));
    if (mixed.length === 0) continue;
    yield {
      at: spanOfMention(step, mixed[0]!),
      operation: step.id,
      ...ofConnectors(mixed),
      lacks: mixed,
      message: say`${named(step)} takes parts off at ${someOf(mixed)}, and the \`refit\` steps before ${named(use)} name others: a part may stay off. Name ${someOf(mixed)} there too, or correct the name here.`,
    };
  }
}

const report = ({ step, zones, use }: Left, message: FindingReport['message']): FindingReport => ({
  at: step.span,
  operation: step.id,
  lacks: zones,
  message,
  trace: [traceAt(use, say`${named(use)}: reached without it`)],
});

/** What puts a new part where an old one was: where metal was cut out before, it takes the place of that, not of the trim. */
const replacing: ReadonlySet<string> = new Set(['fit-panel', 'bond']);

interface Left {
  readonly step: Operation;
  /** The zones in which nothing is put back; none where the step names no zone. */
  readonly zones: readonly string[];
  readonly use: Operation;
}

/** Steps after which nothing may put back, before a use of the vehicle, what they took off. A loose order is enough. */
function* leftOver(
  { order }: Sequence,
  steps: readonly Operation[],
  back: readonly Operation[],
  uses: readonly Operation[],
  cuts: readonly Operation[] = [],
): Generator<Left> {
  const byZone = new Map<string, Operation[]>();
  const anywhere: Operation[] = [];
  for (const one of back) {
    if (one.zones.length === 0) anywhere.push(one);
    for (const zone of one.zones) addToGroup(byZone, zone, one);
  }
  for (const step of steps) {
    const use = uses.find((one) => order.before(step, one));
    if (!use) continue;
    // Mostly the last one does.
    const puts = (one: Operation, zone?: string): boolean =>
      !order.before(one, step) &&
      !order.before(use, one) &&
      !(
        replacing.has(one.taskId) &&
        cuts.some(
          (cut) =>
            (zone === undefined || cut.zones.length === 0 || cut.zones.includes(zone)) &&
            order.before(step, cut) &&
            order.before(cut, one),
        )
      );
    if (anywhere.findLast((one) => puts(one))) continue;
    const zones = step.zones.filter((zone) => !byZone.get(zone)?.findLast((one) => puts(one, zone)));
    if (step.zones.length > 0 ? zones.length > 0 : !back.findLast((one) => puts(one)))
      yield { step, zones, use };
  }
}
