import { say } from '../../../language/phrase.ts';
import { stepQuantity } from '../../../plan/operations.ts';
import type { Operation } from '../../../plan/operations.ts';
import { operationsWhere } from '../../../plan/plan.ts';
import type { Quantity } from '../../../plan/read.ts';
import { exceeds } from '../../support/compare.ts';
import type { FindingRule } from '../../finding.ts';
import { plansOnly } from '../../finding.ts';
import { voltageMet } from '../../../plan/high-voltage.ts';
import { named, valueSpan } from '../../support/words.ts';

export const meterRating: FindingRule = {
  id: 'meter-rating',
  title: say`A meter rated below the voltage it may meet`,
  severity: 'error',
  page: () => ({
    means: say`A step names a meter whose rated voltage is below the voltage of the system or of the connector.`,
    why: say`A meter used above its rating can flash over in your hand, or show zero where there is voltage.`,
    whatToDo: say`Use a meter and leads rated for the voltage. The measurement category of IEC 61010-1 (CAT) is a mains term; for a traction battery follow the vehicle maker's requirement.`,
    source: say`IEC 61010-1 (rated voltage of measuring circuits); HSE GS38.`,
    example: {
      wrong: `vehicle: { description: Kestrel (invented), propulsion: battery-electric, system-voltage: 800 V }
operations:
  - { id: op16, do: prove-dead, meter-rating: 600 V }
`,
      right: `vehicle: { description: Kestrel (invented), propulsion: battery-electric, system-voltage: 800 V }
operations:
  - { id: op16, do: prove-dead, meter-rating: 1000 V }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'safety',
  *check({ plan }) {
    for (const operation of metered(plan)) {
      const rating = ratingOf(operation)!;
      const voltage = voltageMet(plan, operation);
      if (!voltage || !exceeds(voltage.si, rating.si)) continue;
      yield {
        at: valueSpan(plan, operation, rating),
        operation: operation.id,
        message: say`${named(operation)} uses a meter rated for ${rating.text}, but ${voltage.text} may be present: it can flash over in your hand. Use one rated for at least ${voltage.text}.`,
        trace: [{ at: voltage.span, message: say`the voltage: ${voltage.text}` }],
      };
    }
  },
};

const ratingOf = (operation: Operation): Quantity | undefined =>
  stepQuantity(operation, 'voltage', 'meter-rating');
const metered = operationsWhere((operation) => ratingOf(operation) !== undefined);
