/**
 * How warm a cable gets by its own current: one body of copper a metre, whose resistance follows its temperature.
 * SI units; temperatures are rises above the air around it, far from the connector.
 *
 *   C θ′ = I²r(1 + αθ) − gθ, all a metre. Linear for a constant current, so every answer is closed.
 */
import { COPPER_COEFFICIENT, cableResistance, copperFactor } from './conductor.ts';
import type { CurrentSegment } from './joule.ts';

export interface CableBody {
  /** Ω/m at the temperature of the air */
  readonly resistance: number;
  /** 1/K by which that grows */
  readonly coefficient: number;
  /** J/(m K) */
  readonly capacity: number;
  /** W/(m K) to the air */
  readonly loss: number;
}

/** Copper 8960 kg/m³ at 387 J/(kg K) (OpenStax College Physics); half as much again for covering and shield. */
const CAPACITY_PER_AREA = 1.5 * 8960 * 387;
/** The covering makes a cable 15 % (stranding) and 6 mm (insulation, shield, jacket) thicker than its copper. */
const STRANDING = 1.15;
const COVERING = 6e-3;

/** A cable of `area` m² of copper in air of `ambient` K, whose surface gives off `surface` W/(m² K). */
export function cableBody(area: number, ambient: number, surface: number): CableBody {
  const diameter = STRANDING * Math.sqrt((4 * area) / Math.PI) + COVERING;
  return {
    resistance: cableResistance(area, ambient).resistance,
    coefficient: COPPER_COEFFICIENT / copperFactor(ambient),
    capacity: CAPACITY_PER_AREA * area,
    loss: surface * Math.PI * diameter,
  };
}

/** s: a cable of 50 mm² in free air follows its current in about so long. */
const USUAL_TIME_CONSTANT = 600;

/** A cable known by its `rise` K after a long time at `current` A: at other currents the rise goes with their square. */
export const cableOfRise = (rise: number, current: number): CableBody => ({
  resistance: rise / current ** 2,
  coefficient: 0,
  capacity: USUAL_TIME_CONSTANT,
  loss: 1,
});

/** Rise in K after a very long time at `current` A; infinite where the cable keeps heating. */
export function steadyCableRise({ resistance, coefficient, loss }: CableBody, current: number): number {
  const heat = current ** 2 * resistance;
  const left = loss - heat * coefficient;
  return left > 0 ? heat / left : Infinity;
}

/** Change of the rise over `time` s at `current` A: x ↦ x + change·x + shift. */
function cableStep(
  { resistance, coefficient, capacity, loss }: CableBody,
  { current, duration }: CurrentSegment,
) {
  const heat = current ** 2 * resistance;
  const rate = (loss - heat * coefficient) / capacity;
  const change = Math.expm1(Math.min(-rate * duration, 300));
  return { change, shift: ((rate === 0 ? duration : -change / rate) * heat) / capacity };
}

/** Rise in K after `time` s at `current` A from the rise `start`. */
export function cableRiseAfter(cable: CableBody, start: number, current: number, time: number): number {
  const { change, shift } = cableStep(cable, { current, duration: time });
  return start + change * start + shift;
}

/** Highest rise in K over a settled duty cycle; infinite where it never settles. */
export function hottestCableRise(cable: CableBody, cycle: readonly CurrentSegment[]): number {
  const steps = cycle.map((segment) => cableStep(cable, segment));
  const round = steps.reduce((one, { change, shift }) => ({
    change: one.change + change + change * one.change,
    shift: one.shift + change * one.shift + shift,
  }));
  if (round.shift === 0) return 0;
  if (!(round.change < 0)) return Infinity;
  let rise = -round.shift / round.change;
  let max = rise;
  for (const { change, shift } of steps) max = Math.max(max, (rise += change * rise + shift));
  return max;
}
