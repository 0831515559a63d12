import { dutyHeat, jouleHeat, rmsCurrent } from '../../server/src/heat/joule.ts';
import type { PublishedCheck } from './check.ts';

const PHYSICS = 'OpenStax College Physics, “Electric Power and Energy” (m42714)';
const TRADE = 'common practice, no source';
const RMS =
  'pulse train of duty D: I·√D, Erickson and Maksimović, Fundamentals of Power Electronics, app. A, (A.12) and (A.13)';

export const joule: readonly PublishedCheck[] = [
  {
    what: '5.00 A in 0.0600 Ω, W',
    source: PHYSICS,
    expected: 1.5,
    got: jouleHeat(5, 0.06),
    tolerance: 0.005,
  },
  { what: '5.00 A in 0.300 Ω, W', source: PHYSICS, expected: 7.5, got: jouleHeat(5, 0.3), tolerance: 0.005 },
  {
    what: 'hot lamp, 2.50 A at 12.0 V, W',
    source: PHYSICS,
    expected: 30,
    got: jouleHeat(2.5, 12 / 2.5),
    tolerance: 0.05,
  },
  {
    what: 'cold lamp, 0.350 Ω at 12.0 V, W',
    source: PHYSICS,
    expected: 411,
    got: jouleHeat(12 / 0.35, 0.35),
    tolerance: 0.5,
  },
  { what: '300 A through 1 mΩ, W', source: TRADE, expected: 90, got: jouleHeat(300, 1e-3), tolerance: 0.5 },
  {
    what: '300 A through 10 mΩ, W',
    source: TRADE,
    expected: 900,
    got: jouleHeat(300, 10e-3),
    tolerance: 0.5,
  },
  { what: '300 A through 0.1 Ω, W', source: TRADE, expected: 9e3, got: jouleHeat(300, 0.1), tolerance: 0.5 },
  { what: '300 A through 1 Ω, W', source: TRADE, expected: 90e3, got: jouleHeat(300, 1), tolerance: 0.5 },
  {
    what: 'RMS of a square wave between 0 A and 2 A, A',
    source: RMS,
    expected: Math.SQRT2,
    got: rmsCurrent([
      { current: 2, duration: 3 },
      { current: 0, duration: 3 },
    ]),
    tolerance: 1e-12,
  },
  {
    what: 'mean heat of 500 A a tenth of the time in 1 mΩ, W',
    source: RMS,
    expected: 25,
    got: dutyHeat(
      [
        { current: 500, duration: 6 },
        { current: 0, duration: 54 },
      ],
      1e-3,
    ),
    tolerance: 1e-9,
  },
];
