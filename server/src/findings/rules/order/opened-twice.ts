import { say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';
import { traceAt, spanOfMention, named } from '../../support/words.ts';

export const openedTwice: FindingRule = {
  id: 'opened-twice',
  title: say`Opened although it is open already`,
  severity: 'warning',
  page: () => ({
    means: say`A step opens a connector that an earlier step has opened and nothing has closed since.`,
    why: say`Either the closing in between is missing, or the step means another connector, which then stays closed while work goes on around it.`,
    whatToDo: say`Take the connector out of one of the two steps, name the connector that is meant, or write the closing in between.`,
    source: commonPractice,
    example: {
      wrong: `operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
  - { id: op30, do: disconnect, connectors: [inverter-dc] }
`,
      right: `operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
  - { id: op30, do: disconnect, connectors: [park-sensor] }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'order',
  perConnector: true,
  *check({ lives }) {
    for (const { connector, events, unsure, unclear } of lives) {
      if (unsure || unclear) continue;
      let open: (typeof events)[number] | undefined;
      for (const event of events) {
        if (event.act === 'reconnect') open = undefined;
        if (event.act !== 'disconnect') continue;
        if (open) {
          const { operation } = event;
          yield {
            at: spanOfMention(operation, connector.id),
            operation: operation.id,
            connector: connector.id,
            message: say`${named(operation)} opens ${connector.id}, which ${named(open.operation)} has opened already. Name the connector that is meant, or write the closing in between.`,
            trace: [traceAt(open.operation, say`${open.operation.id}: ${connector.id} is opened here first`)],
          };
        }
        open = event;
      }
    }
  },
};
