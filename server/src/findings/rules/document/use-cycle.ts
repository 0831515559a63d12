import { say } from '../../../language/phrase.ts';
import type { Step } from '../../../plan/steps.ts';
import type { FindingRule } from '../../finding.ts';

export const useCycle: FindingRule = {
  id: 'use-cycle',
  title: say`A procedure that follows itself`,
  severity: 'error',
  page: () => ({
    means: say`A procedure follows itself, directly or through another one.`,
    why: say`It would never end; the step is left out.`,
    whatToDo: say`Take the step out, or follow another procedure.`,
    source: say`Rule of the plan language.`,
    example: {
      wrong: `uses: [./round.shop-procedure.yaml]
operations:
  - { id: op10, follow: round }
`,
      right: `uses: [./round.shop-procedure.yaml]
operations:
  - { id: op10, do: isolate }
`,
    },
  }),
  kinds: ['repair-plan', 'shop-procedure'],
  ground: 'text',
  *check({ plan }) {
    for (const step of new Set(plan.recursiveCalls)) {
      const inPlan = [...climb(step)].find((one) => one.uri === plan.uri) ?? step;
      yield {
        at: inPlan.follows?.span ?? inPlan.span,
        operation: inPlan.id,
        message: say`${inPlan.id} follows ${step.follows?.value ?? say`a procedure`}, which follows itself through other procedures. Take that step out of the procedure.`,
        trace: [{ at: step.follows?.span ?? step.span, message: say`${step.id} starts it again here` }],
      };
    }
  },
};

/** A step, then the step that follows its procedure, and so on up to the plan's own. */
function* climb(step: Step): Generator<Step> {
  for (let one: Step | undefined = step; one; one = one.caller) yield one;
}
