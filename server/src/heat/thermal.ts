/**
 * How warm a connector gets, and when. SI units: watt, joule, kelvin, second. All temperatures here are rises above
 * the surroundings.
 *
 * Two bodies in a row: the contact region, where the heat is produced, and the connector's body, which passes it on
 * to the surroundings. The contact follows a peak of seconds; the body needs many minutes. The heat may grow with the
 * temperature of the contact, as it does at a constant current in a metal: P = heat + gain·θ₁.
 *
 *   C₁ θ₁′ = heat + gain·θ₁ − (θ₁ − θ₂)/R₁₂        C₂ θ₂′ = (θ₁ − θ₂)/R₁₂ − θ₂/R₂
 *
 * For a constant current the two equations are linear and have a closed solution, and a sequence of constant currents
 * is a sequence of such solutions: nothing is stepped or approximated; only times to a temperature are bisected, to
 * a part in 2⁴⁵. A steady state exists while gain·(R₁₂ + R₂) < 1; from there on the contact keeps heating, and what
 * would be its steady rise is Infinity.
 *
 * Heat transfer that improves with temperature, melting and fire are not in the model. Source: lumped capacitance
 * method, Incropera, Fundamentals of Heat and Mass Transfer, ch. 5.
 */

export interface ThermalNetwork {
  /** J/K of the metal at the contact */
  readonly contactCapacity: number;
  /** J/K of the rest of the connector */
  readonly bodyCapacity: number;
  /** K/W from contact to body */
  readonly contactToBody: number;
  /** K/W from body to surroundings */
  readonly bodyToSurroundings: number;
}

/** Rise of both bodies above the surroundings, K. */
export interface Rise {
  readonly contact: number;
  readonly body: number;
}

export const AT_REST: Rise = { contact: 0, body: 0 };

/** A stretch of time with constant heat, or with heat that follows the contact in a straight line. */
export interface HeatSegment {
  /** W at a contact that is as warm as the surroundings */
  readonly heat: number;
  /** W/K by which it grows with the rise of the contact; none where absent */
  readonly gain?: number;
  /** s, not negative */
  readonly duration: number;
}

/** The matrix A of x′ = −Ax + v and its eigenvalues: both real, different, and the fast one positive. */
interface Modes {
  /** 1/s: contact to body seen from the contact, the same seen from the body, and body to surroundings. */
  readonly a: number;
  readonly b: number;
  readonly c: number;
  /** 1/s by which the growth of the heat drives the contact. */
  readonly growth: number;
  /** 1/s; the slow one is zero or negative where no steady state exists */
  readonly fast: number;
  readonly slow: number;
  /** fast − slow */
  readonly gap: number;
  /** fast − A₁₁ and A₁₁ − slow; they add up to the gap. */
  readonly upper: number;
  readonly lower: number;
}

function modesOf(network: ThermalNetwork, gain: number): Modes {
  const { contactCapacity, bodyCapacity, contactToBody, bodyToSurroundings } = network;
  for (const value of [contactCapacity, bodyCapacity, contactToBody, bodyToSurroundings]) {
    if (!(value > 0 && value < Infinity))
      throw new RangeError('heat capacities and thermal resistances are above zero');
  }
  const a = 1 / (contactToBody * contactCapacity);
  const b = 1 / (contactToBody * bodyCapacity);
  const c = 1 / (bodyToSurroundings * bodyCapacity);
  const growth = gain / contactCapacity;
  const difference = a - growth - b - c;
  const gap = Math.hypot(difference, 2 * Math.sqrt(a * b));
  const fast = (a - growth + b + c + gap) / 2;
  // The product of the eigenvalues is known; their difference would lose the slow one to rounding.
  const slow = (a * c * (1 - gain * (contactToBody + bodyToSurroundings))) / fast;
  // upper · lower = ab: the smaller of the two would lose its digits as a difference.
  const larger = (Math.abs(difference) + gap) / 2;
  const [upper, lower] = difference > 0 ? [(a * b) / larger, larger] : [larger, (a * b) / larger];
  return { a, b, c, growth, fast, slow, gap, upper, lower };
}

/**
 * The two time constants in s: how fast the contact follows its body, and how fast the whole cools to the
 * surroundings. Their sum is C₁(R₁₂ + R₂) + C₂R₂ (open-circuit time constants).
 * @throws RangeError when a capacity or resistance is not positive.
 */
export function timeConstants(network: ThermalNetwork): { readonly fast: number; readonly slow: number } {
  const { fast, slow } = modesOf(network, 0);
  return { fast: 1 / fast, slow: 1 / slow };
}

/** Growth beyond this belongs to a contact that was destroyed long before; the figures stay finite numbers. */
const LARGEST_EXPONENT = 100;
const LARGEST_RISE = 1e60;
const growthOf = (exponent: number): number => Math.exp(Math.min(exponent, LARGEST_EXPONENT));

/** ∫₀ᵗ e^(−rate·τ) dτ */
const decayed = (rate: number, time: number): number =>
  rate === 0 ? time : -Math.expm1(Math.min(-rate * time, LARGEST_EXPONENT)) / rate;

/** The matrix Σ f(mode)·projector(mode), applied to a state (Sylvester's formula). */
function inModes(
  { a, b, gap, upper, lower }: Modes,
  slow: number,
  fast: number,
  { contact, body }: Rise,
): Rise {
  return {
    contact: (slow * (upper * contact + a * body) + fast * (lower * contact - a * body)) / gap,
    body: (slow * (b * contact + lower * body) + fast * (upper * body - b * contact)) / gap,
  };
}

/**
 * Rise in K after a very long time at `heat` W that grows by `gain` W/K. Infinite where nothing stops it:
 * gain·(R₁₂ + R₂) ≥ 1.
 */
export function steadyRise(network: ThermalNetwork, heat: number, gain = 0): Rise {
  const { contactToBody, bodyToSurroundings } = network;
  const left = 1 - gain * (contactToBody + bodyToSurroundings);
  if (heat === 0) return AT_REST;
  if (!(left > 0)) return { contact: Infinity, body: Infinity };
  const body = (heat / left) * bodyToSurroundings;
  return { contact: body + (heat / left) * contactToBody, body };
}

/**
 * Rise in K after `time` s at `heat` W that grows by `gain` W/K, from the state `start`: e^(−At) and its integral by
 * Sylvester's formula. Errors as for `timeConstants`.
 */
export function riseAfter(network: ThermalNetwork, start: Rise, heat: number, time: number, gain = 0): Rise {
  return stateAfter(network, modesOf(network, gain), start, heat, time);
}

function stateAfter(network: ThermalNetwork, modes: Modes, start: Rise, heat: number, time: number): Rise {
  return {
    contact: courseOf(network, modes, start, heat, 'contact')(time),
    body: courseOf(network, modes, start, heat, 'body')(time),
  };
}

/** The rise of one body in K by the time in s, at constant `heat` W from the state `start`. */
function courseOf(
  { contactCapacity }: ThermalNetwork,
  { a, b, slow, fast, gap, upper, lower }: Modes,
  { contact, body }: Rise,
  heat: number,
  part: keyof Rise,
): (time: number) => number {
  const drive = heat / contactCapacity;
  const [slowRest, fastRest, slowDriven, fastDriven] =
    part === 'contact'
      ? [upper * contact + a * body, lower * contact - a * body, upper * drive, lower * drive]
      : [b * contact + lower * body, upper * body - b * contact, b * drive, -b * drive];
  return (time) => {
    const rest = (growthOf(-slow * time) * slowRest + growthOf(-fast * time) * fastRest) / gap;
    const driven = (decayed(slow, time) * slowDriven + decayed(fast, time) * fastDriven) / gap;
    return Math.min(rest + driven, LARGEST_RISE);
  };
}

/** Change of state over a stretch of constant current: x ↦ x + change·x + shift, with change by columns. */
export interface Step {
  readonly contact: Rise;
  readonly body: Rise;
  readonly shift: Rise;
}

/** The step of a segment; `change` = e^(−At) − 1 keeps its digits however short the segment is. */
export function stepOf(network: ThermalNetwork, { heat, gain = 0, duration }: HeatSegment): Step {
  const modes = modesOf(network, gain);
  const [slow, fast] = [modes.slow, modes.fast].map((rate) =>
    Math.expm1(Math.min(-rate * duration, LARGEST_EXPONENT)),
  ) as [number, number];
  return {
    contact: inModes(modes, slow, fast, { contact: 1, body: 0 }),
    body: inModes(modes, slow, fast, { contact: 0, body: 1 }),
    shift: stateAfter(network, modes, AT_REST, heat, duration),
  };
}

/** Rate in K/s at the start, and what is left of its sign in the end. */
function slopes(network: ThermalNetwork, modes: Modes, start: Rise, heat: number, part: keyof Rise) {
  const { a, b, c, growth, upper, lower } = modes;
  const contact = heat / network.contactCapacity + (growth - a) * start.contact + a * start.body;
  const body = b * start.contact - (b + c) * start.body;
  return part === 'contact'
    ? { slow: upper * contact + a * body, fast: lower * contact - a * body }
    : { slow: b * contact + lower * body, fast: upper * body - b * contact };
}

/**
 * Time in s of the only extremum of a body's rise from `start`, at `heat` W that grows by `gain` W/K; 0 if it is
 * monotonic. Errors as for `timeConstants`.
 */
export function turningTime(
  network: ThermalNetwork,
  start: Rise,
  heat: number,
  part: keyof Rise,
  gain = 0,
): number {
  const modes = modesOf(network, gain);
  return extremumOf(modes, slopes(network, modes, start, heat, part));
}

/** The rate is slow·e^(−slow·t) + fast·e^(−fast·t) but for a factor: zero at most once. */
function extremumOf({ gap }: Modes, { slow, fast }: { slow: number; fast: number }): number {
  const ratio = -fast / slow;
  return ratio > 1 && ratio < Infinity ? Math.log(ratio) / gap : 0;
}

/**
 * First time in s at which the rise of the contact (or of the `part` asked for) is `target` K, at `heat` W that grows
 * by `gain` W/K, from the state `start`; warming or cooling. `undefined` when it never is. Errors as for
 * `timeConstants`.
 */
export function timeToRise(
  network: ThermalNetwork,
  start: Rise,
  heat: number,
  target: number,
  part: keyof Rise = 'contact',
  gain = 0,
): number | undefined {
  if (start[part] === target) return 0;
  const modes = modesOf(network, gain);
  const course = courseOf(network, modes, start, heat, part);
  const at = (time: number): number => course(time) - target;
  const rates = slopes(network, modes, start, heat, part);
  const turn = extremumOf(modes, rates);
  if (turn > 0 && crosses(at(0), at(turn))) return bisect(at, 0, turn);

  const { slow, fast } = modes;
  const settles = slow > 0;
  const end = settles ? steadyRise(network, heat, gain)[part] : Math.sign(rates.slow) * Infinity;
  if (end === target || !crosses(at(turn), end - target)) return undefined;
  let far = turn + 1 / Math.max(Math.abs(slow), 1e-12 * fast);
  while (!crosses(at(turn), at(far))) {
    // The remaining difference is below double precision, or the rise beyond any number.
    if (far * Math.abs(slow) > (settles ? 745 : LARGEST_EXPONENT)) return undefined;
    far = turn + 2 * (far - turn);
  }
  return bisect(at, turn, far);
}

const crosses = (from: number, to: number): boolean =>
  (from < 0 && to > 0) || (from > 0 && to < 0) || to === 0;

/** The first moment on the far side, to a part in 2⁴⁵. */
function bisect(at: (time: number) => number, from: number, to: number): number {
  const sign = Math.sign(at(from));
  let low = from;
  let high = to;
  for (;;) {
    const middle = low + (high - low) / 2;
    if (middle <= low || middle >= high || high - low < high * 2 ** -45) return high;
    if (Math.sign(at(middle)) === sign) low = middle;
    else high = middle;
  }
}

/**
 * One body with one time constant (a pack in a booth, a bead in a gas stream): temperature after `time` s on the way
 * from `start` to `end`. Any one temperature scale. Source: Newton's law of cooling; Incropera, ch. 5.
 */
export function lumpedTemperature(start: number, end: number, timeConstant: number, time: number): number {
  return end + (start - end) * Math.exp(-time / timeConstant);
}

/** Time in s at which that body is at `target`; `undefined` when it is not on the way. */
export function lumpedTime(
  start: number,
  end: number,
  timeConstant: number,
  target: number,
): number | undefined {
  if (start === target) return 0;
  const share = (target - end) / (start - end);
  return share > 0 && share < 1 ? -timeConstant * Math.log(share) : undefined;
}
