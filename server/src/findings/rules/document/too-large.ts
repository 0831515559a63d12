import { mistakeLimit, spanOfMistake } from '../../../document/validate.ts';
import { say } from '../../../language/phrase.ts';
import { operationLimit } from '../../../plan/network.ts';
import type { FindingRule } from '../../finding.ts';
import { everyKind } from '../../finding.ts';

export const tooLarge: FindingRule = {
  id: 'too-large',
  title: say`More than can be checked`,
  severity: 'error',
  page: () => ({
    means: say`The file is larger, deeper or repeats itself more often than Plugward reads, so a part of it is left unchecked.`,
    why: say`A plan this large is a mistake (an alias that repeats itself, a pasted dump), and reading it would freeze the editor.`,
    whatToDo: say`Split the plan, or write the repeated part out once.`,
    source: say`Limits of this tool, stated in the developers' guide.`,
    example: {
      wrong: `x-a: &a [x, x, x, x, x, x, x, x, x, x]
x-b: &b [*a, *a, *a, *a, *a, *a, *a, *a, *a, *a]
x-c: &c [*b, *b, *b, *b, *b, *b, *b, *b, *b, *b]
x-d: &d [*c, *c, *c, *c, *c, *c, *c, *c, *c, *c]
x-e: &e [*d, *d, *d, *d, *d, *d, *d, *d, *d, *d]
x-f: &f [*e, *e, *e, *e, *e, *e, *e, *e, *e, *e]
operations: []
`,
      right: `operations: []
`,
    },
  }),
  kinds: everyKind,
  ground: 'text',
  *check({ document, plan }) {
    for (const { kind, span, message } of document.problems)
      if (kind === 'too-large') yield { at: span, message };
    const { nextMistake } = document;
    if (nextMistake) {
      yield {
        at: spanOfMistake(nextMistake),
        message: say`This file breaks the language rules in more than ${mistakeLimit} places; the rest are not listed. Fix the first ones, then check again.`,
      };
    }
    if (plan.firstOverLimit) {
      yield {
        at: plan.firstOverLimit.span,
        operation: plan.firstOverLimit.id,
        message: say`With ${plan.firstOverLimit.id}, the procedures expand to more than ${operationLimit} steps; the rest is not checked. Split the plan.`,
      };
    }
  },
};
