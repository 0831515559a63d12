import { standards } from '../../../base/standards.ts';
import { quantityText } from '../../../heat/text.ts';
import { judge } from '../../../heat/uncertainty.ts';
import { say } from '../../../language/phrase.ts';
import type { Phrase } from '../../../language/phrase.ts';
import type { Plan } from '../../../plan/plan.ts';
import type { FindingRule } from '../../finding.ts';
import { plansOnly } from '../../finding.ts';
import { insulationLimit, unstatedJoinedRule, voltageKind } from '../../../plan/high-voltage.ts';
import type { InsulationRule } from '../../../plan/high-voltage.ts';
import { voltageKindWords, scopeOfVehicleRules } from '../../support/high-voltage.ts';
import { effectiveReadings } from '../../../sequence/readings.ts';
import { readingText } from '../../support/readings.ts';

export const insulationLow: FindingRule = {
  id: 'insulation-low',
  title: say`Insulation resistance too low`,
  severity: 'error',
  page: () => ({
    means: say`The last reading of an insulation resistance is below the vehicle maker's \`insulation-limit\`, below 100 Ω per volt of the system (DC) or 500 Ω per volt (AC, and joined circuits whose \`ac-side\` is unprotected), or too near to that to decide. Where nobody states \`ac-side\`, a reading between 100 and 500 Ω per volt is a warning.`,
    why: say`Insulation is what keeps the traction voltage off the vehicle body. Below this value, anyone who touches the vehicle body and the circuit at once takes a dangerous current.`,
    whatToDo: say`Do not power up the vehicle. Have a high-voltage technician find the fault: a pinched cable, water, debris. The stricter of the vehicle maker's limit and the regulation's applies.`,
    source: say`${standards.r100}, 5.1.3.1 and 5.1.3.2; ${standards.vehicleElectricalSafety} and ${standards.vehicleAfterCrash}. ${scopeOfVehicleRules}`,
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
  }),
  kinds: plansOnly,
  ground: 'readings',
  *check({ plan }) {
    for (const reading of effectiveReadings(plan, 'insulation')) {
      const { value, uncertainty } = reading;
      const connector = plan.scope.connectors.get(reading.connector.value);
      const guard = uncertainty && Math.abs(uncertainty.si);
      const place = { at: value.span, connector: reading.connector.value };
      const limit = insulationLimit(plan, connector);
      if (!limit) continue;
      const { verdict, rule } = judge(value.si, guard, limit.ohms, 'at-least');
      const least = limit.stated
        ? say`${limit.stated.text} (the vehicle maker's limit)`
        : byRule(plan, limit.byRule!);
      if (verdict !== 'accepted') {
        yield {
          ...place,
          severity: verdict === 'rejected' ? 'error' : 'warning',
          message:
            verdict === 'rejected'
              ? say`The insulation at ${place.connector} measures ${readingText(reading)}, below ${least}: the vehicle body may be live. Do not power up the vehicle; have a high-voltage technician find the fault.`
              : say`The insulation at ${place.connector} measures ${readingText(reading)}, too near ${least} to decide. Measure with less uncertainty, or have a high-voltage technician find the fault.`,
          trace: [
            limit.stated
              ? { at: limit.stated.span, message: say`the limit: ${limit.stated.text}; ${rule}` }
              : {
                  at: limit.byRule!.voltage.span,
                  message: say`the voltage: ${limit.byRule!.voltage.text}; ${rule}`,
                },
          ],
        };
        continue;
      }
      const joined = unstatedJoinedRule(plan, connector);
      if (!joined || limit.stated) continue;
      if (judge(value.si, guard, joined.perVolt * joined.voltage.si, 'at-least').verdict === 'accepted')
        continue;
      yield {
        ...place,
        severity: 'warning',
        message: say`The insulation at ${place.connector} measures ${readingText(reading)}, which may be below ${byRule(plan, joined)}: that applies where DC and AC circuits are joined without further protection. Have a high-voltage technician find the fault, or state \`ac-side\` of the vehicle, as the vehicle maker specifies.`,
        trace: [{ at: joined.voltage.span, message: say`the voltage: ${joined.voltage.text}` }],
      };
    }
  },
};

/** "40 kΩ (100 Ω/V at 400 V DC, UN R100)". */
const byRule = (plan: Plan, { perVolt, voltage }: InsulationRule): Phrase =>
  say`${quantityText(perVolt * voltage.si, 'Ω')} (${perVolt} Ω/V at ${voltage.text} ${voltageKindWords[voltageKind(plan)]}, UN R100)`;
