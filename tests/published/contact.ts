import {
  CONTACT_VOLTAGES,
  LORENZ_COPPER,
  LORENZ_NUMBER,
  constrictionTemperature,
  spotRadius,
} from '../../server/src/heat/contact.ts';
import type { Plating } from '../../server/src/heat/contact.ts';
import { COPPER_COEFFICIENT } from '../../server/src/heat/conductor.ts';
import { steadyRise } from '../../server/src/heat/thermal.ts';
import type { PublishedCheck } from './check.ts';

const TWO_BODIES = { contactCapacity: 20, bodyCapacity: 300, contactToBody: 0.5, bodyToSurroundings: 4 };

/** W at which the steady rise of the two bodies stops being a number, found by halving. */
function boundary(resistance: number): number {
  const network = { ...TWO_BODIES, bodyToSurroundings: resistance - TWO_BODIES.contactToBody };
  let [low, high] = [1, 1000];
  for (let i = 0; i < 60; i++) {
    const heat = (low + high) / 2;
    if (steadyRise(network, heat, COPPER_COEFFICIENT * heat).contact === Infinity) high = heat;
    else low = heat;
  }
  return high;
}

const ROOM = 293.15;

/** Melting points: fixed points of the ITS-90; nickel from the CRC Handbook (from memory). °C */
const MELTING: Readonly<Record<Plating, number>> = {
  copper: 1084.62,
  silver: 961.78,
  gold: 1064.18,
  tin: 231.928,
  nickel: 1455,
  aluminium: 660.323,
};

/** Softening temperatures as Holm prints them beside the voltages (from memory). °C */
const SOFTENING: Readonly<Record<Plating, number>> = {
  copper: 190,
  silver: 180,
  gold: 100,
  tin: 100,
  nickel: 520,
  aluminium: 150,
};

const metals = Object.keys(MELTING) as Plating[];

export const contact: readonly PublishedCheck[] = [
  {
    what: 'Lorenz number, V²/K²',
    source: '(π²/3)(k/e)² from the exact SI constants (SI Brochure, 9th ed.)',
    expected: 2.443004509e-8,
    got: LORENZ_NUMBER,
    tolerance: 5e-18,
  },
  {
    what: 'temperature behind 1 V with cold surroundings, K',
    source: 'rule T ≈ 3200 K per volt, Slade, Electrical Contacts (from memory)',
    expected: 3200,
    got: constrictionTemperature(0, 1),
    tolerance: 5,
  },
  {
    what: 'radius of a copper spot (ρ 1.75e-8 Ω·m) whose constriction has 0.88 mΩ, µm',
    source: 'Timsit in Slade, Electrical Contacts, ch. 1, table of spot resistances (from memory)',
    expected: 10,
    got: 1e6 * spotRadius(1.75e-8, 8.8e-4),
    tolerance: 0.06,
  },
  {
    what: 'rise of 10.044 W at 20 °C through 4.5 K/W with copper that follows its temperature, K',
    source: 'closed form ΔT = I²R₀Rth/(1 − αI²R₀Rth), α of IEC 60028; the solver `odex` agrees (tests/heat)',
    expected: 54.96,
    got: steadyRise(TWO_BODIES, 10.044, COPPER_COEFFICIENT * 10.044).contact,
    tolerance: 0.005,
  },
  {
    what: 'heat in W at 20 °C from which 4.5 K/W have no steady state: 1/(α·Rth)',
    source: 'the same closed form',
    expected: 56.545,
    got: boundary(4.5),
    tolerance: 0.001,
  },
  {
    what: 'measured Lorenz number of copper at 300 K, share of the theoretical one',
    source: 'CRC Handbook; Kittel, Introduction to Solid State Physics (from memory): 2.31 and 2.44',
    expected: 2.31 / 2.443,
    got: LORENZ_COPPER / LORENZ_NUMBER,
    tolerance: 0.0005,
  },
  // The printed voltages were measured; the relation meets them to a tenth, nickel (magnetic, alloyed) to a quarter.
  ...metals.map((metal) => ({
    what: `melting point of ${metal} by the voltage–temperature relation from its printed melting voltage, K`,
    source: CONTACT_VOLTAGES[metal].source,
    expected: MELTING[metal] + 273.15,
    got: constrictionTemperature(ROOM, CONTACT_VOLTAGES[metal].melting),
    tolerance: (metal === 'nickel' ? 0.25 : 0.1) * (MELTING[metal] + 273.15),
  })),
  // Softening depends on cold work and time as well: a tenth again.
  ...metals.map((metal) => ({
    what: `softening temperature of ${metal} by the voltage–temperature relation from its printed softening voltage, K`,
    source: `${CONTACT_VOLTAGES[metal].source}; softening temperature from memory`,
    expected: SOFTENING[metal] + 273.15,
    got: constrictionTemperature(ROOM, CONTACT_VOLTAGES[metal].softening),
    tolerance: 0.1 * (SOFTENING[metal] + 273.15),
  })),
];
