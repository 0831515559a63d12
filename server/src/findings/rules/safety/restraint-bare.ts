import { hasIgniter } from '../../../plan/tables/classes.ts';
import type { Operation } from '../../../plan/operations.ts';
import { bothHalves } from '../../../plan/steps.ts';
import { ConnectorFacts } from '../../../sequence/facts/timeline.ts';
import { historiesWhere, sequenceOf } from '../../../sequence/lives.ts';
import { setKey } from '../../../document/edits.ts';
import type { Plan } from '../../../plan/plan.ts';
import type { ConnectorHistory } from '../../../sequence/life.ts';
import { coverFor } from '../../support/covers.ts';
import { fix, inList, insertAfter, insertBefore, stepOn } from '../../support/mending.ts';
import { joinWays, stepsToJoin } from '../../support/placing.ts';
import { traceAt, named } from '../../support/words.ts';
import { say } from '../../../language/phrase.ts';
import type { FindingRule, Fix } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';

export const restraintBare: FindingRule = {
  id: 'restraint-bare',
  title: say`12 V on while a restraint connector is bare`,
  severity: 'warning',
  means: say`The 12 V battery is connected, or a charger supports the supply, while a half of a restraint connector or pyrotechnic disconnect is neither closed nor covered.`,
  why: say`A bare contact that touches metal or carries a charge can fire the igniter as soon as the control unit wakes up.`,
  whatToDo: say`Close or cover both halves before the 12 V supply comes on.`,
  source: commonPractice,
  kinds: plansOnly,
  ground: 'safety',
  example: {
    wrong: `connectors:
  - { id: curtain-airbag, class: restraint, zone: quarter-left }
operations:
  - { id: op10, do: battery-12v-off }
  - { id: op15, do: wait, time: 10 min }
  - { id: op20, do: disconnect, connectors: [curtain-airbag] }
  - { id: op30, do: battery-12v-on }
`,
    right: `connectors:
  - { id: curtain-airbag, class: restraint, zone: quarter-left }
operations:
  - { id: op10, do: battery-12v-off }
  - { id: op15, do: wait, time: 10 min }
  - { id: op20, do: disconnect, connectors: [curtain-airbag] }
  - { id: op25, do: cover, connectors: [curtain-airbag], using: orange-tape }
  - { id: op30, do: battery-12v-on }
`,
  },
  *check({ plan, sequence }) {
    const supplies = ['battery-12v-on', 'support-12v']
      .flatMap((task) => plan.operationsDoing(task))
      .sort((a, b) => sequence.order.compare(a, b));
    for (const life of ignitersOf(plan)) {
      const { connector } = life;
      const facts = new ConnectorFacts(plan, sequence, life);
      const bare = new Map<Operation, Operation | undefined>();
      for (const half of bothHalves) {
        for (const { step, verdict } of facts.unmetAt('protected', supplies, half))
          bare.set(step, verdict.culprit);
      }
      for (const [supply, opened] of bare) {
        yield {
          at: supply.span,
          operation: supply.id,
          connector: connector.id,
          message: say`${named(supply)} may come while ${connector.id} is bare: a contact that touches metal can fire its airbag or pretensioner. Close or cover both halves before ${supply.id}.`,
          trace: opened ? [traceAt(opened, say`${opened.id}: ${connector.id} is bare from here`)] : [],
          fixes: () => (opened ? [coverWays(plan, life, opened, supply)] : []),
        };
      }
    }
  },
};

/**
 * Ways to cover both halves before the supply comes on, best first: both where one was meant, with the others that are
 * opened with it, or right after it is bare. Where the plan opens its contacts later, the cover comes off before that.
 */
function coverWays(
  plan: Plan,
  life: ConnectorHistory,
  bared: Operation,
  supply: Operation,
): readonly (Fix | undefined)[] {
  const { connector, operations, events } = life;
  const { order } = sequenceOf(plan);
  const inTime = (one: Operation): boolean => order.before(bared, one) && order.before(one, supply);
  const half = operations.find(
    (one) =>
      one.taskId === 'cover' &&
      one.halves.length === 1 &&
      one.step === one.planStep &&
      order.before(one, supply),
  );
  const using = coverFor(plan, connector, false);
  const cover = stepOn('cover', connector.id, [
    ['halves', 'both'],
    ...(using ? ([['using', inList(using)]] as const) : []),
  ]);
  const alike = stepsToJoin(
    plan,
    'cover',
    [connector.id],
    (one) =>
      inTime(one) &&
      one.halves.length === bothHalves.length &&
      one.using.map(({ value }) => value).join() === (using ?? []).join(),
  );
  const later = operations.find(
    (one) => atTheContacts.has(one.taskId) && order.before(supply, one) && order.before(bared, one),
  );
  const uncovered = events.some(({ act, operation }) => act === 'uncover' && order.before(supply, operation));
  return [
    half &&
      fix(say`Cover both halves of ${connector.id} in ${half.planStep.id}`, [
        setKey(plan.document, half.step.node, 'halves', 'both'),
      ]),
    ...joinWays(plan, alike, [connector.id]),
    fix(say`Cover both halves of ${connector.id} right after ${bared.planStep.id}`, [
      ...insertAfter(plan, bared.planStep, [cover], [supply.planStep]),
      ...(later && !uncovered
        ? insertBefore(plan, later.planStep, [stepOn('uncover', connector.id)], [supply.planStep])
        : []),
    ]),
  ];
}

const atTheContacts: ReadonlySet<string> = new Set(['inspect', 'clean', 'reconnect']);

const ignitersOf = historiesWhere(({ connector, unsure }) => !unsure && hasIgniter(connector));
