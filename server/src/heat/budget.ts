/**
 * The question turned round: how much resistance heat, temperature or drop leave room for. SI units. A resistance is
 * the stated one, at the temperature for which it is stated.
 */
import { CONTACT_VOLTAGES, thresholdVoltage } from './contact.ts';
import type { StatedResistance } from './joule.ts';
import { cools, highestCurrent } from './load.ts';
import type { LoadCase } from './load.ts';
import type { SurroundedNetwork, ThermalModel, ValueRange } from './model.ts';
import { temperatures, warmDrop } from './warm-contact.ts';
import type { Temperature } from './warm-contact.ts';

/** Largest resistance in Ω that keeps `budget` W at `current` A: P/I². Infinite without current. */
export function resistanceForHeat(budget: number, current: number): number {
  return budget / (current * current);
}

export interface LargestResistances {
  readonly forBudget?: number;
  readonly forCycleBudget?: number;
  readonly forSteadyTemperature?: ValueRange;
  readonly forPeakTemperature?: ValueRange;
  readonly forCycleTemperature?: ValueRange;
  readonly forSoftening?: number;
}

const LIMITS = [
  ['forSteadyTemperature', 'steadyTemperature'],
  ['forPeakTemperature', 'peakTemperature'],
  ['forCycleTemperature', 'cycleTemperature'],
] as const satisfies readonly (readonly [keyof LargestResistances, Temperature])[];

/** The budget is shared by `poles` contacts. */
export function largestResistances(
  load: LoadCase,
  model: ThermalModel,
  reference: number,
  poles: number,
): LargestResistances {
  const { steady, cycle, budget, temperatureClass, plating } = load;
  const found: { -readonly [K in keyof LargestResistances]: LargestResistances[K] } = {};
  if (budget !== undefined && steady !== undefined)
    found.forBudget = resistanceForHeat(budget / poles, steady);
  if (budget !== undefined && cycle) found.forCycleBudget = resistanceForHeat(budget / poles, cycle.rms);
  const cold = temperatures(load, { resistance: 1e-9, reference }, model.nominal);
  for (const [key, name] of LIMITS) {
    if (temperatureClass === undefined || cold[name] === undefined) continue;
    const fits = (m: SurroundedNetwork) => (contact: StatedResistance) =>
      temperatures(load, contact, m)[name]! <= temperatureClass;
    found[key] = model.range((m) => largest(fits(m), reference), name === 'peakTemperature' && cools(load));
  }
  const current = highestCurrent(load);
  if (plating && current !== undefined) {
    const { softening } = CONTACT_VOLTAGES[plating];
    const stays = (contact: StatedResistance): boolean => {
      const warm = warmDrop(load, contact, model.nominal);
      return warm
        ? warm.drop < thresholdVoltage(softening, warm.bulk)
        : current * contact.resistance < softening;
    };
    found.forSoftening = largest(stays, reference);
  }
  return found;
}

/** Ω within which no answer is looked for. */
const SMALLEST = 1e-15;
const LARGEST = 1e15;

/** The largest resistance that `fits`, to a part in 10⁹; 0 when not even the smallest does. More never fits better. */
function largest(fits: (contact: StatedResistance) => boolean, reference: number): number {
  const holds = (resistance: number): boolean => fits({ resistance, reference });
  if (!holds(SMALLEST)) return 0;
  let low = 1e-4;
  while (!holds(low)) low /= 16;
  let high = 2 * low;
  while (high < LARGEST && holds(high)) [low, high] = [high, 16 * high];
  while (high / low > 1 + 1e-9) {
    const middle = Math.sqrt(low * high);
    if (holds(middle)) low = middle;
    else high = middle;
  }
  return low;
}
