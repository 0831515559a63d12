import { temperatureText } from '../heat/text.ts';
import type { Assumption } from '../heat/assumptions.ts';
import { exceeds } from './compare.ts';
import type { Finding } from './finding.ts';
import { plansOnly } from './finding.ts';
import { atResistance, heated } from './heated.ts';

export const contactTooHot: Finding = {
  id: 'contact-too-hot',
  title: 'Contact estimated hotter than its temperature class',
  severity: 'warning',
  means:
    'An estimate of the contact temperature, at steady current or at the end of a peak, lies above the temperature class of the connector: with the resistance that was measured or, before it is measured, with the highest that would be accepted. Where even the coolest of all assumptions is too hot for what was measured, it is an error.',
  why: 'Above its class a connector ages in hours, not years: springs lose their force, seals harden, and the resistance rises further.',
  todo: 'It is an estimate: heat capacity, heat paths and surroundings are assumed and named in the trace. Clean or renew the contacts, measure again, and ask the maker.',
  source:
    'Two-body thermal network (lumped capacitance method, Incropera, ch. 5); the assumptions are common practice, no source.',
  kinds: plansOnly,
  ground: 'proof',
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
  *check(subject) {
    for (const one of heated(subject)) {
      const { connector, estimate, row, basis, place } = one;
      const { temperatureClass: rated, current } = connector;
      if (!rated || !current.steady) continue;
      const atPeak = (row.peakTemperature?.value ?? 0) > (row.steadyTemperature?.value ?? 0);
      const warmest = atPeak ? row.peakTemperature : row.steadyTemperature;
      if (!warmest || !exceeds(warmest.value, rated.si)) continue;
      const when = atPeak
        ? `at the end of its peak of ${current.peak?.text} for ${current.peakTime?.text}`
        : `at a steady ${current.steady.text}`;
      const hot = row.beyondModel
        ? 'hotter than copper melts'
        : `about ${temperatureText(warmest.value)} (${temperatureText(warmest.low)} to ${temperatureText(warmest.high)})`;
      const assumed = estimate.assumptions.length > 0 ? ', with surroundings and heat paths assumed' : '';
      yield {
        at: place,
        connector: connector.id,
        severity: basis === 'measured' && warmest.low > rated.si ? 'error' : 'warning',
        message: `By an estimate ${atResistance(one)} gets ${hot} ${when}, above its class of ${rated.text}${assumed}. ${basis === 'measured' ? 'Clean or renew the contacts and measure again.' : 'Ask the maker whether limit and current belong together.'}`,
        trace: [
          { at: rated.span, message: `the temperature class: ${rated.text}` },
          ...estimate.assumptions.map((assumption) => ({ at: place, message: inWords(assumption) })),
        ],
      };
    }
  },
};

function inWords({ name, value, low, high, unit, reason }: Assumption): string {
  const text = (number: number): string =>
    unit === 'K' ? temperatureText(number) : `${Number(number.toPrecision(3))} ${unit}`;
  return `${name}: ${text(value)} (${text(low)} to ${text(high)}), ${reason}`;
}
