import fc from 'fast-check';
import Qty from 'js-quantities';
import { unit } from 'mathjs';
import { describe, expect, it } from 'vitest';
import { dutyHeat, jouleHeat, rmsCurrent } from '../../server/src/heat/joule.ts';

const current = fc.integer({ min: 0, max: 20_000 }).map((tenths) => tenths / 10);
const resistance = fc.integer({ min: 1, max: 1_000_000 }).map((micro) => micro * 1e-6);
const duration = fc.integer({ min: 1, max: 60_000 }).map((centis) => centis / 100);
const cycle = fc.array(fc.record({ current, duration }), { minLength: 1, maxLength: 8 });

describe('Joule heat', () => {
  it('agrees with two unit libraries on units as people write them', () => {
    const amps = unit('0.52 kA');
    expect(jouleHeat(520, 0.31e-3)).toBeCloseTo(
      amps.multiply(amps).multiply(unit('0.31 mohm')).toNumber('W'),
      9,
    );
    expect(jouleHeat(520, 0.31e-3)).toBeCloseTo(
      Qty('520 A').mul(Qty('520 A')).mul(Qty('0.31 mOhm')).to('W').scalar,
      9,
    );
  });

  it('grows with current and with resistance, whichever way the current flows', () => {
    fc.assert(
      fc.property(current, resistance, fc.double({ min: 1, max: 10, noNaN: true }), (i, r, factor) => {
        expect(jouleHeat(i * factor, r)).toBeGreaterThanOrEqual(jouleHeat(i, r));
        expect(jouleHeat(i, r * factor)).toBeGreaterThanOrEqual(jouleHeat(i, r));
        expect(jouleHeat(-i, r)).toBe(jouleHeat(i, r));
      }),
    );
  });
});

describe('duty cycle', () => {
  it('lies between mean and largest current, and carries the energy of its pieces', () => {
    fc.assert(
      fc.property(cycle, resistance, (pieces, r) => {
        const time = pieces.reduce((sum, piece) => sum + piece.duration, 0);
        const mean = pieces.reduce((sum, piece) => sum + piece.current * piece.duration, 0) / time;
        const energy = pieces.reduce((sum, piece) => sum + jouleHeat(piece.current, r) * piece.duration, 0);
        const rms = rmsCurrent(pieces);
        expect(rms).toBeGreaterThanOrEqual(mean * (1 - 1e-12));
        expect(rms).toBeLessThanOrEqual(Math.max(...pieces.map((piece) => piece.current)) * (1 + 1e-12));
        expect((dutyHeat(pieces, r) * time - energy) / (energy + 1)).toBeCloseTo(0, 12);
      }),
    );
  });

  it('rejects a cycle of zero duration and a negative duration', () => {
    expect(() => rmsCurrent([])).toThrow(RangeError);
    expect(() => rmsCurrent([{ current: 1, duration: -1 }])).toThrow(RangeError);
    expect(() => rmsCurrent([{ current: 1, duration: Number.NaN }])).toThrow(RangeError);
  });
});
