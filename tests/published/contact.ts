import {
  CONTACT_VOLTAGES,
  LORENZ_NUMBER,
  constrictionResistance,
  constrictionTemperature,
  constrictionVoltage,
} from '../../server/src/heat/contact.ts';
import type { Plating } from '../../server/src/heat/contact.ts';
import type { PublishedCheck } from './check.ts';

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
    what: 'constriction of a copper spot of 10 µm radius (ρ 1.75e-8 Ω·m), Ω',
    source: 'Timsit in Slade, Electrical Contacts, ch. 1, table of spot resistances (from memory)',
    expected: 8.8e-4,
    got: constrictionResistance(1.75e-8, 10e-6),
    tolerance: 0.06e-4,
  },
  // The printed voltages were measured; the relation meets them to a tenth, nickel (magnetic, alloyed) to a fifth.
  ...metals.map((metal) => ({
    what: `melting voltage of ${metal} by the voltage–temperature relation from 20 °C, V`,
    source: CONTACT_VOLTAGES[metal].source,
    expected: CONTACT_VOLTAGES[metal].melting,
    got: constrictionVoltage(ROOM, MELTING[metal] + 273.15),
    tolerance: (metal === 'nickel' ? 0.2 : 0.1) * CONTACT_VOLTAGES[metal].melting,
  })),
  // Softening depends on cold work and time, so the relation only has to meet the printed voltage to a quarter.
  ...metals.map((metal) => ({
    what: `softening voltage of ${metal} by the voltage–temperature relation from 20 °C, V`,
    source: `${CONTACT_VOLTAGES[metal].source}; softening temperature from memory`,
    expected: CONTACT_VOLTAGES[metal].softening,
    got: constrictionVoltage(ROOM, SOFTENING[metal] + 273.15),
    tolerance: 0.25 * CONTACT_VOLTAGES[metal].softening,
  })),
];
