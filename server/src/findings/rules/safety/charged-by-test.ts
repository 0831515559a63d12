import { memoByKey } from '../../../incremental/query.ts';
import type { Operation } from '../../../plan/operations.ts';
import { traceAt, spanOfMention, named } from '../../support/words.ts';
import { ConnectorFacts } from '../../../sequence/facts/timeline.ts';
import { sequenceOf } from '../../../sequence/lives.ts';
import { highVoltageSteps } from '../../support/live-work.ts';
import { testsInsulation } from '../../support/tools.ts';
import { say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';

export const chargedByTest: FindingRule = {
  id: 'charged-by-test',
  title: say`Hands on a circuit that an insulation test has charged`,
  severity: 'warning',
  page: () => ({
    means: say`After an insulation test a high-voltage connector is handled, and neither does the test say that the circuit was discharged, nor does a wait or a new proof come in between.`,
    why: say`The test puts hundreds of volts on cables and capacitors, which stay charged after it.`,
    whatToDo: say`Discharge the circuit after the test as the vehicle maker specifies and write \`discharged: true\` in that step; or wait and prove dead again.`,
    source: commonPractice,
    example: {
      wrong: `operations:
  - { id: op10, do: isolate }
  - { id: op12, do: lock-out }
  - { id: op14, do: wait, time: 5 min }
  - { id: op16, do: prove-dead, meter-proven: before-and-after }
  - { id: op30, do: measure-insulation, connectors: [inverter-dc] }
  - { id: op40, do: disconnect, connectors: [inverter-dc] }
`,
      right: `operations:
  - { id: op10, do: isolate }
  - { id: op12, do: lock-out }
  - { id: op14, do: wait, time: 5 min }
  - { id: op16, do: prove-dead, meter-proven: before-and-after }
  - { id: op30, do: measure-insulation, connectors: [inverter-dc], discharged: true }
  - { id: op40, do: disconnect, connectors: [inverter-dc] }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'safety',
  needsEveryStep: true,
  *check({ plan }) {
    const sequence = sequenceOf(plan);
    const factsOf = memoByKey((id: string) => new ConnectorFacts(plan, sequence, sequence.life(id)!));
    const seen = new Set<Operation>();
    for (const { operation, connectors } of highVoltageSteps(plan)) {
      if (testsInsulation(operation)) continue;
      for (const { id } of connectors) {
        const found = factsOf(id).verdict('discharged', operation);
        if (found.met || !found.culprit || seen.has(found.culprit)) continue;
        seen.add(found.culprit);
        const test = found.culprit;
        yield {
          at: spanOfMention(operation, id),
          operation: operation.id,
          connector: id,
          message: say`${named(operation)} puts hands on ${id}, which ${named(test)} may have left charged. Discharge the circuit as the vehicle maker specifies and write \`discharged: true\` in ${test.id}, or wait and prove dead again before ${operation.id}.`,
          trace: [traceAt(test, say`${named(test)}: the test voltage goes on here`)],
        };
      }
    }
  },
};
