import { quantityText } from '../../../heat/text.ts';
import { judge } from '../../../heat/uncertainty.ts';
import { say } from '../../../language/phrase.ts';
import { highVoltageAbove, insulationPerVolt } from '../../../plan/tables/electrical-safety.ts';
import type { FindingRule } from '../../finding.ts';
import { plansOnly } from '../../finding.ts';
import { voltageAt, voltageKind } from '../../../plan/high-voltage.ts';
import { voltageKindWords, scopeOfVehicleRules } from '../../support/high-voltage.ts';
import { effectiveReadings } from '../../../sequence/readings.ts';
import { readingText } from '../../support/readings.ts';

export const insulationLow: FindingRule = {
  id: 'insulation-low',
  title: say`Insulation resistance too low`,
  severity: 'error',
  means: say`The last reading of an insulation resistance is below 100 Ω per volt of the system (DC) or 500 Ω per volt (AC), or too near to that to decide.`,
  why: say`Insulation is what keeps the traction voltage off the vehicle body. Below this value, anyone who touches the vehicle body and the circuit at once takes a dangerous current.`,
  whatToDo: say`Do not power up the vehicle. Find the fault: a pinched cable, water, debris. Where DC and AC circuits are joined and the AC side has no further protection, 500 Ω/V applies to both.`,
  source: say`UN R100, 5.1.3.1 and 5.1.3.2; ISO 6469-3 and ISO 6469-4:2015. ${scopeOfVehicleRules}`,
  kinds: plansOnly,
  ground: 'readings',
  example: {
    wrong: `operations: []
measurements:
  - { connector: inverter-dc, kind: insulation, value: 30 kΩ }
`,
    right: `operations: []
measurements:
  - { connector: inverter-dc, kind: insulation, value: 2 MΩ }
`,
  },
  *check({ plan }) {
    const kind = voltageKind(plan);
    for (const reading of effectiveReadings(plan, 'insulation')) {
      const { connector, value, uncertainty } = reading;
      const voltage = voltageAt(plan, plan.scope.connectors.get(connector.value));
      if (!voltage || voltage.si <= highVoltageAbove[kind]) continue;
      const limit = insulationPerVolt[kind] * voltage.si;
      const guard = uncertainty && Math.abs(uncertainty.si);
      const { verdict, rule } = judge(value.si, guard, limit, 'at-least');
      if (verdict === 'accepted') continue;
      const least = say`${quantityText(limit, 'Ω')} (${insulationPerVolt[kind]} Ω/V at ${voltage.text} ${voltageKindWords[kind]}, UN R100)`;
      yield {
        at: value.span,
        connector: connector.value,
        severity: verdict === 'rejected' ? 'error' : 'warning',
        message:
          verdict === 'rejected'
            ? say`The insulation at ${connector.value} measures ${readingText(reading)}, below ${least}: the vehicle body may be live. Do not power up the vehicle; find the fault.`
            : say`The insulation at ${connector.value} measures ${readingText(reading)}, too near ${least} to decide. Measure with less uncertainty, or find the fault.`,
        trace: [{ at: voltage.span, message: say`the voltage: ${voltage.text}; ${rule}` }],
      };
    }
  },
};
