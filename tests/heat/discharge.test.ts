import fc from 'fast-check';
import { Solver } from 'odex';
import { describe, expect, it } from 'vitest';
import { dischargeTime, dischargeWait, storedEnergy, voltageAfter } from '../../server/src/heat/discharge.ts';

/** Spread evenly over the decades, as parts are. */
const decades = (min: number, max: number): fc.Arbitrary<number> =>
  fc.double({ min: Math.log(min), max: Math.log(max), noNaN: true }).map(Math.exp);
const circuits = fc.record({
  resistance: decades(10, 1e6),
  capacitance: decades(1e-6, 5e-3),
  voltage: decades(1, 1000),
});

describe('discharge', () => {
  it('agrees with a solver of differential equations', () => {
    const circuit = { resistance: 20e3, capacitance: 500e-6, voltage: 400 };
    const solver = new Solver(1);
    solver.absoluteTolerance = solver.relativeTolerance = 1e-11;
    const { y } = solver.solve((_, [v]) => [-v! / (20e3 * 500e-6)], 0, [400], 12);
    expect(voltageAfter(circuit, 12)).toBeCloseTo(y[0]!, 6);
  });

  it('reaches a voltage at the time it says, and 0 s when it is there already', () => {
    fc.assert(
      fc.property(circuits, fc.double({ min: 1, max: 1000, noNaN: true }), (circuit, target) => {
        const time = dischargeTime(circuit, target);
        if (circuit.voltage <= target) expect(time).toBe(0);
        else expect(voltageAfter(circuit, time) / target).toBeCloseTo(1, 9);
      }),
    );
    expect(() => dischargeTime({ resistance: 1, capacitance: 1, voltage: 400 }, 0)).toThrow(RangeError);
  });

  it('dissipates in the resistor the energy that leaves the capacitor', () => {
    fc.assert(
      fc.property(circuits, decades(0.1, 5), (circuit, share) => {
        const time = share * circuit.resistance * circuit.capacitance;
        const gone =
          storedEnergy(circuit.capacitance, circuit.voltage) -
          storedEnergy(circuit.capacitance, voltageAfter(circuit, time));
        // Simpson's rule over V²/R.
        const power = (i: number): number =>
          voltageAfter(circuit, (i * time) / 200) ** 2 / circuit.resistance;
        let sum = power(0) + power(200);
        for (let i = 1; i < 200; i++) sum += power(i) * (i % 2 ? 4 : 2);
        expect((sum * time) / 600 / gone).toBeCloseTo(1, 6);
      }),
    );
  });

  it('treats 60 V and 0.2 J as two tests', () => {
    fc.assert(
      fc.property(circuits, (circuit) => {
        const wait = dischargeWait(circuit);
        const start = storedEnergy(circuit.capacitance, circuit.voltage);
        expect(wait.toEnergy > 0).toBe(start > 0.2 * (1 + 1e-12));
        if (circuit.voltage > 60) expect(wait.toEnergy > wait.toVoltage).toBe(wait.energyAtVoltage > 0.2);
      }),
    );
  });
});
