import { assumedValue, temperatureText, uncertainTemperature } from '../../../heat/text.ts';
import { reasonText } from '../../../heat/assumptions.ts';
import type { Assumption } from '../../../heat/assumptions.ts';
import { say } from '../../../language/phrase.ts';
import type { Phrase } from '../../../language/phrase.ts';
import { exceeds } from '../../support/compare.ts';
import type { FindingRule } from '../../finding.ts';
import { plansOnly } from '../../finding.ts';
import { atResistance, cycleText, connectorHeats } from '../../support/heated.ts';

export const contactTooHot: FindingRule = {
  id: 'contact-too-hot',
  title: say`Contact estimated hotter than its temperature class`,
  severity: 'warning',
  page: () => ({
    means: say`The estimated contact temperature, at steady current, at the end of a peak or at the hottest point of a duty cycle, is above the temperature class of the connector: with the measured resistance or, before it is measured, with the highest that would be accepted. If even the coolest assumptions are too hot for the measured value, it is an error.`,
    why: say`Above its class a connector ages in hours, not years: springs lose their force, seals harden, and the resistance keeps rising.`,
    whatToDo: say`It is an estimate: heat capacity, heat paths and surroundings are assumed and named in the trace. Clean or renew the contacts as the vehicle maker specifies, measure again, and ask the vehicle maker.`,
    source: say`Two-node thermal network (lumped capacitance method, Incropera, ch. 5); the assumptions are common practice, without a published source.`,
    example: {
      wrong: `connectors:
  - { id: inverter-dc, class: high-voltage-power, zone: rear-floor, current: { steady: 180 A }, temperature-class: 125 °C }
operations: []
measurements:
  - { connector: inverter-dc, method: four-wire, value: 0.8 mΩ }
`,
      right: `connectors:
  - { id: inverter-dc, class: high-voltage-power, zone: rear-floor, current: { steady: 180 A }, temperature-class: 125 °C }
operations: []
measurements:
  - { connector: inverter-dc, method: four-wire, value: 0.31 mΩ }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'proof',
  perConnector: true,
  *check(subject) {
    for (const connectorHeat of connectorHeats(subject)) {
      const { connector, estimate, row, basis, place } = connectorHeat;
      const { temperatureClass: rated, current } = connector;
      const cases = (['steadyTemperature', 'peakTemperature', 'cycleTemperature'] as const).filter(
        (name) => row[name],
      );
      const [name] = cases.toSorted((a, b) => row[b]!.value - row[a]!.value);
      // Where nothing stops the heating, thermal-runaway says so.
      if (!rated || !name || !exceeds(row[name]!.value, rated.si) || row[name]!.value === Infinity) continue;
      const warmest = row[name]!;
      const when = {
        steadyTemperature: say`at a steady ${current.steady?.text ?? ''}`,
        peakTemperature: say`at the end of its peak of ${current.peak?.text ?? ''} for ${current.peakTime?.text ?? ''}`,
        cycleTemperature: say`in its duty cycle of ${current.dutyCycle?.phases.length ?? 0} segments`,
      }[name];
      const uncertainty = row.uncertainties?.[name];
      const range =
        warmest.low === warmest.high ? '' : say` (${kelvin(warmest.low)} to ${kelvin(warmest.high)})`;
      const hot = row.beyondModel
        ? say`more than copper's melting point`
        : say`about ${uncertainTemperature(warmest.value, uncertainty)}${range}`;
      const assumed = estimate.assumptions.length > 0 ? say`, with surroundings and heat paths assumed` : '';
      yield {
        at: place,
        connector: connector.id,
        severity: basis === 'measured' && warmest.low - (uncertainty ?? 0) > rated.si ? 'error' : 'warning',
        message: say`By calculation, ${atResistance(connectorHeat)} reaches ${hot} ${when}, above its class of ${rated.text}${assumed}. ${basis === 'measured' ? say`Clean or renew the contacts as the vehicle maker specifies, and measure again.` : say`Ask the vehicle maker whether limit and current belong together.`}`,
        trace: [
          { at: rated.span, message: say`the temperature class: ${rated.text}` },
          ...(name === 'cycleTemperature' && current.dutyCycle
            ? [{ at: current.dutyCycle.span, message: say`the duty cycle: ${cycleText(current.dutyCycle)}` }]
            : []),
          ...estimate.assumptions.map((assumption) => ({ at: place, message: inWords(assumption) })),
        ],
      };
    }
  },
};

const kelvin = (value: number): Phrase => temperatureText(value);

const inWords = (assumption: Assumption): Phrase =>
  say`${assumption.name}: ${assumedValue(assumption, assumption.value)} (${assumedValue(assumption, assumption.low)} to ${assumedValue(assumption, assumption.high)}), ${reasonText(assumption)}`;
