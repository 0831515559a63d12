import { hasIgniter } from '../../../plan/tables/classes.ts';
import { andList, say } from '../../../language/phrase.ts';
import type { Operation } from '../../../plan/operations.ts';
import { readText } from '../../../plan/read.ts';
import type { FactId } from '../../../plan/tables/effects.ts';
import { neverOnIgniters } from '../../../plan/tables/needs.ts';
import { feedsByName, firesByName, measuresByName, revivesByName } from '../../../plan/tables/own-names.ts';
import { historiesWhere } from '../../../sequence/lives.ts';
import { addToGroup } from '../../../base/collections.ts';
import { isOwnTask, ownSteps } from '../../support/tools.ts';
import { spanOfMention, named, ofConnectors } from '../../support/words.ts';
import type { FindingRule } from '../../finding.ts';
import { plansOnly } from '../../finding.ts';

export const igniterMeasured: FindingRule = {
  id: 'igniter-measured',
  title: say`An airbag or pretensioner measured, repaired or fired`,
  severity: 'error',
  page: () => ({
    means: say`A step measures the resistance, the insulation or the bonding of a restraint connector or a pyrotechnic disconnect; also by a task of the shop's own whose row says that it makes one of them certain, or whose name tells of a meter, a test lamp or a battery put on it. Or a task of the shop's own fires airbags or pretensioners on purpose, or repairs them or their wires, by its name, and names no source of the vehicle maker's procedure (\`maker-procedure\`).`,
    why: say`The current of a meter can fire the igniter. Vehicle makers forbid it even with the specified tester. One that is fired throws metal, glass and hot gas at whoever is near; one that is repaired may fire at the wrong time, or not at all.`,
    whatToDo: say`Leave firing to people trained for it; have a fired or damaged part replaced as a whole. Take the connector out of a step that measures. A scan for fault codes tests these circuits, as the vehicle maker specifies.`,
    source: say`makers' published manuals (no resistance measurement on igniters); of firing and repairing, common practice, no published source`,
    example: {
      wrong: `connectors:
  - { id: curtain-airbag, class: restraint, zone: quarter-left }
operations:
  - { id: op50, do: measure-resistance, connectors: [curtain-airbag] }
`,
      right: `connectors:
  - { id: curtain-airbag, class: restraint, zone: quarter-left }
operations:
  - { id: op50, do: scan, connectors: [curtain-airbag] }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'order',
  *check({ plan }) {
    const measured = new Map<Operation, string[]>();
    const naming = new Set<Operation>();
    for (const { connector, operations } of ignitersOf(plan)) {
      for (const operation of operations) {
        naming.add(operation);
        if (measures(operation)) addToGroup(measured, operation, connector.id);
      }
    }
    for (const operation of ownSteps(plan)) {
      if (readText(operation.step.node.get('maker-procedure'), operation.bindings)) continue;
      if (revivesByName(operation.taskId, naming.has(operation)))
        yield {
          at: operation.span,
          operation: operation.id,
          message: say`${named(operation)} repairs an airbag or a pretensioner by its name, or its wires: it then may fire late, not at all, or into hands and face. Have the whole part replaced, or name the source of the vehicle maker's procedure as \`maker-procedure: …\` in ${operation.id}.`,
        };
      if (!firesByName(operation.taskId)) continue;
      yield {
        at: operation.span,
        operation: operation.id,
        message: say`${named(operation)} fires airbags or pretensioners by its name: metal, glass and hot gas hit whoever is in or near them. Leave that to people trained for it, or name the source of the vehicle maker's procedure as \`maker-procedure: …\` in ${operation.id}.`,
      };
    }
    for (const [operation, ids] of measured) {
      yield {
        at: spanOfMention(operation, ids[0]!),
        operation: operation.id,
        ...ofConnectors(ids),
        message: isFed(operation)
          ? say`${named(operation)} puts current on ${andList(ids)} by its name: it can fire an airbag or pretensioner into hands and face. Never try an igniter with a lamp or a battery; take ${andList(ids)} out of ${operation.id} and scan for fault codes instead.`
          : say`${named(operation)} puts a meter on ${andList(ids)}: its current can fire an airbag or pretensioner. Never measure an igniter; take ${andList(ids)} out of ${operation.id} and scan for fault codes instead.`,
      };
    }
  },
};

const isFed = (operation: Operation): boolean => isOwnTask(operation) && feedsByName(operation.taskId);

const measuring: ReadonlySet<FactId> = new Set(['resistance-proven', 'insulation-proven', 'bonding-proven']);

const measures = (operation: Operation): boolean =>
  neverOnIgniters.has(operation.taskId) ||
  (operation.task?.makes.some((fact) => measuring.has(fact)) ?? false) ||
  (isOwnTask(operation) && measuresByName(operation.taskId)) ||
  isFed(operation);

const ignitersOf = historiesWhere(({ connector }) => hasIgniter(connector));
