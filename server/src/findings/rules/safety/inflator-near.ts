import { mapDefined } from '../../../base/collections.ts';
import { keyedQuery } from '../../../incremental/query.ts';
import type { Operation } from '../../../plan/operations.ts';
import { SnapshotPlan } from '../../../plan/plan.ts';
import type { Snapshot } from '../../../plan/snapshot.ts';
import { hasIgniter } from '../../../plan/tables/classes.ts';
import { mayOpenInflators, ofToolsInMetal } from '../../../plan/tables/needs.ts';
import { historiesWhere, sequenceOf } from '../../../sequence/lives.ts';
import { someOf } from '../../support/needs.ts';
import { withOwn } from '../../support/tools.ts';
import { named, traceAt, ofConnectors } from '../../support/words.ts';
import { say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';

export const inflatorNear: FindingRule = {
  id: 'inflator-near',
  title: say`A blade or heat where an airbag is still in place`,
  severity: 'warning',
  page: () => ({
    means: say`A step cuts, drills, grinds, welds or brazes in the zone of a restraint connector or pyrotechnic disconnect, or does a task of the shop's own there that raises heat, sparks or metal debris and does not say what it needs, and no part is certain to be taken off in that zone first, or one is refitted before. A connector that is only unplugged leaves its airbag in place.`,
    why: say`A gas generator or a pretensioner that is cut or heated can burst or fire, also with the 12 V battery disconnected and its connector unplugged.`,
    whatToDo: say`Disconnect the 12 V battery, wait as the vehicle maker specifies, and take the airbag or pretensioner out of that place first. Store an airbag with its bag side up.`,
    source: commonPractice,
    example: {
      wrong: `connectors:
  - { id: curtain-airbag, class: restraint, zone: quarter-left }
operations:
  - { id: op10, do: battery-12v-off }
  - { id: op15, do: wait, time: 10 min }
  - { id: op50, do: cut, zone: quarter-left }
`,
      right: `connectors:
  - { id: curtain-airbag, class: restraint, zone: quarter-left }
operations:
  - { id: op10, do: battery-12v-off }
  - { id: op15, do: wait, time: 10 min }
  - { id: op20, do: remove, zone: quarter-left }
  - { id: op50, do: cut, zone: quarter-left }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'order',
  *check({ plan, sequence }) {
    const { order } = sequence;
    const near = new Map<Operation, { ids: string[]; refit: Operation | undefined }>();
    const removed = new Set(
      plan.operationsDoing('remove').flatMap(({ connectors }) => connectors.map(({ value }) => value)),
    );
    for (const { connector } of ignitersOf(plan)) {
      // Where it sits is told to be missing by itself.
      if (connector.zone === undefined) continue;
      const { id, zone } = connector;
      for (const { step, refit } of toolsIn(plan.reading, removed.has(id) ? `${zone} ${id}` : zone)) {
        const known = near.get(step);
        if (known) known.ids.push(id);
        else near.set(step, { ids: [id], refit });
      }
    }
    for (const [step, { ids, refit }] of [...near].sort(([a], [b]) => order.compare(a, b))) {
      yield {
        at: step.span,
        operation: step.id,
        ...ofConnectors(ids),
        message: refit
          ? say`${named(step)} works where ${someOf(ids)} may be fitted again since ${named(refit)}: a gas generator that is cut or heated can burst, plugged in or not. Make ${refit.id} wait for ${step.id}, or take the part out before ${step.id}, with the 12 V battery disconnected and the wait over, as the vehicle maker specifies.`
          : say`${named(step)} works where ${someOf(ids)} may still be fitted, and nothing is certain to take the airbag or pretensioner out first: a gas generator that is cut or heated can burst, plugged in or not. Take the part out before ${step.id}, with the 12 V battery disconnected and the wait over, as the vehicle maker specifies.`,
        ...(refit ? { trace: [traceAt(refit, say`${named(refit)}: parts go on here again`)] } : {}),
      };
    }
  },
};

interface Near {
  readonly step: Operation;
  /** The last step that may put parts on again between their taking off and `step`. */
  readonly refit: Operation | undefined;
}

/**
 * The steps that cut or heat in a zone before which nothing is certain to be taken off there, or something is refitted again. Where
 * the zone is followed by a connector, only what names that connector takes it off.
 */
const toolsIn = keyedQuery(
  (reading: Snapshot, place: string): readonly Near[] => {
    const [zone = '', id] = place.split(' ');
    const plan = new SnapshotPlan(reading);
    const sequence = sequenceOf(plan);
    const { order } = sequence;
    const placed = (task: string): readonly Operation[] =>
      sequence.workingIn(zone, task).filter(({ zones }) => zones.length > 0);
    const removals = placed('remove').filter(
      ({ connectors }) => id === undefined || connectors.some(({ value }) => value === id),
    );
    const refits = placed('refit');
    const nearOf = (step: Operation): Near | undefined => {
      let last: Operation | undefined;
      // The last one first: an earlier one was mostly followed by a refit.
      for (let at = removals.length - 1; at >= 0; at--) {
        const removal = removals[at]!;
        if (!order.before(removal, step)) continue;
        const refit = refits.findLast((one) => order.mayFallBetween(removal, one, step));
        if (!refit) return undefined;
        last ??= refit;
      }
      return { step, refit: last };
    };
    return [...withOwn(plan, mayOpenInflators, 'igniters', 'heat', ...ofToolsInMetal)].flatMap((task) =>
      mapDefined(placed(task), nearOf),
    );
  },
  (before, now) =>
    before.length === now.length &&
    before.every(({ step, refit }, at) => step === now[at]!.step && refit === now[at]!.refit),
);

const ignitersOf = historiesWhere(({ connector, unsure }) => !unsure && hasIgniter(connector));
