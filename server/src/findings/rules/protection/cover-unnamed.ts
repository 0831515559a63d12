import { mapDefined } from '../../../base/collections.ts';
import { setKey } from '../../../document/edits.ts';
import { andList, say } from '../../../language/phrase.ts';
import { wetOperations } from '../../support/covers.ts';
import { operationsWhere } from '../../../plan/plan.ts';
import { actOf } from '../../../sequence/life.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';
import { bestCover, fix, inList } from '../../support/mending.ts';
import { spanOfMention, named } from '../../support/words.ts';

export const coverUnnamed: FindingRule = {
  id: 'cover-unnamed',
  title: say`Covered, but it is not said with what`,
  severity: 'warning',
  page: () => ({
    means: say`A \`cover\` step does not name the consumables it uses.`,
    why: say`Whoever does it takes what is at hand, often masking paper; and nobody bills it.`,
    whatToDo: say`Name the cover with \`using\`: the vehicle maker's dummy plug first, else non-conductive, highly visible tape, bagged and tied where it gets wet.`,
    source: commonPractice,
    example: {
      wrong: `operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
  - { id: op30, do: cover, connectors: [inverter-dc] }
`,
      right: `operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
  - { id: op30, do: cover, connectors: [inverter-dc], using: dummy-plug }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'order',
  *check({ plan, sequence }) {
    for (const operation of unnamed(plan)) {
      const { step, planStep } = operation;
      const connectors = mapDefined(operation.connectors, ({ value }) => plan.scope.connectors.get(value));
      const one = connectors.length === 1 ? connectors[0] : undefined;
      const best = connectors.map((connector) =>
        bestCover(plan, connector, wetOperations(sequence, connector, operation).length > 0),
      );
      const goods =
        best[0] && best.every((other) => other && inList(other) === inList(best[0]!)) ? best[0] : undefined;
      const what =
        connectors.length > 0
          ? say`what covers ${andList(connectors.map(({ id }) => id))}`
          : say`what it covers with`;
      yield {
        at: one ? spanOfMention(operation, one.id) : operation.span,
        operation: operation.id,
        ...(one ? { connector: one.id } : {}),
        message: say`${named(operation)} does not say ${what}, so anything at hand may be used. Name it with \`using\`${goods ? say`: the rate sheet has ${andList(goods)}` : ''}.`,
        fixes: () =>
          goods && step === planStep
            ? [
                fix(say`Use ${andList(goods)} in ${operation.id}`, [
                  setKey(plan.document, step.node, 'using', inList(goods)),
                ]),
              ]
            : [],
      };
    }
  },
};

/** Inside a procedure `using: $cover` without a value is an error of the call and is reported there. */
const unnamed = operationsWhere(
  (operation) =>
    actOf(operation) === 'cover' && !operation.step.node.partlyParsed && !operation.step.node.entry('using'),
);
