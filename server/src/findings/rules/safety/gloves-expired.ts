import { say } from '../../../language/phrase.ts';
import type { Operation } from '../../../plan/operations.ts';
import type { Person } from '../../../plan/rate-sheet.ts';
import { addToGroup } from '../../../base/collections.ts';
import { alsoAt, andAt, told } from '../../support/needs.ts';
import { named } from '../../support/words.ts';
import type { FindingRule } from '../../finding.ts';
import { plansOnly } from '../../finding.ts';

export const glovesExpired: FindingRule = {
  id: 'gloves-expired',
  title: say`Insulating gloves whose test has run out`,
  severity: 'error',
  page: () => ({
    means: say`A step names insulating gloves, and the rate sheet says that those of its person were tested until an earlier day (\`gloves-until\`), or that day cannot be read.`,
    why: say`Rubber ages, and a hole that nobody sees lets the current through. A class printed on an old glove protects from nothing.`,
    whatToDo: say`Have the gloves tested or take others, look at them and test them with air before each use, and correct \`gloves-until\`.`,
    source: say`ASTM D120 and IEC 60903 name the classes; how often gloves are tested differs between rules (6 or 12 months, from memory), so the rate sheet gives the last day`,
    example: {
      wrong: `operations:
  - { id: op10, do: isolate, by: technician-b, glove-class: '0' }
uses: [./example.rate-sheet.yaml, ./people.rate-sheet.yaml]
`,
      right: `operations:
  - { id: op10, do: isolate, by: technician-a, glove-class: '0' }
uses: [./example.rate-sheet.yaml, ./people.rate-sheet.yaml]
`,
    },
  }),
  kinds: plansOnly,
  ground: 'names',
  *check(subject) {
    const { plan, judgedOn } = subject;
    const { people } = plan.scope;
    if (!people) return;
    const groups = new Map<Person, Operation[]>();
    for (const operation of plan.operations) {
      const person = operation.by && people.get(operation.by.value);
      if (!person || operation.step.node.entry('glove-class') === undefined) continue;
      const { glovesUntil, glovesUntilUnreadable } = person;
      const isOver = glovesUntil !== undefined && judgedOn !== undefined && judgedOn > glovesUntil;
      if (isOver || glovesUntilUnreadable) addToGroup(groups, person, operation);
    }
    for (const [person, steps] of groups) {
      for (const { first, others } of told(subject, 'gloves-expired', [{ culprit: undefined, steps }])) {
        yield {
          at: first.span,
          operation: first.id,
          message:
            person.glovesUntil === undefined
              ? say`${named(first)} names the gloves of ${person.id}, and the last day of their test cannot be read in the rate sheet. Correct \`gloves-until\` there, as in 2027-02-10.`
              : say`${named(first)} names the gloves of ${person.id}, whose test ran out on ${person.glovesUntil}: an old glove may let the current through. Have them tested or take others before ${first.id}, and correct \`gloves-until\` in the rate sheet.`,
          ...andAt(others),
          trace: [{ at: person.span, message: say`${person.id} in the rate sheet` }, ...alsoAt(others)],
        };
      }
    }
  },
};
