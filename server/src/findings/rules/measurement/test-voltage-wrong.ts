import { standards } from '../../../base/standards.ts';
import { mapDefined } from '../../../base/collections.ts';
import { say } from '../../../language/phrase.ts';
import { mayCarryHighVoltage, voltageAt } from '../../../plan/high-voltage.ts';
import { stepQuantity } from '../../../plan/operations.ts';
import { exceeds } from '../../support/compare.ts';
import { someOf } from '../../support/needs.ts';
import { insulationTests } from '../../support/tools.ts';
import { named, valueSpan, ofConnectors } from '../../support/words.ts';
import type { FindingRule } from '../../finding.ts';
import { plansOnly } from '../../finding.ts';

export const testVoltageWrong: FindingRule = {
  id: 'test-voltage-wrong',
  title: say`An insulation test at the wrong voltage`,
  severity: 'error',
  page: () => ({
    means: say`The voltage of an insulation test is above the highest one that the vehicle maker allows for a connector (\`test-voltage\`), or, as a warning, below the voltage that the connector carries.`,
    why: say`Too high a voltage breaks the insulation that it should prove, and charges what it meets; too low a voltage finds no fault that the traction voltage will find.`,
    whatToDo: say`Set the tester to the voltage that the vehicle maker specifies.`,
    source: say`the vehicle maker's figure; ${standards.r100}, test of the insulation resistance, asks for a voltage above the working voltage (from memory)`,
    example: {
      wrong: `connectors:
  - { id: inverter-dc, class: high-voltage-power, zone: rear-floor, test-voltage: 500 V }
operations:
  - { id: op80, do: measure-insulation, connectors: [inverter-dc], test-voltage: 1000 V }
`,
      right: `connectors:
  - { id: inverter-dc, class: high-voltage-power, zone: rear-floor, test-voltage: 500 V }
operations:
  - { id: op80, do: measure-insulation, connectors: [inverter-dc], test-voltage: 500 V }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'order',
  *check({ plan }) {
    for (const operation of insulationTests(plan)) {
      const voltage = stepQuantity(operation, 'voltage', 'test-voltage');
      if (!voltage) continue;
      const tested = mapDefined(operation.connectors, ({ value }) => plan.scope.connectors.get(value));
      const at = valueSpan(plan, operation, voltage);
      const harmed = tested.filter(({ testVoltage }) => testVoltage && exceeds(voltage.si, testVoltage.si));
      if (harmed.length > 0) {
        const { testVoltage } = harmed.sort((a, b) => a.testVoltage!.si - b.testVoltage!.si)[0]!;
        const ids = harmed.map(({ id }) => id);
        yield {
          at,
          operation: operation.id,
          ...ofConnectors(ids),
          message: say`${named(operation)} tests ${someOf(ids)} at ${voltage.text}, above the vehicle maker's ${testVoltage!.text}: that breaks insulation and control units. Set the tester to ${testVoltage!.text} at most.`,
          trace: [{ at: testVoltage!.span, message: say`the vehicle maker's highest: ${testVoltage!.text}` }],
        };
        continue;
      }
      const weak = mapDefined(tested, (connector) => {
        const carried = mayCarryHighVoltage(plan, connector) ? voltageAt(plan, connector) : undefined;
        return carried && exceeds(carried.si, voltage.si) ? { id: connector.id, carried } : undefined;
      });
      if (weak.length === 0) continue;
      const { carried } = weak.sort((a, b) => b.carried.si - a.carried.si)[0]!;
      const ids = weak.map(({ id }) => id);
      yield {
        at,
        operation: operation.id,
        ...ofConnectors(ids),
        severity: 'warning',
        message: say`${named(operation)} tests ${someOf(ids)} at ${voltage.text}, below the ${carried.text} it carries: a fault that shows only at ${carried.text} stays hidden. Set the tester to the voltage that the vehicle maker specifies.`,
        trace: [{ at: carried.span, message: say`the voltage: ${carried.text}` }],
      };
    }
  },
};
