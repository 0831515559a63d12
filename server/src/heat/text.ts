/** Numbers as the trade writes them: three significant digits at most, a prefix that keeps them readable. */

const PREFIXES: readonly (readonly [number, string])[] = [
  [1e6, 'M'],
  [1e3, 'k'],
  [1, ''],
  [1e-3, 'm'],
  [1e-6, 'µ'],
];

/** `0.00031` and `Ω` give “0.31 mΩ”. The trade says milliohm down to hundredths of one, hence Ω's longer reach. */
export function quantityText(value: number, unit: 'Ω' | 'W' | 'V' | 'A' | 'W/m' | 'J'): string {
  const rounded = Number(value.toPrecision(3));
  const size = Math.abs(rounded);
  const reach = (factor: number): number => (unit === 'Ω' && factor === 1e-3 ? 1e-5 : factor);
  const [factor, prefix] =
    size === 0
      ? ([1, ''] as const)
      : (PREFIXES.find(([each]) => size >= reach(each) * (1 - 1e-9)) ?? PREFIXES.at(-1)!);
  return `${plain(rounded / factor)} ${prefix}${unit}`;
}

/** Whole degrees Celsius of a temperature in K; an estimate is no finer. */
export function temperatureText(kelvin: number): string {
  return `${plain(Math.round(kelvin - 273.15))} °C`;
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

/** No exponent, no binary residue, a true minus sign. */
function plain(value: number): string {
  return String(Number(value.toPrecision(12))).replace('-', '−');
}
