import { mean, sampleCorrelation, sampleStandardDeviation } from 'simple-statistics';
import { conformanceProbability, propagate } from '../../server/src/heat/uncertainty.ts';
import type { PublishedCheck } from './check.ts';

/** Readings of volt, ampere and radian, taken together five times. */
const READINGS = [
  [5.007, 4.994, 5.005, 4.99, 4.999],
  [19.663e-3, 19.639e-3, 19.64e-3, 19.685e-3, 19.678e-3],
  [1.0456, 1.0438, 1.0468, 1.0428, 1.0433],
];
const inputs = READINGS.map((series) => ({
  value: mean(series),
  uncertainty: sampleStandardDeviation(series) / Math.sqrt(series.length),
}));
const correlation = READINGS.map((one, i) =>
  READINGS.map((other, j) => (i === j ? 1 : sampleCorrelation(one, other))),
);
const resistance = propagate(([v, i, phi]) => (v! / i!) * Math.cos(phi!), inputs, correlation);
const reactance = propagate(([v, i, phi]) => (v! / i!) * Math.sin(phi!), inputs, correlation);
const impedance = propagate(([v, i]) => v! / i!, inputs, correlation);

const H1 = 'JCGM 100:2008 (GUM), example H.1 (reprinted in the documentation of the GUM Tree Calculator)';
const H2 =
  'JCGM 100:2008 (GUM), example H.2 (reprinted in the documentation of the GUM Tree Calculator; data in the R package errors)';
const SERIES =
  'JCGM 100:2008 (GUM), 5.2.2, ten resistors compared with one standard (read in secondary texts)';
const NORMAL = 'table of the standard normal distribution';

/** Length of an end gauge in nm, from GUM H.1: l = l_s + d − l_s(δα·θ + α_s·δθ). */
const gauge = propagate(
  ([ls, d, deltaAlpha, theta, alpha, deltaTheta]) =>
    ls! + d! - ls! * (deltaAlpha! * theta! + alpha! * deltaTheta!),
  [
    { value: 50_000_623, uncertainty: 25 },
    { value: 215, uncertainty: 9.7 },
    { value: 0, uncertainty: 0.58e-6 },
    { value: -0.1, uncertainty: 0.41 },
    { value: 11.5e-6, uncertainty: 1.2e-6 },
    { value: 0, uncertainty: 0.029 },
  ],
);

const ten = Array.from({ length: 10 }, () => ({ value: 1000, uncertainty: 0.1 }));
const sum = (values: readonly number[]): number => values.reduce((total, value) => total + value, 0);

export const measurement: readonly PublishedCheck[] = [
  { what: 'resistance, Ω', source: H2, expected: 127.732, got: resistance.value, tolerance: 0.0005 },
  {
    what: 'its standard uncertainty, Ω',
    source: H2,
    expected: 0.071,
    got: resistance.uncertainty,
    tolerance: 0.0005,
  },
  { what: 'reactance, Ω', source: H2, expected: 219.847, got: reactance.value, tolerance: 0.0005 },
  // The example rounds uncertainties and correlations on the way; unrounded, its data give 0.2956.
  {
    what: 'its standard uncertainty, Ω',
    source: H2,
    expected: 0.295,
    got: reactance.uncertainty,
    tolerance: 0.001,
  },
  { what: 'impedance, Ω', source: H2, expected: 254.26, got: impedance.value, tolerance: 0.0005 },
  {
    what: 'its standard uncertainty, Ω',
    source: H2,
    expected: 0.236,
    got: impedance.uncertainty,
    tolerance: 0.0005,
  },
  { what: 'length of an end gauge, nm', source: H1, expected: 50_000_838, got: gauge.value, tolerance: 0.5 },
  { what: 'its standard uncertainty, nm', source: H1, expected: 32, got: gauge.uncertainty, tolerance: 0.5 },
  {
    what: 'ten 1000 Ω resistors in series, all compared with one standard, u in Ω',
    source: SERIES,
    expected: 1,
    got: propagate(
      sum,
      ten,
      ten.map(() => ten.map(() => 1)),
    ).uncertainty,
    tolerance: 1e-9,
  },
  {
    what: 'the same if they were independent, u in Ω',
    source: SERIES,
    expected: 0.32,
    got: propagate(sum, ten).uncertainty,
    tolerance: 0.005,
  },
  {
    what: 'Zener voltage −5.47 V, u 0.05 V, against −5.40 V: probability of conformity',
    source: 'JCGM 106:2012, Zener example (from memory)',
    expected: 0.92,
    got: conformanceProbability({ value: -5.47, uncertainty: 0.05 }, -5.4),
    tolerance: 0.005,
  },
  {
    what: 'Φ(1.645)',
    source: NORMAL,
    expected: 0.95,
    got: conformanceProbability({ value: 0, uncertainty: 1 }, 1.645),
    tolerance: 5e-5,
  },
  {
    what: 'Φ(1.96)',
    source: NORMAL,
    expected: 0.975,
    got: conformanceProbability({ value: 0, uncertainty: 1 }, 1.96),
    tolerance: 5e-5,
  },
  {
    what: 'Φ(−3)',
    source: NORMAL,
    expected: 0.00135,
    got: conformanceProbability({ value: 0, uncertainty: 1 }, -3),
    tolerance: 5e-6,
  },
];
