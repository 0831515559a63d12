import { setKey } from '../../../document/edits.ts';
import { say } from '../../../language/phrase.ts';
import { measuringSteps, readingsIn } from '../../../sequence/readings.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';
import { fix } from '../../support/mending.ts';
import { traceAt, named } from '../../support/words.ts';

export const readingUnplaced: FindingRule = {
  id: 'reading-unplaced',
  title: say`A reading of which nobody knows when it was taken`,
  severity: 'warning',
  page: () => ({
    means: say`The plan measures the same thing at a connector more than once, and a reading does not say under \`after\` which of these steps it belongs to. It then proves nothing.`,
    why: say`A good reading from before the connector was opened again looks like a proof of the closed one.`,
    whatToDo: say`Write \`after\` with the step that took the reading.`,
    source: commonPractice,
    example: {
      wrong: `operations:
  - { id: op10, do: measure-resistance, connectors: [inverter-dc] }
  - { id: op70, do: measure-resistance, connectors: [inverter-dc] }
measurements:
  - { connector: inverter-dc, method: four-wire, value: 0.31 mΩ }
`,
      right: `operations:
  - { id: op10, do: measure-resistance, connectors: [inverter-dc] }
  - { id: op70, do: measure-resistance, connectors: [inverter-dc] }
measurements:
  - { connector: inverter-dc, after: op70, method: four-wire, value: 0.31 mΩ }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'proof',
  *check({ plan, sequence }) {
    for (const { connector, kind, node, value } of readingsIn(plan).unplaced) {
      const steps = measuringSteps(sequence, connector.value, kind);
      yield {
        at: value.span,
        connector: connector.value,
        message: say`The reading ${value.text} at ${connector.value} does not say when it was taken, and the plan measures that ${steps.length} times, so it proves nothing. Write \`after\` with the step that took it.`,
        trace: steps.slice(0, 5).map((step) => traceAt(step, say`${named(step)} measures it here`)),
        fixes: () =>
          steps.map((step) => {
            const one = fix(say`It was taken after ${step.planStep.id}`, [
              setKey(plan.document, node, 'after', step.planStep.id),
            ]);
            return one && { ...one, choice: true };
          }),
      };
    }
  },
};
