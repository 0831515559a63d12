/** Numbers as the trade writes them: three significant digits at most, a prefix that keeps them readable. */
import type { Assumption } from './assumptions.ts';
import type { TimesToClass } from './estimate.ts';

const PREFIXES: readonly (readonly [number, string])[] = [
  [1e6, 'M'],
  [1e3, 'k'],
  [1, ''],
  [1e-3, 'm'],
  [1e-6, 'µ'],
];

/** `0.00031` and `Ω` give “0.31 mΩ”. The trade says milliohm down to hundredths of one, hence Ω's longer reach. */
export function quantityText(value: number, unit: 'Ω' | 'W' | 'V' | 'A' | 'J' | 'm'): string {
  const rounded = Number(value.toPrecision(3));
  const size = Math.abs(rounded);
  const reach = (factor: number): number => (unit === 'Ω' && factor === 1e-3 ? 1e-5 : factor);
  const [factor, prefix] =
    size === 0
      ? ([1, ''] as const)
      : (PREFIXES.find(([each]) => size >= reach(each) * (1 - 1e-9)) ?? PREFIXES.at(-1)!);
  return `${plain(rounded / factor)} ${prefix}${unit}`;
}

/**
 * A value with its expanded uncertainty: two digits of the uncertainty, the value rounded to its last one, one prefix for
 * both. `10.044` and `0.648` give “10.04 ± 0.65 W” (GUM 7.2.6).
 */
export function uncertainText(
  value: number,
  uncertainty: number | undefined,
  unit: Parameters<typeof quantityText>[1],
): string {
  if (uncertainty === undefined || !(uncertainty > 0)) return quantityText(value, unit);
  const prefixed = quantityText(Math.max(Math.abs(value), uncertainty), unit).split(' ')[1]!;
  const factor = PREFIXES.find(([, prefix]) => prefixed === prefix + unit)![0];
  // One digit of an uncertainty is enough once its value has three.
  const share = uncertainty / Math.abs(value);
  const digits = share < 0.01 ? 1 : 2;
  const last = 10 ** (Math.floor(Math.log10(uncertainty / factor)) - digits + 1);
  const rounded = (number: number): string =>
    plain(Number((Math.round(number / factor / last) * last).toPrecision(12)));
  return `${rounded(value)} ± ${rounded(uncertainty)} ${prefixed}`;
}

/** Whole degrees Celsius of a temperature in K; an estimate is no finer. */
export function temperatureText(kelvin: number): string {
  return `${plain(Math.round(kelvin - 273.15))} °C`;
}

/** The same with an expanded uncertainty in K, rounded up: “109 ± 4 °C”. */
export function uncertainTemperature(kelvin: number, uncertainty: number | undefined): string {
  const text = temperatureText(kelvin);
  return uncertainty === undefined ? text : text.replace(' ', ` ± ${Math.ceil(uncertainty - 1e-9)} `);
}

/** Seconds, minutes or hours, with two digits below ten. */
export function durationText(seconds: number): string {
  const [value, unit] =
    seconds < 99.5
      ? [seconds, 's']
      : seconds < 5970
        ? [seconds / 60, 'min']
        : ([seconds / 3600, 'h'] as const);
  return `${plain(value < 9.95 ? Number(value.toPrecision(2)) : Math.round(value))} ${unit}`;
}

/**
 * When a row passes its temperature class, in words: soonest first. A peak of `peakTime` s that ends before does not
 * count.
 */
export function whenPassed(row: TimesToClass, peakTime: number | undefined): string {
  const { steadyTimeToClass, peakTimeToClass, cycleTimeToClass } = row;
  if (steadyTimeToClass !== undefined) return `after ${durationText(steadyTimeToClass)} steady`;
  if (peakTimeToClass !== undefined && peakTime !== undefined && peakTimeToClass <= peakTime)
    return `${durationText(peakTimeToClass)} into the peak`;
  return cycleTimeToClass === undefined ? 'no' : `after ${durationText(cycleTimeToClass)} of the cycle`;
}

/** "air around the connector 40 °C (20…60: a closed cavity, cool shop to warm parts)". */
export function assumptionText({ name, value, low, high, unit, brief }: Assumption): string {
  const number = (one: number): string =>
    unit === 'K' ? temperatureText(one).replace(' °C', '') : plain(one);
  return `${name} ${number(value)} ${unit === 'K' ? '°C' : unit} (${number(low)}…${number(high)}: ${brief})`;
}

/** No exponent, no binary residue, a true minus sign. */
function plain(value: number): string {
  return String(Number(value.toPrecision(12))).replace('-', '−');
}
