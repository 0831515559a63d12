/**
 * Heat that repeats: a duty cycle of constant currents on the two-body network. SI units; temperatures are rises above
 * the surroundings. Exact, as the network's answer to each segment is: a round is an affine map of the state, the
 * settled state is its fixed point, and many rounds are powers of it.
 *
 * Source: linear systems under a periodic input, any systems text; words of duty after IEC 60034-1.
 */
import { AT_REST, riseAfter, stepOf, timeToRise, turningTime } from './thermal.ts';
import type { HeatSegment, Rise, Step, ThermalNetwork } from './thermal.ts';

/** @throws RangeError when the pieces last no time at all, or one lasts less than none. */
function cycleDuration(cycle: readonly HeatSegment[]): number {
  let time = 0;
  for (const { duration } of cycle) {
    if (!(duration >= 0)) throw new RangeError('a piece of a duty cycle cannot last less than no time');
    time += duration;
  }
  if (!(time > 0)) throw new RangeError('a duty cycle has to last some time');
  return time;
}

const sum = (one: Rise, other: Rise): Rise => ({
  contact: one.contact + other.contact,
  body: one.body + other.body,
});

/** change · x of a step. */
const changed = ({ contact, body }: Step, x: Rise): Rise => ({
  contact: contact.contact * x.contact + body.contact * x.body,
  body: contact.body * x.contact + body.body * x.body,
});

const applied = (step: Step, x: Rise): Rise => sum(sum(x, changed(step, x)), step.shift);

/** One step and then another; the changes are added, so that what they have in common with doing nothing cancels. */
const followed = (first: Step, then: Step): Step => ({
  contact: sum(sum(first.contact, then.contact), changed(then, first.contact)),
  body: sum(sum(first.body, then.body), changed(then, first.body)),
  shift: applied(then, first.shift),
});

const roundOf = (network: ThermalNetwork, cycle: readonly HeatSegment[]): Step =>
  cycle.map((segment) => stepOf(network, segment)).reduce(followed);

/**
 * Rise in K at the start of a round, once `cycle` has been repeated for so long that every round is like the one
 * before; infinite where each round ends warmer for ever.
 * @throws RangeError when the cycle lasts no time, a piece lasts less than none, or the network is none.
 */
export function settledRise(network: ThermalNetwork, cycle: readonly HeatSegment[]): Rise {
  cycleDuration(cycle);
  const { contact, body, shift } = roundOf(network, cycle);
  if (shift.contact === 0 && shift.body === 0) return AT_REST;
  // A round never turns warmth into cold; such a map settles while both of these are positive (Perron).
  const determinant = contact.contact * body.body - contact.body * body.contact;
  if (!(contact.contact < 0 && determinant > 0)) return { contact: Infinity, body: Infinity };
  return {
    contact: (body.contact * shift.body - body.body * shift.contact) / determinant,
    body: (contact.body * shift.contact - contact.contact * shift.body) / determinant,
  };
}

/** Highest rise in K of the contact (or of the `part` asked for) on the way through `pieces` from the state `start`. */
export function hottestIn(
  network: ThermalNetwork,
  start: Rise,
  pieces: readonly HeatSegment[],
  part: keyof Rise = 'contact',
): number {
  if (start[part] === Infinity) return Infinity;
  let state = start;
  let max = start[part];
  for (const { heat, gain, duration } of pieces) {
    const turn = turningTime(network, state, heat, part, gain);
    if (turn > 0 && turn < duration) max = Math.max(max, riseAfter(network, state, heat, turn, gain)[part]);
    state = riseAfter(network, state, heat, duration, gain);
    max = Math.max(max, state[part]);
  }
  return max;
}

/** Rounds are doubled this often before the rest of the way is called below double precision. */
const DOUBLINGS = 100;

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
  if (hottestIn(network, settledRise(network, cycle), cycle, part) <= target) return undefined;
  const reaches = (state: Rise): boolean => hottestIn(network, state, cycle, part) >= target;
  // Each round is warmer than the one before: the last that does not get there is found from powers of two.
  let state = AT_REST;
  let rounds = 0;
  if (!reaches(state)) {
    const powers = [roundOf(network, cycle)];
    while (!reaches(applied(powers.at(-1)!, AT_REST))) {
      if (powers.length > DOUBLINGS) return undefined;
      powers.push(followed(powers.at(-1)!, powers.at(-1)!));
    }
    for (let power = powers.length - 1; power >= 0; power--) {
      const later = applied(powers[power]!, state);
      if (reaches(later)) continue;
      state = later;
      rounds += 2 ** power;
    }
    state = applied(powers[0]!, state);
    rounds++;
  }
  let elapsed = rounds * length;
  for (const { heat, gain, duration } of cycle) {
    if (state[part] >= target) return elapsed;
    const time = timeToRise(network, state, heat, target, part, gain);
    if (time !== undefined && time <= duration) return elapsed + time;
    state = riseAfter(network, state, heat, duration, gain);
    elapsed += duration;
  }
  return elapsed;
}
