import { standards } from '../../server/src/base/standards.ts';
import {
  HIGH_VOLTAGE_DC,
  STORED_ENERGY_LIMIT,
  dischargeTime,
  dischargeWait,
  storedEnergy,
  voltageAfter,
} from '../../server/src/heat/discharge.ts';
import type { PublishedCheck } from './check.ts';

const RC = 'OpenStax College Physics, “DC Circuits Containing Resistors and Capacitors” (m42363)';
const ENERGY = 'OpenStax University Physics 2, “Energy Stored in a Capacitor” (m58450), heart defibrillator';

export const discharge: readonly PublishedCheck[] = [
  {
    what: '1.00 kΩ, 8.00 µF from 10.0 kV after 24.0 ms, V',
    source: RC,
    expected: 498,
    got: voltageAfter({ resistance: 1e3, capacitance: 8e-6, voltage: 10e3 }, 24e-3),
    tolerance: 0.5,
  },
  {
    what: 'time constant 10.0 ms from 12.0 kV to 600 V, ms',
    source: RC,
    expected: 30,
    got: 1000 * dischargeTime({ resistance: 1e3, capacitance: 10e-6, voltage: 12e3 }, 600),
    tolerance: 0.05,
  },
  {
    what: '24 V, 1 mF, 1 kΩ after 2 s, V (printed cut off, not rounded)',
    source: RC,
    expected: 3.24,
    got: voltageAfter({ resistance: 1e3, capacitance: 1e-3, voltage: 24 }, 2),
    tolerance: 0.01,
  },
  {
    what: 'time constant 20.0 s to 0.250 % of the voltage, s',
    source: RC,
    expected: 120,
    got: dischargeTime({ resistance: 1e6, capacitance: 20e-6, voltage: 100 }, 0.25),
    tolerance: 0.5,
  },
  {
    what: '8.00 µF at 10.0 kV, J',
    source: ENERGY,
    expected: 400,
    got: storedEnergy(8e-6, 10e3),
    tolerance: 0.5,
  },
  {
    what: 'capacitance that holds 0.2 J at 60 V, µF',
    source: `${standards.r100} and ${standards.vehicleAfterCrash} (60 V DC, 0.2 J), recomputed`,
    expected: 111,
    got: (2e6 * STORED_ENERGY_LIMIT) / HIGH_VOLTAGE_DC ** 2,
    tolerance: 0.5,
  },
  {
    what: 'energy left in 500 µF at 60 V, J: more than 0.2 J although no longer high voltage',
    source: '½CV²',
    expected: 0.9,
    got: dischargeWait({ resistance: 10e3, capacitance: 500e-6, voltage: 400 }).energyAtVoltage,
    tolerance: 1e-12,
  },
];
