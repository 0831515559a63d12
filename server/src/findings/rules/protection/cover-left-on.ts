import { ConnectorFacts } from '../../../sequence/facts/timeline.ts';
import { actOf } from '../../../sequence/life.ts';
import { pairKeys } from '../../../base/collections.ts';
import { beforeWaking, joinWays, stepsToJoin } from '../../support/placing.ts';
import { say } from '../../../language/phrase.ts';
import type { Operation } from '../../../plan/operations.ts';
import type { Half } from '../../../plan/steps.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';
import { fix, insertBefore, stepOn } from '../../support/mending.ts';
import { traceAt, halvesIn, spanOfMention, named } from '../../support/words.ts';

export const coverLeftOn: FindingRule = {
  id: 'cover-left-on',
  title: say`Closed or powered with the cover still on`,
  severity: 'error',
  page: () => ({
    means: say`A connector is closed while a half is still covered, or the vehicle is powered up, moved, road-tested or handed over with a cover still on.`,
    why: say`A plug, tape or bag between the halves keeps them apart or goes in with them; over a closed connector it holds heat and water and may catch fire or foul a moving part.`,
    whatToDo: say`Take the cover off before closing, and count the covers that come back.`,
    source: commonPractice,
    example: {
      wrong: `operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
  - { id: op30, do: cover, connectors: [inverter-dc], using: dummy-plug }
  - { id: op60, do: reconnect, connectors: [inverter-dc] }
`,
      right: `operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
  - { id: op30, do: cover, connectors: [inverter-dc], using: dummy-plug }
  - { id: op50, do: uncover, connectors: [inverter-dc] }
  - { id: op60, do: reconnect, connectors: [inverter-dc] }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'order',
  perConnector: true,
  *check({ plan, sequence, lives }) {
    for (const life of lives) {
      const { connector, operations, unsure } = life;
      if (unsure) continue;
      for (const { cover, halves, met } of leftOn(new ConnectorFacts(plan, sequence, life))) {
        const closes = actOf(met) === 'reconnect';
        yield {
          at: closes ? spanOfMention(met, connector.id) : spanOfMention(cover, connector.id),
          operation: (closes ? met : cover).id,
          connector: connector.id,
          message: closes
            ? say`${named(met)} closes ${connector.id} with the cover from ${cover.id} still on${halves.length === 2 ? '' : say` ${halvesIn(halves)}`}. Take the cover off first, or it is trapped between the halves.`
            : say`${named(cover)} covers ${connector.id}, and the cover is still on at ${named(met)}. Take it off before ${met.id}.`,
          trace: [
            traceAt(cover, say`${named(cover)}: the cover goes on here`),
            traceAt(met, say`${named(met)}: it is still on here`),
          ],
          fixes: () => {
            const look = closes
              ? operations.find(
                  (operation) =>
                    (operation.taskId === 'inspect' || operation.taskId === 'clean') &&
                    sequence.order.before(cover, operation) &&
                    sequence.order.before(operation, met),
                )
              : undefined;
            const target = (look ?? met).planStep;
            const { order } = sequence;
            const inTime = (operation: Operation): boolean =>
              order.before(cover, operation) &&
              order.before(operation, look ?? met) &&
              halves.every((half) => operation.halves.includes(half));
            const only = halves.length === 1 ? ([['halves', halves[0]!]] as const) : [];
            const places = closes ? [target] : beforeWaking(plan, met, [cover]);
            return [
              [
                ...joinWays(plan, stepsToJoin(plan, 'uncover', [connector.id], inTime), [connector.id]),
                ...places.map((place) =>
                  fix(
                    say`Uncover ${connector.id} before ${place.id}`,
                    insertBefore(plan, place, [stepOn('uncover', connector.id, only)], [cover.planStep]),
                  ),
                ),
              ],
            ];
          },
        };
      }
    }
  },
};

interface LeftOn {
  readonly cover: Operation;
  readonly halves: readonly Half[];
  /** The closing or the first gate at which the cover is still on. */
  readonly met: Operation;
}

function leftOn(facts: ConnectorFacts): LeftOn[] {
  const { gates } = facts.sequence;
  const found = new Map<string, { cover: Operation; halves: Half[]; met: Operation }>();
  const nameOf = pairKeys();
  const closings = facts.life.events.flatMap(({ act, operation }) =>
    act === 'reconnect' && !uncoversFirst(operation) ? [operation] : [],
  );
  for (const halves of facts.halves) {
    const half = halves[0]!;
    // A cover is reported at the first step that meets it.
    const told = new Set<Operation>();
    const tell = (cover: Operation | undefined, met: Operation): void => {
      if (!cover || told.has(cover)) return;
      told.add(cover);
      const key = nameOf(cover, met);
      const known = found.get(key);
      if (known) known.halves.push(...halves);
      else found.set(key, { cover, halves: [...halves], met });
    };
    for (const { step, verdict } of facts.unmetAt('uncovered', closings, half)) tell(verdict.culprit, step);
    for (const { step, verdict } of facts.unmetAt('uncovered', gates, half)) {
      if (facts.isMet('closed', step)) tell(verdict.culprit, step);
    }
  }
  return [...found.values()];
}

/** Whether the row of a task says that it takes the cover off before it closes. */
const uncoversFirst = ({ task }: Operation): boolean =>
  task!.makes.includes('uncovered') || task!.ends.includes('protected');
