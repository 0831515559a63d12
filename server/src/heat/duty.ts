/**
 * Heat that repeats: a duty cycle of constant pieces on the two-body network. SI units; temperatures are rises above
 * the surroundings. Exact, as the network's answer to each piece is: the settled state comes from a sum over the
 * pieces, not from going round until nothing changes.
 *
 * Source: a first-order lag under a periodic input, any circuits text; words of duty after IEC 60034-1.
 */
import { AT_REST, modeGains, riseAfter, timeConstants, timeToRise, turningTime } from './thermal.ts';
import type { HeatSegment, Rise, ThermalNetwork } from './thermal.ts';

/** @throws RangeError if the total duration is zero or a duration is negative. */
function cycleDuration(cycle: readonly HeatSegment[]): number {
  let time = 0;
  for (const { duration } of cycle) {
    if (!(duration >= 0)) throw new RangeError('a piece of a duty cycle cannot last less than no time');
    time += duration;
  }
  if (!(time > 0)) throw new RangeError('a duty cycle has to last some time');
  return time;
}

/**
 * Rise in K at the start of a round, once `cycle` has been repeated for so long that every round is like the one
 * before.
 * @throws RangeError when the cycle lasts no time, a piece lasts less than none, or the network is none.
 */
export function settledRise(network: ThermalNetwork, cycle: readonly HeatSegment[]): Rise {
  cycleDuration(cycle);
  const { fast, slow } = timeConstants(network);
  const gains = modeGains(network);
  const [quick, late] = [laggedHeat(cycle, fast), laggedHeat(cycle, slow)];
  return {
    contact: gains.fast.contact * quick + gains.slow.contact * late,
    body: gains.fast.body * quick + gains.slow.body * late,
  };
}

/**
 * Mean heat in W of a round, weighted exponentially with one time constant so that late pieces count most.
 */
function laggedHeat(cycle: readonly HeatSegment[], timeConstant: number): number {
  let sum = 0;
  let weights = 0;
  let later = 0;
  for (const { heat, duration } of cycle.toReversed()) {
    const weight = -Math.expm1(-duration / timeConstant) * Math.exp(-later / timeConstant);
    sum += weight * heat;
    weights += weight;
    later += duration;
  }
  return sum / weights;
}

/** Highest rise in K of the contact (or of the `part` asked for) on the way through `pieces` from the state `start`. */
export function hottestIn(
  network: ThermalNetwork,
  start: Rise,
  pieces: readonly HeatSegment[],
  part: keyof Rise = 'contact',
): number {
  let state = start;
  let most = start[part];
  for (const { heat, duration } of pieces) {
    const turn = turningTime(network, state, heat, part);
    if (turn > 0 && turn < duration) most = Math.max(most, riseAfter(network, state, heat, turn)[part]);
    state = riseAfter(network, state, heat, duration);
    most = Math.max(most, state[part]);
  }
  return most;
}

/**
 * First time in s, from rest, at which the rise of the contact (or of the `part` asked for) is `target` K while `cycle` is
 * repeated; `undefined` when it never is. No heat of the cycle may be negative. Errors as for `settledRise`.
 */
export function cycleTimeToRise(
  network: ThermalNetwork,
  cycle: readonly HeatSegment[],
  target: number,
  part: keyof Rise = 'contact',
): number | undefined {
  const length = cycleDuration(cycle);
  if (target <= 0) return 0;
  const settled = settledRise(network, cycle);
  if (hottestIn(network, settled, cycle, part) <= target) return undefined;
  /**
   * State at the start of round 0, 1, …: the settled state minus its transient, which decays like an unheated
   * body.
   */
  const atRound = (round: number): Rise => {
    const missing = riseAfter(network, settled, 0, round * length);
    return { contact: settled.contact - missing.contact, body: settled.body - missing.body };
  };
  // Each round is warmer than the last, so find the first that reaches the target by doubling and bisection.
  const reaches = (round: number): boolean => hottestIn(network, atRound(round), cycle, part) >= target;
  let low = 0;
  let high = 0;
  while (!reaches(high)) {
    low = high + 1;
    high = 2 * high + 1;
  }
  while (low < high) {
    const middle = Math.floor((low + high) / 2);
    if (reaches(middle)) high = middle;
    else low = middle + 1;
  }
  let state = high === 0 ? AT_REST : atRound(high);
  let elapsed = high * length;
  for (const { heat, duration } of cycle) {
    if (state[part] >= target) return elapsed;
    const time = timeToRise(network, state, heat, target, part);
    if (time !== undefined && time <= duration) return elapsed + time;
    state = riseAfter(network, state, heat, duration);
    elapsed += duration;
  }
  return elapsed;
}
