/** Numbers as the trade writes them: three significant digits at most, a prefix that keeps them readable. */
import { standards } from '../base/standards.ts';
import { localizedNumber, say } from '../language/phrase.ts';
import type { Phrase, Value } from '../language/phrase.ts';
import type { Assumption } from './assumptions.ts';
import type { HeatRow, Runaway, Touch } from './heat-row.ts';
import type { ValueRange } from './model.ts';
import { longerContact } from './touch.ts';
import type { TimesToClass } from './warm-contact.ts';

const PREFIXES: readonly (readonly [number, string])[] = [
  [1e6, 'M'],
  [1e3, 'k'],
  [1, ''],
  [1e-3, 'm'],
  [1e-6, 'µ'],
];

type Unit = 'Ω' | 'W' | 'V' | 'A' | 'J' | 'm';

/** `0.00031` and `Ω` give “0.31 mΩ”. Technicians use mΩ down to 0.01 mΩ, so mΩ covers a wider range. */
export const quantityText = (value: number, unit: Unit): Phrase => localizedNumber(prefixed(value, unit));

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
  return localizedNumber(`${rounded(value)} ± ${rounded(uncertainty)} ${whole}`);
}

/** Whole degrees Celsius of a temperature in K, without the unit; an estimate is no finer. */
export const degreesText = (kelvin: number): Phrase => localizedNumber(plain(Math.round(kelvin - 273.15)));

/** `degreesText` with the unit; what has no end says so. */
export const temperatureText = (kelvin: number): Phrase =>
  kelvin === Infinity ? NO_END : say`${degreesText(kelvin)} °C`;

const NO_END = say`no steady temperature`;

/** The same with an expanded uncertainty in K, rounded up: “109 ± 4 °C”. */
export const uncertainTemperature = (kelvin: number, uncertainty: number | undefined): Phrase =>
  uncertainty === undefined || kelvin === Infinity
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
  return localizedNumber(`${plain(value < 9.95 ? Number(value.toPrecision(2)) : Math.round(value))} ${unit}`);
}

/** "109 ± 4 °C (54…198 °C)": the uncertainty of the reading, and in brackets what the assumptions leave. */
export function temperatureRange({ value, low, high }: ValueRange, uncertainty?: number): Phrase {
  const text = value === Infinity ? say`keeps heating` : uncertainTemperature(value, uncertainty);
  if (low === high) return text;
  if (value === Infinity) return say`${text} (at best ${temperatureText(low)})`;
  return high === Infinity
    ? say`${text} (${degreesText(low)} °C…no end)`
    : say`${text} (${degreesText(low)}…${temperatureText(high)})`;
}

/** The same of heat, each with its own prefix: "10 W (9.8 W…11 W)". */
export function heatRange({ value, low, high }: ValueRange): Phrase {
  const text = value === Infinity ? say`without end` : quantityText(value, 'W');
  if (low === high || value === Infinity) return text;
  return high === Infinity
    ? say`${text} (${quantityText(low, 'W')}…no end)`
    : say`${text} (${quantityText(low, 'W')}…${quantityText(high, 'W')})`;
}

/** What a steady load comes to where nothing, something or everything speaks for a steady temperature. */
export const RUNAWAY_WORDS: Readonly<Record<Exclude<Runaway, 'none'>, Phrase>> = {
  possible: say`at the warm end of what is assumed there is no steady temperature: it keeps heating`,
  expected: say`as assumed there is no steady temperature: it keeps heating`,
  certain: say`there is no steady temperature over the whole range: it keeps heating`,
};

/** Which loads a question is about. */
export type LoadKind = 'steady' | 'cycle' | 'any';

/** When a row passes its temperature class: over the whole range of what is assumed, as assumed, or at the earliest. */
export function whenPassed(row: HeatRow, peakTime: number | undefined): Phrase {
  const [asAssumed, earliest, latest] = [row, row.earliest, row.latest].map((times) =>
    momentOf(times, peakTime, 'any'),
  );
  if (!earliest) return say`kept over the whole range`;
  if (!asAssumed) return say`not as assumed; at the earliest ${earliest}`;
  if (latest)
    return String(latest) === String(earliest)
      ? say`passed ${earliest}`
      : say`passed over the whole range, at the earliest ${earliest}`;
  return say`as assumed ${asAssumed}; at the earliest ${earliest}`;
}

/** The same in the words of a narrow column: the earliest moment, or that there is none. */
export const earliestPassed = (row: HeatRow, peakTime: number | undefined, kind: LoadKind): Phrase =>
  shortMoment(row.earliest, peakTime, kind) ?? say`kept`;

function shortMoment(
  times: TimesToClass = {},
  peakTime: number | undefined,
  kind: LoadKind,
): Phrase | undefined {
  const { steadyTimeToClass, peakTimeToClass, cycleTimeToClass } = times;
  if (kind === 'cycle') return cycleTimeToClass === undefined ? undefined : durationText(cycleTimeToClass);
  if (steadyTimeToClass !== undefined) return durationText(steadyTimeToClass);
  return peakTimeToClass !== undefined && peakTime !== undefined && peakTimeToClass <= peakTime
    ? say`${durationText(peakTimeToClass)} of peak`
    : undefined;
}

/** Soonest first. A peak of `peakTime` s that ends before does not count. */
function momentOf(
  times: TimesToClass = {},
  peakTime: number | undefined,
  kind: LoadKind,
): Phrase | undefined {
  const { steadyTimeToClass, peakTimeToClass, cycleTimeToClass } = times;
  if (kind !== 'cycle' && steadyTimeToClass !== undefined)
    return say`after ${durationText(steadyTimeToClass)} at steady current`;
  if (
    kind !== 'cycle' &&
    peakTimeToClass !== undefined &&
    peakTime !== undefined &&
    peakTimeToClass <= peakTime
  )
    return say`${durationText(peakTimeToClass)} into the peak`;
  return kind === 'steady' || cycleTimeToClass === undefined
    ? undefined
    : say`after ${durationText(cycleTimeToClass)} of the cycle`;
}

/** What bare metal as warm as the warm end of a body's temperature does: a warning, never a leave. */
export function touchWarning({ temperature, burnsAfter, threshold, earliest }: Touch, load: Value): Phrase {
  const burns = !burnsAfter
    ? say`bare metal may burn skin within 1 s at the warm end of that`
    : say`bare metal may burn skin within ${durationText(longerContact(burnsAfter))} at the warm end of that`;
  const body = say`Outside of its housing, ${load}: ${temperatureRange(temperature)}; ${burns}`;
  if (earliest === undefined)
    return say`${body} (${standards.hotSurfaces}; figure not checked against the standard).`;
  return earliest === 0
    ? say`${body}, and may be past ${temperatureText(threshold)} from the start (${standards.hotSurfaces}; figure not checked against the standard).`
    : say`${body}, and passes ${temperatureText(threshold)} after ${durationText(earliest)} at the earliest (${standards.hotSurfaces}; figure not checked against the standard).`;
}

/** A value of an assumption with its unit: "40 °C", "50 %", "0.5 K/W". */
export function assumedValue({ key, unit }: Assumption, value: number, withUnit = true): Phrase {
  if (key === 'ambient') return withUnit ? temperatureText(value) : degreesText(value);
  const number = localizedNumber(plain(Number((unit === '' ? 100 * value : value).toPrecision(3))));
  return withUnit ? say`${number} ${unit === '' ? '%' : unit}` : number;
}

/** "40 °C (20…60)" */
export const assumedRange = (assumption: Assumption): Phrase =>
  say`${assumedValue(assumption, assumption.value)} (${assumedValue(assumption, assumption.low, false)}…${assumedValue(assumption, assumption.high, false)})`;

/** "air around the connector 40 °C (20…60: a closed cavity, cool shop to warm parts)". */
export const assumptionText = (assumption: Assumption): Phrase =>
  say`${assumption.name} ${assumedValue(assumption, assumption.value)} (${assumedValue(assumption, assumption.low, false)}…${assumedValue(assumption, assumption.high, false)}: ${assumption.brief})`;

/** No exponent, no binary residue, a true minus sign. */
function plain(value: number): string {
  return String(Number(value.toPrecision(12))).replace('-', '−');
}
