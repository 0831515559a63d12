import { say } from '../../../language/phrase.ts';
import { readingsIn } from '../../../sequence/readings.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';
import { traceAt, named } from '../../support/words.ts';

export const readingEarly: FindingRule = {
  id: 'reading-early',
  title: say`A reading from before the connector was closed`,
  severity: 'error',
  page: () => ({
    means: say`A reading names under \`after\` a step at which the connector is not certain to be closed, or its lock not certain to be closed, and the plan closes it later.`,
    why: say`What was measured is not what the vehicle drives with. Closing and locking change the contact.`,
    whatToDo: say`Measure again after closing and locking, and name that step under \`after\`.`,
    source: commonPractice,
    example: {
      wrong: `operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
  - { id: op60, do: reconnect, connectors: [inverter-dc] }
measurements:
  - { connector: inverter-dc, after: op20, method: four-wire, value: 0.31 mΩ }
`,
      right: `operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
  - { id: op60, do: reconnect, connectors: [inverter-dc] }
  - { id: op70, do: measure-resistance, connectors: [inverter-dc] }
measurements:
  - { connector: inverter-dc, after: op70, method: four-wire, value: 0.31 mΩ }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'proof',
  *check({ plan }) {
    for (const { reading, place, later } of readingsIn(plan).early) {
      const { connector, value } = reading;
      yield {
        at: value.span,
        connector: connector.value,
        message: say`The reading ${value.text} at ${connector.value} was taken after ${place.planStep.id}, before ${named(later)}, so it proves nothing about the closed connector. Measure again after ${later.planStep.id}.`,
        trace: [traceAt(later, say`${named(later)}: comes only here`)],
      };
    }
  },
};
