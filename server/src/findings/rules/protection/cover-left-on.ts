import { pairNames } from '../../../base/collections.ts';
import { say } from '../../../language/phrase.ts';
import type { Operation } from '../../../plan/operations.ts';
import type { Half } from '../../../plan/steps.ts';
import { bothHalves } from '../../../plan/steps.ts';
import { touches } from '../../../sequence/life.ts';
import type { Life } from '../../../sequence/life.ts';
import type { Sequence } from '../../../sequence/lives.ts';
import type { Finding } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';
import { fix, insertBefore, stepOn } from '../../support/mending.ts';
import { at, halvesIn, mention, named } from '../../support/words.ts';

export const coverLeftOn: Finding = {
  id: 'cover-left-on',
  title: say`Closed or powered with the cover still on`,
  severity: 'error',
  means: say`A connector is closed while a half of it is still covered, or the vehicle is powered up, moved, road-tested or handed over with the cover still over a closed connector.`,
  why: say`A plug, tape or bag between the halves keeps them apart or goes in with them; over a closed connector it holds heat and water and may catch fire or foul a moving part.`,
  todo: say`Take the cover off before closing, and count the covers that come back.`,
  source: commonPractice,
  kinds: plansOnly,
  ground: 'order',
  perConnector: true,
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
  *check({ plan, sequence, lives }) {
    for (const life of lives) {
      const { connector, operations, unsure, unclear } = life;
      if (unsure || unclear) continue;
      for (const { cover, halves, met } of leftOn(sequence, life)) {
        const closes = met.taskId === 'reconnect';
        yield {
          at: closes ? mention(met, connector.id) : mention(cover, connector.id),
          operation: (closes ? met : cover).id,
          connector: connector.id,
          message: closes
            ? say`${named(met)} closes ${connector.id} with the cover of ${cover.id} still on${halves.length === 2 ? '' : say` ${halvesIn(halves)}`}. Take it off first, or it goes in between.`
            : say`${named(cover)} covers ${connector.id}, and the cover is still on at ${named(met)}. Take it off before ${met.id}.`,
          trace: [
            at(cover, say`${named(cover)}: the cover goes on here`),
            at(met, say`${named(met)}: it is still on here`),
          ],
          fixes: () => {
            const look = closes
              ? operations.find(
                  (one) =>
                    (one.taskId === 'inspect' || one.taskId === 'clean') &&
                    sequence.order.before(cover, one) &&
                    sequence.order.before(one, met),
                )
              : undefined;
            const target = (look ?? met).planStep;
            const only = halves.length === 1 ? ([['halves', halves[0]!]] as const) : [];
            return [
              fix(
                say`Uncover ${connector.id} before ${target.id}`,
                insertBefore(plan, target, [stepOn('uncover', connector.id, only)], [cover.planStep]),
              ),
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
  /** The closing, or the first gate, that meets the cover. */
  readonly met: Operation;
}

function leftOn({ order, gates }: Sequence, { events }: Life): LeftOn[] {
  const found = new Map<string, { cover: Operation; halves: Half[]; met: Operation }>();
  const nameOf = pairNames();
  for (const half of bothHalves) {
    const own = events.filter(({ operation }) => touches(operation, half));
    let apart = false;
    own.forEach(({ act, operation: cover }, i) => {
      if (act === 'disconnect') apart = true;
      if (act === 'reconnect') apart = false;
      if (act !== 'cover') return;
      const next = own.slice(i + 1).find((event) => event.act !== 'cover');
      // A cover that is put on again over itself is met once.
      if (own[i + 1]?.act === 'cover') return;
      const met =
        next?.act === 'reconnect'
          ? next.operation
          : apart
            ? undefined
            : gates
                .filter((one) => !order.before(one, cover))
                .filter((one) => !next || !order.before(next.operation, one))
                .sort((a, b) => order.compare(a, b))[0];
      if (!met) return;
      const key = nameOf(cover, met);
      const known = found.get(key);
      if (known) known.halves.push(half);
      else found.set(key, { cover, halves: [half], met });
    });
  }
  return [...found.values()];
}
