import { rangeOf } from '../../../text/span.ts';
import { localizedNumber, say } from '../../../language/phrase.ts';
import type { Phrase } from '../../../language/phrase.ts';
import { gloveClasses, gloveSource } from '../../../plan/tables/gloves.ts';
import type { GloveClass } from '../../../plan/tables/gloves.ts';
import type { Operation } from '../../../plan/operations.ts';
import { operationsWhere } from '../../../plan/plan.ts';
import type { Plan } from '../../../plan/plan.ts';
import { readText } from '../../../plan/read.ts';
import type { WithSpan } from '../../../plan/read.ts';
import { exceeds } from '../../support/compare.ts';
import type { FindingRule } from '../../finding.ts';
import { plansOnly } from '../../finding.ts';
import { voltageKind, voltageMet } from '../../../plan/high-voltage.ts';
import { voltageKindWords } from '../../support/high-voltage.ts';
import { fix } from '../../support/mending.ts';
import { named, valueSpan } from '../../support/words.ts';

export const gloveClass: FindingRule = {
  id: 'glove-class',
  title: say`Gloves of too low a class`,
  severity: 'error',
  page: () => ({
    means: say`A step names insulating gloves of a class that may not be used at the voltage it meets.`,
    why: say`Gloves are the last protection if a circuit that should be dead is live. Above the highest voltage of their class they are not certain to insulate.`,
    whatToDo: say`Use gloves whose class covers the voltage, in date and air-tested before each use. Write the class in quotes: class 00 is not class 0.`,
    source: say`${gloveSource} (class 00: 500 V AC, 750 V DC; 0: 1,000 and 1,500; 1: 7,500 and 11,250; 2: 17,000 and 25,500; 3: 26,500 and 39,750; 4: 36,000 and 54,000).`,
    example: {
      wrong: `vehicle: { description: Kestrel (invented), propulsion: battery-electric, system-voltage: 800 V }
operations:
  - { id: op16, do: prove-dead, glove-class: '00' }
`,
      right: `vehicle: { description: Kestrel (invented), propulsion: battery-electric, system-voltage: 800 V }
operations:
  - { id: op16, do: prove-dead, glove-class: '0' }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'safety',
  *check({ plan }) {
    const kind = voltageKind(plan);
    for (const operation of gloved(plan)) {
      const stated = gloveClassOf(operation)!;
      const voltage = voltageMet(plan, operation);
      const used = gloveClasses.find(({ id }) => id === asWritten(plan, stated));
      if (!used || !voltage || !exceeds(voltage.si, used[kind])) continue;
      const good = gloveClasses.find((gloveClass) => !exceeds(voltage.si, gloveClass[kind]));
      const says = ({ id, [kind]: limit }: GloveClass): Phrase =>
        say`class ${id} (up to ${localizedNumber(limit.toLocaleString('en-US'))} V ${voltageKindWords[kind]})`;
      yield {
        at: valueSpan(plan, operation, stated),
        operation: operation.id,
        message: say`${named(operation)} uses gloves of ${says(used)}, but ${voltage.text} may be present: they are not certain to insulate. ${good ? say`Use at least ${says(good)}` : say`No glove class covers that voltage: follow the vehicle maker's procedure`}.`,
        trace: [{ at: voltage.span, message: say`the voltage: ${voltage.text}` }],
        fixes: () =>
          good && rangeOf(stated.span).uri === plan.uri
            ? [fix(say`Use class ${good.id} gloves`, [{ ...rangeOf(stated.span), text: `'${good.id}'` }])]
            : [],
      };
    }
  },
};

const gloveClassOf = ({ step, bindings }: Operation): WithSpan<string> | undefined =>
  readText(step.node.get('glove-class'), bindings);
const gloved = operationsWhere((operation) => gloveClassOf(operation) !== undefined);

/** YAML reads an unquoted `00` as the number 0. Use the source text: 00 is the lower class. */
function asWritten({ scope }: Plan, { value, span }: WithSpan<string>): string {
  const { uri, start, end } = rangeOf(span);
  const text = [scope.document, ...scope.used].find((document) => document.uri === uri)?.slice(start, end);
  return text?.replaceAll(/["']/g, '').trim() === '00' ? '00' : value;
}
