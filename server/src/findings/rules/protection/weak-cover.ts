import { mapDefined } from '../../../base/collections.ts';
import { setKey } from '../../../document/edits.ts';
import { andList, say } from '../../../language/phrase.ts';
import type { Phrase } from '../../../language/phrase.ts';
import type { Operation } from '../../../plan/operations.ts';
import type { Connector, Consumable } from '../../../plan/scope.ts';
import { wetOperations } from '../../support/covers.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';
import { bestCover, fix, inList } from '../../support/mending.ts';
import { traceAt, spanOfMention, named } from '../../support/words.ts';

export const weakCover: FindingRule = {
  id: 'weak-cover',
  title: say`The cover does not protect well enough`,
  severity: 'warning',
  page: () => ({
    means: say`The cover used is less than the vehicle maker specifies, is not stated to be non-conductive and highly visible, is stated to conduct, is a bag that is not tied shut, is only paper, or is tape without a bag where water or overspray may reach it.`,
    why: say`A conductive cover can bridge contacts; one that nobody notices is closed into the connector; an open bag or a sheet of paper lets dust through.`,
    whatToDo: say`Use the vehicle maker's dummy plug first; masking where the vehicle maker allows it; else tape stated non-conductive and highly visible, bagged and tied where it gets wet.`,
    source: commonPractice,
    example: {
      wrong: `operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
  - { id: op30, do: cover, connectors: [inverter-dc], using: masking-paper }
`,
      right: `operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
  - { id: op30, do: cover, connectors: [inverter-dc], using: dummy-plug }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'order',
  perConnector: true,
  *check({ plan, sequence, lives }) {
    for (const { connector, events, unsure } of lives) {
      if (unsure) continue;
      for (const { act, operation } of events) {
        if (act !== 'cover' || operation.using.length === 0) continue;
        const goods = mapDefined(operation.using, ({ value }) => plan.scope.consumables.get(value));
        // A consumable that the sheet does not describe has its own finding.
        if (goods.length < operation.using.length) continue;
        const wet = wetOperations(sequence, connector, operation);
        const fault = weakness(connector, goods, wet[0]);
        if (!fault) continue;
        const shown = fault.of ?? goods[0]!;
        yield {
          at: spanOfMention(operation, connector.id),
          operation: operation.id,
          connector: connector.id,
          message: say`${named(operation)}: ${fault.wrong}. ${fault.remedy}.`,
          trace: [
            { at: shown.span, message: say`${shown.id} is described here: ${describe(shown)}` },
            ...(fault.wet ? [traceAt(fault.wet, say`${named(fault.wet)} may wet it here`)] : []),
          ],
          fixes: () => {
            const better = bestCover(plan, connector, wet.length > 0);
            if (!better || operation.step !== operation.planStep || operation.connectors.length > 1)
              return [];
            return [
              fix(say`Use ${andList(better)} in ${operation.id}`, [
                setKey(plan.document, operation.step.node, 'using', inList(better)),
              ]),
            ];
          },
        };
      }
    }
  },
};

function describe({ kind, nonConductive, highVisibility, tied }: Consumable): Phrase {
  const stated = [
    ...(nonConductive ? [say`non-conductive`] : []),
    ...(highVisibility ? [say`highly visible`] : []),
    ...(tied ? [say`tied`] : []),
  ];
  return stated.length > 0 ? say`${kind}, stated ${andList(stated)}` : say`${kind}, no qualities stated`;
}

interface Weakness {
  readonly wrong: Phrase;
  readonly remedy: Phrase;
  readonly wet?: Operation;
  /** The consumable that is at fault; the first one where absent. */
  readonly of?: Consumable;
}

function weakness(
  connector: Connector,
  goods: readonly Consumable[],
  wet: Operation | undefined,
): Weakness | undefined {
  const { id, makerCover } = connector;
  const plugs = goods.filter(({ kind }) => kind === 'dummy-plug');
  const misfit = plugs.find(({ fits }) => fits.length > 0 && !fits.includes(id));
  if (misfit)
    return {
      wrong: say`${misfit.id} is not made for ${id}`,
      remedy: say`Use the one that fits, or state the fit in the rate sheet`,
    };
  const conducting =
    connector.class === 'fluid-line' ? undefined : goods.find((consumable) => consumable.conducts);
  if (conducting)
    return {
      of: conducting,
      wrong: say`${conducting.id} over ${id} is stated to conduct`,
      remedy: say`Use the vehicle maker's dummy plug, or tape stated non-conductive and highly visible`,
    };
  if (plugs.length > 0) return undefined;
  const used = andList(goods.map((consumable) => consumable.id));
  if (makerCover === 'dummy-plug') {
    return {
      wrong: say`${id} is covered with ${used}, although the vehicle maker specifies a dummy plug`,
      remedy: say`Use the dummy plug, on both halves`,
    };
  }
  if (goods.every(({ kind }) => kind === 'paper')) {
    return {
      wrong: say`paper alone does not keep dust and debris out of ${id}`,
      remedy: say`Use non-conductive, highly visible tape`,
    };
  }
  const bag = goods.find(({ kind }) => kind === 'bag');
  if (bag && !bag.tied) {
    return {
      wrong: say`${bag.id} over ${id} is not stated to be tied`,
      remedy: say`Use a bag that is tied shut, and state it in the rate sheet`,
    };
  }
  const film = makerCover === 'masking' && goods.some(({ kind }) => kind === 'film');
  const tapes = goods.filter(({ kind }) => kind === 'tape');
  const lacking = [
    ...(tapes.some((tape) => tape.nonConductive) ? [] : [say`non-conductive`]),
    ...(tapes.some((tape) => tape.highVisibility) ? [] : [say`highly visible`]),
  ];
  if (!film && lacking.length > 0) {
    return {
      wrong: say`${used} over ${id} is not stated to be ${andList(lacking)}`,
      remedy: say`Use tape that is, or state it in the rate sheet`,
    };
  }
  if (wet && !bag) {
    return {
      wrong: say`${used} alone covers ${id} while ${named(wet)} may wet it`,
      remedy: say`Put a tied bag over the tape`,
      wet,
    };
  }
  return undefined;
}
