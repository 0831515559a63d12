import { standards } from '../base/standards.ts';
/** Copper cable: resistance per metre, a yardstick for the heat of a connector. SI units. */

/** 20 °C in K: the temperature that tables of conductors refer to. */
const TABLE_TEMPERATURE = 293.15;

/** Annealed copper of 100 % IACS at 20 °C: 58 MS/m, and its temperature coefficient per K. Source: IEC 60028. */
export const COPPER_RESISTIVITY = 1 / 58e6;
export const COPPER_COEFFICIENT = 0.00393;

/**
 * How many times its resistance at 20 °C copper has at `temperature` K: 1 + α(T − 293.15), α from IEC 60028.
 * IEC 60228 uses the same line as its reciprocal 254.5/(234.5 + t).
 */
export function copperFactor(temperature: number): number {
  return 1 + COPPER_COEFFICIENT * (temperature - TABLE_TEMPERATURE);
}

/** Whether that line says anything about a temperature in K: it is good from about −50 °C to 200 °C. */
export const copperFactorHolds = (temperature: number): boolean =>
  temperature >= 223.15 && temperature <= 473.15;

/** Ω·m of annealed copper at `temperature` K. */
export function copperResistivity(temperature: number): number {
  return COPPER_RESISTIVITY * copperFactor(temperature);
}

/**
 * IEC 60228:2004, largest resistance of plain copper conductors of class 5 (flexible, as in vehicles) at 20 °C:
 * cross-section in mm² to Ω/km.
 */
export const IEC_60228: readonly { readonly area: number; readonly resistance: number }[] = [
  { area: 2.5, resistance: 7.98 },
  { area: 4, resistance: 4.95 },
  { area: 6, resistance: 3.3 },
  { area: 10, resistance: 1.91 },
  { area: 16, resistance: 1.21 },
  { area: 25, resistance: 0.78 },
  { area: 35, resistance: 0.554 },
  { area: 50, resistance: 0.386 },
  { area: 70, resistance: 0.272 },
  { area: 95, resistance: 0.206 },
  { area: 120, resistance: 0.161 },
  { area: 150, resistance: 0.129 },
];

export interface CableResistance {
  /** Ω/m at the asked temperature */
  readonly resistance: number;
  /** Where the figure comes from. */
  readonly basis: `${typeof standards.conductors} class 5` | 'IEC 60028 copper, full cross-section';
}

/**
 * Resistance per metre of a copper cable of `area` m² at `temperature` K: the table's largest value when the area is
 * one of its sizes, else ρ/A as if the whole area were copper (a real cable has a little less).
 * @throws RangeError when the area is not positive.
 */
export function cableResistance(area: number, temperature: number = TABLE_TEMPERATURE): CableResistance {
  if (!(area > 0)) throw new RangeError('a cable has a cross-section above zero');
  const size = IEC_60228.find((row) => Math.abs(row.area - area * 1e6) <= 1e-6 * row.area);
  return size
    ? {
        resistance: (size.resistance / 1000) * copperFactor(temperature),
        basis: `${standards.conductors} class 5`,
      }
    : { resistance: copperResistivity(temperature) / area, basis: 'IEC 60028 copper, full cross-section' };
}

/**
 * Diameter in m of a solid wire of an American Wire Gauge: 0.127 mm · 92^((36 − n)/39). Gauges above 0 are written
 * `1/0` … `4/0` (n = 0 … −3). Source: ASTM B258.
 * @throws RangeError when the text is no gauge.
 */
export function awgDiameter(gauge: string): number {
  const match = /^(?:([1-4])\/0|(\d{1,2}))$/.exec(gauge);
  if (!match) throw new RangeError(`“${gauge}” is no wire gauge; write 4/0 to 1/0, or 0 to 99`);
  const number = match[1] === undefined ? Number(match[2]) : 1 - Number(match[1]);
  return 0.127e-3 * 92 ** ((36 - number) / 39);
}

/** Cross-section in m² of a solid wire of an American Wire Gauge. Errors as for `awgDiameter`. */
export function awgArea(gauge: string): number {
  return (Math.PI / 4) * awgDiameter(gauge) ** 2;
}
