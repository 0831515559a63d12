import { standards } from '../../server/src/base/standards.ts';
import { lumpedTemperature, lumpedTime, steadyRise, timeConstants } from '../../server/src/heat/thermal.ts';
import { hottestIn, settledRise } from '../../server/src/heat/duty.ts';
import { burnThreshold } from '../../server/src/heat/touch.ts';
import type { PublishedCheck } from './check.ts';

const INCROPERA = 'Incropera, Fundamentals of Heat and Mass Transfer, example 5.1';
const CENGEL = 'Çengel, Heat Transfer, example 4.1';
const COOLING = 'OpenStax Calculus, Newton’s law of cooling (m53651)';
const LADDER = 'two equal RC sections in a row: 1 + 3s + s², any circuits text; recomputed';
const ISO_13732 = `${standards.hotSurfaces}, bare metal (figures from memory; the public scope says that it sets no limits)`;

/** Time constant in s of a sphere in a stream: its capacity ρcV in J/K times 1/(hA) in K/W. */
function sphere(diameter: number, h: number, density: number, specificHeat: number): number {
  const area = Math.PI * diameter ** 2;
  return (density * specificHeat * area * diameter) / 6 / (h * area);
}

const bead = sphere(1e-3, 210, 8500, 320);
/** Coffee: minutes, from what it did in the first two. */
const coffee = 2 / lumpedTime(200, 70, 1, 180)!;
const equal = { contactCapacity: 1, bodyCapacity: 1, contactToBody: 1, bodyToSurroundings: 1 };

const SQUARE =
  'first-order lag under a square wave whose halves last one time constant: 1/(1 + e^∓1), any circuits text; recomputed';
/** One body in all but name: the contact is too small and too close to its body to matter. Time constant 1 s. */
const single = { contactCapacity: 1e-9, bodyCapacity: 1, contactToBody: 1e-9, bodyToSurroundings: 1 };
const square = [
  { heat: 1, duration: 1 },
  { heat: 0, duration: 1 },
];

export const thermal: readonly PublishedCheck[] = [
  {
    what: 'thermocouple junction of 0.706 mm, time constant in s',
    source: INCROPERA,
    expected: 1,
    got: sphere(7.06e-4, 400, 8500, 400),
    tolerance: 0.001,
  },
  {
    what: 'junction from 25 °C to 199 °C in gas of 200 °C, s (exact; the book rounds to 5.2)',
    source: INCROPERA,
    expected: 5.165,
    got: lumpedTime(25, 200, 1, 199)!,
    tolerance: 0.0005,
  },
  {
    what: 'bead of 1 mm, 1/time constant in 1/s',
    source: CENGEL,
    expected: 0.463,
    got: 1 / bead,
    tolerance: 0.0005,
  },
  {
    what: 'bead to 99 % of the step, s',
    source: CENGEL,
    expected: 10,
    got: lumpedTime(0, 100, bead, 99)!,
    tolerance: 0.5,
  },
  {
    what: 'coffee from 200 °F to 175 °F, min',
    source: COOLING,
    expected: 2.56,
    got: coffee * lumpedTime(200, 70, 1, 175)!,
    tolerance: 0.005,
  },
  {
    what: 'coffee from 200 °F to 155 °F, min',
    source: COOLING,
    expected: 5.09,
    got: coffee * lumpedTime(200, 70, 1, 155)!,
    tolerance: 0.005,
  },
  {
    what: 'share of a step after one time constant',
    source: '1 − 1/e, definition of the time constant',
    expected: 0.632,
    got: lumpedTemperature(0, 1, 7, 7),
    tolerance: 0.0005,
  },
  {
    what: 'highest point of a settled square wave',
    source: SQUARE,
    expected: 0.731,
    got: hottestIn(single, settledRise(single, square), square),
    tolerance: 0.0005,
  },
  {
    what: 'lowest point of a settled square wave',
    source: SQUARE,
    expected: 0.269,
    got: settledRise(single, square).contact,
    tolerance: 0.0005,
  },
  {
    what: 'fast pole of two equal sections',
    source: LADDER,
    expected: (3 + Math.sqrt(5)) / 2,
    got: 1 / timeConstants(equal).fast,
    tolerance: 1e-12,
  },
  {
    what: 'slow pole of two equal sections',
    source: LADDER,
    expected: (3 - Math.sqrt(5)) / 2,
    got: 1 / timeConstants(equal).slow,
    tolerance: 1e-12,
  },
  {
    what: '6.5 W through 0.5 K/W and 4 K/W, K: near the usual 30 K of current ratings',
    source: '30 K rise as rating convention, connector trade press; thermal resistances in series',
    expected: 30,
    got: steadyRise({ ...equal, contactToBody: 0.5, bodyToSurroundings: 4 }, 6.5).contact,
    tolerance: 1,
  },
  {
    what: 'burn threshold for 1 min, °C',
    source: ISO_13732,
    expected: 51,
    got: burnThreshold(60).low - 273.15,
    tolerance: 1e-9,
  },
  {
    what: 'burn threshold for 10 min, °C',
    source: ISO_13732,
    expected: 48,
    got: burnThreshold(600).low - 273.15,
    tolerance: 1e-9,
  },
  {
    what: 'burn threshold for 8 h, °C',
    source: ISO_13732,
    expected: 43,
    got: burnThreshold(28_800).low - 273.15,
    tolerance: 1e-9,
  },
];
