import { rewrite } from '../../../document/edits.ts';
import { orList, say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { splitQuantity, toSI, unitsOf } from '../../../document/quantity.ts';
import { everyKind } from '../../finding.ts';
import {
  correctedUnit,
  quantityOfUnit,
  quantityWords,
  readingsOfComma,
  refusedQuantities,
  unitWords,
} from '../../support/units.ts';

export const unitWrong: FindingRule = {
  id: 'unit-wrong',
  title: say`A unit that does not fit`,
  severity: 'error',
  page: () => ({
    means: say`A quantity is written in a unit of another kind, or in a spelling that is not read.`,
    why: say`A value that cannot be read cannot be checked: the limit it gives is then missing.`,
    whatToDo: say`Use one of the units named in the message.`,
    source: say`Language rule; unit symbols of the SI.`,
    example: {
      wrong: `connectors:
  - { id: inverter-dc, class: high-voltage-power, zone: rear-floor, current: { steady: 180 Amps } }
operations: []
`,
      right: `connectors:
  - { id: inverter-dc, class: high-voltage-power, zone: rear-floor, current: { steady: 180 A } }
operations: []
`,
    },
  }),
  kinds: everyKind,
  ground: 'text',
  *check({ document }) {
    for (const { mistake, quantity, key, text, written } of refusedQuantities(document)) {
      if (written?.unit === '') continue;
      const readings = readingsOfComma(text);
      if (readings?.every((one) => toSI(quantity, one) !== undefined)) {
        yield {
          at: mistake.node.span,
          message: say`${key}: "${text}" may be a thousand or a decimal, so it is ignored. Write ${orList(readings)}, whichever is meant.`,
          fixes: () =>
            readings.map((one) => ({
              title: say`Write ${one}`,
              safe: false,
              choice: true,
              edits: [rewrite(mistake.node, one)],
            })),
        };
        continue;
      }
      // A decimal comma, as most languages write it.
      const point = /^-?\d+,\d+/.test(text) ? splitQuantity(text.replace(',', '.')) : undefined;
      const number = point ?? written;
      const right =
        number &&
        (unitsOf(quantity).includes(number.unit) ? number.unit : correctedUnit(quantity, number.unit));
      const other = written && quantityOfUnit(written.unit);
      const wrong = /^\d+:\d+/.test(text)
        ? say`"${text}" looks like a clock time`
        : point
          ? say`"${text}" has a decimal comma, and the plan language writes a point`
          : !written
            ? say`"${text}" is not a number with a unit`
            : other
              ? say`"${text}" is a ${quantityWords[other]}, and ${key} is a ${quantityWords[quantity]}`
              : say`"${written.unit}" is not read as a unit of ${quantityWords[quantity]}`;
      yield {
        at: mistake.node.span,
        message: say`${key}: ${wrong}, so it is ignored. ${right ? say`Write ${number.digits} ${right}.` : say`Write a number and one of ${unitWords(quantity)}.`}`,
        fixes: () =>
          right
            ? [
                {
                  title: say`Write ${number.digits} ${right}`,
                  safe: true,
                  edits: [rewrite(mistake.node, `${number.digits} ${right}`)],
                },
              ]
            : [],
      };
    }
  },
};
