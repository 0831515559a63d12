import { addToGroup, emptyList } from '../../../base/collections.ts';
import { keyedQuery, sameMembers } from '../../../incremental/query.ts';
import type { Operation } from '../../../plan/operations.ts';
import { SnapshotPlan } from '../../../plan/plan.ts';
import type { Snapshot } from '../../../plan/snapshot.ts';
import { hasIgniter } from '../../../plan/tables/classes.ts';
import { mayOpenInflators, ofToolsInMetal } from '../../../plan/tables/needs.ts';
import { ConnectorFacts } from '../../../sequence/facts/timeline.ts';
import type { Sequence } from '../../../sequence/lives.ts';
import { historiesWhere, sequenceOf } from '../../../sequence/lives.ts';
import { someOf } from '../../support/needs.ts';
import { withOwn } from '../../support/tools.ts';
import { named, traceAt } from '../../support/words.ts';
import { say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';

export const inflatorNear: FindingRule = {
  id: 'inflator-near',
  title: say`A blade or heat where an airbag is still in place`,
  severity: 'warning',
  means: say`A step cuts, drills, grinds, welds or brazes in the zone of a restraint connector or pyrotechnic disconnect, or does a task of the shop's own there that raises heat, sparks or metal debris and does not say what it needs, and nothing unplugs the connector or takes parts off in that zone first, or parts may be on again by then.`,
  why: say`A gas generator or a pretensioner that is cut or heated can burst or fire, also with the 12 V battery disconnected.`,
  whatToDo: say`Disconnect the 12 V battery, wait as the vehicle maker specifies, and take the airbag or pretensioner out of that place first. Store an airbag with its bag side up.`,
  source: commonPractice,
  kinds: plansOnly,
  ground: 'order',
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
  *check({ plan, sequence }) {
    const { order } = sequence;
    const near = new Map<Operation, string[]>();
    const again = new Map<Operation, Operation>();
    for (const { connector } of ignitersOf(plan)) {
      for (const step of toolsAt(plan.reading, connector.id)) {
        addToGroup(near, step, connector.id);
        const refit = refitBefore(sequence, connector.zone!, step);
        if (refit) again.set(step, refit);
      }
    }
    for (const [step, ids] of [...near].sort(([a], [b]) => order.compare(a, b))) {
      const refit = again.get(step);
      yield {
        at: step.span,
        operation: step.id,
        ...(ids.length === 1 ? { connector: ids[0]! } : {}),
        message: refit
          ? say`${named(step)} works where ${someOf(ids)} may be fitted again since ${named(refit)}: a gas generator that is cut or heated can burst. Make ${refit.id} wait for ${step.id}, or take the airbag or pretensioner out first, with the 12 V battery disconnected and the wait over, as the vehicle maker specifies.`
          : say`${named(step)} works where ${someOf(ids)} is fitted, and nothing unplugs it or takes parts off there first: a gas generator that is cut or heated can burst. Take the airbag or pretensioner out before ${step.id}, with the 12 V battery disconnected and the wait over, as the vehicle maker specifies.`,
        ...(refit ? { trace: [traceAt(refit, say`${named(refit)}: parts go on here again`)] } : {}),
      };
    }
  },
};

/** The steps that take parts off in a zone, or put them on, and say that they do it there. */
const inZone = (sequence: Sequence, zone: string, task: 'remove' | 'refit'): readonly Operation[] =>
  sequence.workingIn(zone, task).filter(({ zones }) => zones.length > 0);

/** The last step that may put parts on again in a zone between their taking off and `step`. */
const refitBefore = (sequence: Sequence, zone: string, step: Operation): Operation | undefined => {
  const { order } = sequence;
  const removals = inZone(sequence, zone, 'remove').filter((removal) => order.before(removal, step));
  return inZone(sequence, zone, 'refit').findLast((refit) =>
    removals.some((removal) => order.mayFallBetween(removal, refit, step)),
  );
};

/** The steps that cut or heat in a zone in which nothing is certain to be off by then. */
const toolsIn = keyedQuery((reading: Snapshot, zone: string): readonly Operation[] => {
  const plan = new SnapshotPlan(reading);
  const sequence = sequenceOf(plan);
  const { order } = sequence;
  const removals = inZone(sequence, zone, 'remove');
  const refits = inZone(sequence, zone, 'refit');
  const isOff = (step: Operation): boolean =>
    removals.some(
      (removal) =>
        order.before(removal, step) && !refits.some((refit) => order.mayFallBetween(removal, refit, step)),
    );
  return [...withOwn(plan, mayOpenInflators, 'igniters', 'heat', ...ofToolsInMetal)].flatMap((task) =>
    sequence.workingIn(zone, task).filter((step) => step.zones.length > 0 && !isOff(step)),
  );
}, sameMembers);

/** Those of them at which an igniter may still be fitted, by connector. */
const toolsAt = keyedQuery((reading: Snapshot, id: string): readonly Operation[] => {
  const plan = new SnapshotPlan(reading);
  const sequence = sequenceOf(plan);
  const life = sequence.life(id);
  const zone = life?.connector.zone;
  // Where it sits is told to be missing by itself.
  if (!life || zone === undefined) return emptyList;
  const facts = new ConnectorFacts(plan, sequence, life);
  return toolsIn(reading, zone).filter((step) => !facts.isMet('open', step));
}, sameMembers);

const ignitersOf = historiesWhere(({ connector, unsure }) => !unsure && hasIgniter(connector));
