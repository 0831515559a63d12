import { standards } from '../../server/src/base/standards.ts';
import { dischargeTime } from '../../server/src/heat/discharge.ts';
import {
  bondingBelow,
  highVoltageAbove,
  insulationPerVolt,
} from '../../server/src/plan/tables/electrical-safety.ts';
import { gloveClasses } from '../../server/src/plan/tables/gloves.ts';
import type { PublishedCheck } from './check.ts';

const GLOVES = 'ASTM D120 and IEC 60903, table of glove classes';
const R100_LIMITS = `${standards.r100}, definition of high voltage; ${standards.vehicleElectricalSafety}, class B; the lower limits also in 49 CFR 571.305 S3`;
const R100_INSULATION = `${standards.r100}, 5.1.3.1 and 5.1.3.2; ${standards.vehicleAfterCrash}`;
const R100_BONDING = `${standards.r100}, 5.1.2.2`;

/** Largest voltages of use as printed: class, V AC, V DC. */
const PRINTED: readonly (readonly [string, number, number])[] = [
  ['00', 500, 750],
  ['0', 1000, 1500],
  ['1', 7500, 11250],
  ['2', 17000, 25500],
  ['3', 26500, 39750],
  ['4', 36000, 54000],
];

const use = (id: string, kind: 'alternating' | 'direct'): number =>
  gloveClasses.find((gloveClass) => gloveClass.id === id)?.[kind] ?? NaN;

export const safety: readonly PublishedCheck[] = [
  ...PRINTED.flatMap(([id, alternating, direct]) => [
    {
      what: `gloves of class ${id}, largest alternating voltage of use, V`,
      source: GLOVES,
      expected: alternating,
      got: use(id, 'alternating'),
      tolerance: 0,
    },
    {
      what: `gloves of class ${id}, largest direct voltage of use, V`,
      source: GLOVES,
      expected: direct,
      got: use(id, 'direct'),
      tolerance: 0,
    },
  ]),
  {
    what: 'high voltage above, V DC',
    source: R100_LIMITS,
    expected: 60,
    got: highVoltageAbove.direct,
    tolerance: 0,
  },
  {
    what: 'high voltage above, V AC rms',
    source: R100_LIMITS,
    expected: 30,
    got: highVoltageAbove.alternating,
    tolerance: 0,
  },
  {
    what: 'insulation of a circuit of direct voltage, Ω/V',
    source: R100_INSULATION,
    expected: 100,
    got: insulationPerVolt.direct,
    tolerance: 0,
  },
  {
    what: 'insulation of a circuit of alternating voltage, Ω/V',
    source: R100_INSULATION,
    expected: 500,
    got: insulationPerVolt.alternating,
    tolerance: 0,
  },
  { what: 'bonding below, Ω', source: R100_BONDING, expected: 0.1, got: bondingBelow, tolerance: 0 },
  {
    what: '500 µF through 100 kΩ from 400 V to 60 V, s: 50 s · ln(400/60)',
    source: 't = RC ln(V0/V), OpenStax College Physics (m42363), recomputed',
    expected: 94.86,
    got: dischargeTime({ resistance: 100e3, capacitance: 500e-6, voltage: 400 }, highVoltageAbove.direct),
    tolerance: 0.005,
  },
];
