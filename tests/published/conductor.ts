import { standards } from '../../server/src/base/standards.ts';
import {
  COPPER_RESISTIVITY,
  awgArea,
  awgDiameter,
  cableResistance,
  copperFactor,
  copperResistivity,
} from '../../server/src/heat/conductor.ts';
import type { PublishedCheck } from './check.ts';

const IEC_60228 = `${standards.conductors}, plain copper at 20 °C (four public tables agree)`;
const B258 =
  'ASTM B258-02: 0.005 in at AWG 36, 39 steps of one ratio to 0.46 in at 4/0 (read in an encyclopedia)';
const AWG = 'Wikibooks, Engineering Tables, American Wire Gauge';
const kelvin = (celsius: number): number => celsius + 273.15;

/** mm², Ω/km of class 5 */
const PRINTED: readonly (readonly [number, number])[] = [
  [2.5, 7.98],
  [4, 4.95],
  [6, 3.3],
  [10, 1.91],
  [16, 1.21],
  [25, 0.78],
  [35, 0.554],
  [50, 0.386],
  [70, 0.272],
  [95, 0.206],
  [120, 0.161],
  [150, 0.129],
];

/** Gauge, Ω/km, and half its last digit */
const GAUGES: readonly (readonly [string, number, number])[] = [
  ['4/0', 0.1608, 5e-5],
  ['3/0', 0.2028, 5e-5],
  ['2/0', 0.2557, 5e-5],
  ['1/0', 0.3224, 5e-5],
  ['1', 0.4066, 5e-5],
  ['2', 0.5127, 5e-5],
  ['4', 0.8152, 5e-5],
  ['6', 1.296, 5e-4],
  ['8', 2.061, 5e-4],
  ['10', 3.277, 5e-4],
];

export const conductor: readonly PublishedCheck[] = [
  {
    what: 'resistivity of annealed copper at 20 °C, Ω·m',
    source: 'IEC 60028',
    expected: 1.7241e-8,
    got: COPPER_RESISTIVITY,
    tolerance: 0.00005e-8,
  },
  {
    what: 'factor from 5 °C to 20 °C',
    source: `${standards.conductors}: 254.5/(234.5 + t)`,
    expected: 254.5 / 239.5,
    got: 1 / copperFactor(kelvin(5)),
    tolerance: 1e-4,
  },
  {
    what: 'factor from 100 °C to 20 °C',
    source: `${standards.conductors}: 254.5/(234.5 + t)`,
    expected: 254.5 / 334.5,
    got: 1 / copperFactor(kelvin(100)),
    tolerance: 1e-4,
  },
  {
    what: 'factor from 5 °C to 20 °C as printed (250/(230 + t), a rounder line)',
    source: IEC_60228,
    expected: 1.064,
    got: 1 / copperFactor(kelvin(5)),
    tolerance: 0.003,
  },
  {
    what: 'factor from 100 °C to 20 °C as printed (250/(230 + t), a rounder line)',
    source: IEC_60228,
    expected: 0.758,
    got: 1 / copperFactor(kelvin(100)),
    tolerance: 0.003,
  },
  {
    what: 'factor from 75 °C to 90 °C',
    source: 'NFPA 70 chapter 9 table 8, note 2: 1 + 0.00323·(T − 75) (read in secondary texts)',
    expected: 1 + 0.00323 * 15,
    got: copperFactor(kelvin(90)) / copperFactor(kelvin(75)),
    tolerance: 5e-4,
  },
  ...PRINTED.map(([area, expected]) => ({
    what: `${area} mm² class 5, Ω/km`,
    source: IEC_60228,
    expected,
    got: 1000 * cableResistance(area * 1e-6).resistance,
    tolerance: 1e-9,
  })),
  ...GAUGES.map(([gauge, expected, tolerance]) => ({
    what: `AWG ${gauge}, Ω/km at 20 °C`,
    source: AWG,
    expected,
    got: (1000 * copperResistivity(kelvin(20))) / awgArea(gauge),
    tolerance,
  })),
  {
    what: 'AWG 36, diameter in mm',
    source: B258,
    expected: 0.127,
    got: 1000 * awgDiameter('36'),
    tolerance: 5e-7,
  },
  {
    what: 'AWG 4/0, diameter in mm',
    source: B258,
    expected: 11.684,
    got: 1000 * awgDiameter('4/0'),
    tolerance: 5e-4,
  },
  {
    what: 'AWG 0, diameter in mm',
    source: B258,
    expected: 8.251,
    got: 1000 * awgDiameter('0'),
    tolerance: 1e-3,
  },
  {
    what: 'AWG 10, diameter in mm',
    source: B258,
    expected: 2.588,
    got: 1000 * awgDiameter('10'),
    tolerance: 5e-4,
  },
  { what: 'AWG 1/0, area in mm²', source: B258, expected: 53.5, got: 1e6 * awgArea('1/0'), tolerance: 0.05 },
];
