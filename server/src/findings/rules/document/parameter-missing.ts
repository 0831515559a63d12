import { say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { callsOf, parameterKindWords } from '../../support/calls.ts';

export const parameterMissing: FindingRule = {
  id: 'parameter-missing',
  title: say`A procedure lacks a value it needs`,
  severity: 'error',
  page: () => ({
    means: say`A step follows a procedure and leaves out a parameter that has no default.`,
    why: say`The steps of the procedure are then done by no named person, for no stated time, or on no connector.`,
    whatToDo: say`Fill it in under \`with\`.`,
    source: say`Rule of the plan language.`,
    example: {
      wrong: `uses: [./inspect-all.shop-procedure.yaml]
operations:
  - { id: op20, follow: inspect-all, with: { technician: technician-a } }
`,
      right: `uses: [./inspect-all.shop-procedure.yaml]
operations:
  - { id: op20, follow: inspect-all, with: { technician: technician-a, connectors: [inverter-dc] } }
`,
    },
  }),
  kinds: ['repair-plan', 'shop-procedure'],
  ground: 'names',
  *check({ plan }) {
    for (const { step, procedure, parameters, given } of callsOf(plan)) {
      for (const { name, required, span, kind } of parameters) {
        if (!required || given.some(({ key }) => key === name)) continue;
        yield {
          at: step.follows!.span,
          operation: step.id,
          message: say`${step.id} follows ${procedure} and leaves out its ${name}, which has no default. Under \`with\`, give ${parameterKindWords[kind]}.`,
          trace: [{ at: span, message: say`${procedure} requires it here` }],
        };
      }
    }
  },
};
