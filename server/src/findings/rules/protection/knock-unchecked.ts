import { knockedLooseIn } from '../../../sequence/facts/use.ts';
import { pairKeys } from '../../../base/collections.ts';
import { andList, say } from '../../../language/phrase.ts';
import type { Operation } from '../../../plan/operations.ts';
import { fix, insertBefore } from '../../support/mending.ts';
import { beforeWaking, joinWays, seatChecksToJoin } from '../../support/placing.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';
import { traceAt, named, metBy, ofConnectors } from '../../support/words.ts';

export const knockUnchecked: FindingRule = {
  id: 'knock-unchecked',
  title: say`A nearby connector may be knocked loose, and nobody checks that it is fully seated`,
  severity: 'warning',
  page: () => ({
    means: say`Removing trim, masking or covering happens in the zone of a connector that nobody means to open, or a part is taken off or refitted by a step that names a connector which is not certain to be open, and nothing checks that it is still fully seated before the vehicle is powered up, moved, road-tested or handed over.`,
    why: say`A connector knocked half loose under masking film: the vehicle drove into the booth and will not drive out.`,
    whatToDo: say`Check that nearby connectors are fully seated after the last such step and before power-up.`,
    source: commonPractice,
    example: {
      wrong: `operations:
  - { id: op40, do: mask, zone: quarter-left }
  - { id: op90, do: power-up }
`,
      right: `operations:
  - { id: op40, do: mask, zone: quarter-left }
  - { id: op80, do: check-seated, zone: quarter-left }
  - { id: op90, do: power-up }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'order',
  *check({ plan, sequence }) {
    // Report connectors together if they share both the knocking step and the gate.
    const together = new Map<
      string,
      { knock: Operation; gate: Operation; connectors: string[]; all: Operation[] }
    >();
    const nameOf = pairKeys();
    for (const { connector, gate, knocks } of knockedLooseIn(plan)) {
      const knock = knocks[0]!;
      const key = nameOf(knock, gate);
      const group = together.get(key) ?? { knock, gate, connectors: [], all: [] };
      together.set(key, group);
      group.connectors.push(connector.id);
      for (const operation of knocks) if (!group.all.includes(operation)) group.all.push(operation);
    }
    for (const { knock, gate, connectors, all } of together.values()) {
      const many = connectors.length > 1;
      yield {
        at: knock.span,
        operation: knock.id,
        ...ofConnectors(connectors),
        ...metBy(all),
        message: many
          ? say`${named(knock)} may knock ${andList(connectors)} loose, and nothing checks that they are fully seated before ${named(gate)}. Push and tug each of them once the work around them is done, as the vehicle maker specifies.`
          : say`${named(knock)} may knock ${connectors[0]!} loose, and nothing checks that it is fully seated before ${named(gate)}. Push and tug it once the work around it is done, as the vehicle maker specifies.`,
        trace: [
          ...all
            .slice(0, 5)
            .map((operation) =>
              traceAt(operation, say`${named(operation)}: work next to ${andList(connectors)}`),
            ),
          traceAt(gate, say`${named(gate)}: found loose only here`),
        ],
        fixes: () => {
          const { order } = sequence;
          const checks = seatChecksToJoin(
            plan,
            (operation) =>
              order.before(operation, gate) && all.every((other) => order.before(other, operation)),
          );
          const step = {
            task: 'check-seated',
            fields: [['connectors', `[${connectors.join(', ')}]`]],
          } as const;
          return [
            [
              ...joinWays(plan, checks, connectors),
              ...beforeWaking(plan, gate, all).map((place) =>
                fix(
                  say`Check the full seating of ${andList(connectors)} before ${place.id}`,
                  insertBefore(
                    plan,
                    place,
                    [step],
                    all.map(({ planStep }) => planStep),
                  ),
                ),
              ),
            ],
          ];
        },
      };
    }
  },
};
