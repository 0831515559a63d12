import { addToGroup } from '../../../base/collections.ts';
import type { Operation } from '../../../plan/operations.ts';
import type { ConnectorClass } from '../../../plan/tables/classes.ts';
import { historiesWhere } from '../../../sequence/lives.ts';
import { someOf } from '../../support/needs.ts';
import { testsInsulation } from '../../support/tools.ts';
import { spanOfMention, named, ofConnectors } from '../../support/words.ts';
import { say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';

export const insulationOnElectronics: FindingRule = {
  id: 'insulation-on-electronics',
  title: say`An insulation test on a low-voltage circuit`,
  severity: 'error',
  page: () => ({
    means: say`A step measures the insulation of a low-voltage, sensor or data connector.`,
    why: say`An insulation tester applies hundreds of volts. That destroys control units, and a damaged restraint control unit can fire an airbag.`,
    whatToDo: say`Take the connector out of that step. A scan for fault codes tests these circuits.`,
    source: commonPractice,
    example: {
      wrong: `connectors:
  - { id: tail-lamp, class: low-voltage, zone: quarter-left }
operations:
  - { id: op50, do: measure-insulation, connectors: [tail-lamp] }
`,
      right: `connectors:
  - { id: tail-lamp, class: low-voltage, zone: quarter-left }
operations:
  - { id: op50, do: scan }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'order',
  *check({ plan }) {
    const measured = new Map<Operation, string[]>();
    for (const { connector, operations } of electronics(plan)) {
      for (const operation of operations) {
        if (testsInsulation(operation)) addToGroup(measured, operation, connector.id);
      }
    }
    for (const [operation, ids] of measured) {
      yield {
        at: spanOfMention(operation, ids[0]!),
        operation: operation.id,
        ...ofConnectors(ids),
        message: say`${named(operation)} puts an insulation tester on ${someOf(ids)}: hundreds of volts destroy control units, and can fire an airbag. Take ${someOf(ids)} out of ${operation.id} and scan for fault codes instead.`,
      };
    }
  },
};

const classes: ReadonlySet<ConnectorClass | undefined> = new Set(['low-voltage', 'sensor', 'data'] as const);
const electronics = historiesWhere(({ connector, unsure }) => !unsure && classes.has(connector.class));
