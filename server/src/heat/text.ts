/** Numbers as the trade writes them: three significant digits at most, a prefix that keeps them readable. */
import { figure, say } from '../language/phrase.ts';
import type { Phrase } from '../language/phrase.ts';
import type { Assumption } from './assumptions.ts';
import type { TimesToClass } from './estimate.ts';

const PREFIXES: readonly (readonly [number, string])[] = [
  [1e6, 'M'],
  [1e3, 'k'],
  [1, ''],
  [1e-3, 'm'],
  [1e-6, 'µ'],
];

type Unit = 'Ω' | 'W' | 'V' | 'A' | 'J' | 'm';

/** `0.00031` and `Ω` give “0.31 mΩ”. Technicians use mΩ down to 0.01 mΩ, so mΩ covers a wider range. */
export const quantityText = (value: number, unit: Unit): Phrase => figure(prefixed(value, unit));

function prefixed(value: number, unit: Unit): string {
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
export function uncertainText(value: number, uncertainty: number | undefined, unit: Unit): Phrase {
  if (uncertainty === undefined || !(uncertainty > 0)) return quantityText(value, unit);
  const whole = prefixed(Math.max(Math.abs(value), uncertainty), unit).split(' ')[1]!;
  const factor = PREFIXES.find(([, prefix]) => whole === prefix + unit)![0];
  // Use one digit of uncertainty if the value already has three.
  const share = uncertainty / Math.abs(value);
  const digits = share < 0.01 ? 1 : 2;
  const last = 10 ** (Math.floor(Math.log10(uncertainty / factor)) - digits + 1);
  const rounded = (number: number): string =>
    plain(Number((Math.round(number / factor / last) * last).toPrecision(12)));
  return figure(`${rounded(value)} ± ${rounded(uncertainty)} ${whole}`);
}

/** Whole degrees Celsius of a temperature in K, without the unit; an estimate is no finer. */
export const degreesText = (kelvin: number): Phrase => figure(plain(Math.round(kelvin - 273.15)));

/** `degreesText` with the unit. */
export const temperatureText = (kelvin: number): Phrase => say`${degreesText(kelvin)} °C`;

/** The same with an expanded uncertainty in K, rounded up: “109 ± 4 °C”. */
export const uncertainTemperature = (kelvin: number, uncertainty: number | undefined): Phrase =>
  uncertainty === undefined
    ? temperatureText(kelvin)
    : say`${degreesText(kelvin)} ± ${Math.ceil(uncertainty - 1e-9)} °C`;

/** Seconds, minutes or hours, with two digits below ten. */
export function durationText(seconds: number): Phrase {
  const [value, unit] =
    seconds < 99.5
      ? [seconds, 's']
      : seconds < 5970
        ? [seconds / 60, 'min']
        : ([seconds / 3600, 'h'] as const);
  return figure(`${plain(value < 9.95 ? Number(value.toPrecision(2)) : Math.round(value))} ${unit}`);
}

/**
 * When a row passes its temperature class, in words: soonest first. A peak of `peakTime` s that ends before does not
 * count.
 */
export function whenPassed(row: TimesToClass, peakTime: number | undefined): Phrase {
  const { steadyTimeToClass, peakTimeToClass, cycleTimeToClass } = row;
  if (steadyTimeToClass !== undefined) return say`after ${durationText(steadyTimeToClass)} at steady current`;
  if (peakTimeToClass !== undefined && peakTime !== undefined && peakTimeToClass <= peakTime)
    return say`${durationText(peakTimeToClass)} into the peak`;
  return cycleTimeToClass === undefined ? say`no` : say`after ${durationText(cycleTimeToClass)} of the cycle`;
}

/** "air around the connector 40 °C (20…60: a closed cavity, cool shop to warm parts)". */
export function assumptionText({ name, value, low, high, unit, brief }: Assumption): Phrase {
  const number = (one: number): Phrase => (unit === 'K' ? degreesText(one) : figure(plain(one)));
  return say`${name} ${number(value)} ${unit === 'K' ? '°C' : unit} (${number(low)}…${number(high)}: ${brief})`;
}

/** No exponent, no binary residue, a true minus sign. */
function plain(value: number): string {
  return String(Number(value.toPrecision(12))).replace('-', '−');
}
