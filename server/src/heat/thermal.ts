/**
 * How warm a connector gets, and when. SI units: watt, joule, kelvin, second. All temperatures here are rises above
 * the surroundings.
 *
 * Two bodies in a row: the contact region, where the heat is set free, and the connector's body, which passes it on
 * to the surroundings. The contact follows a peak of seconds; the body needs many minutes. For constant heat the two
 * linear equations have a closed solution, and piecewise-constant heat is a row of such solutions: nothing is
 * stepped or approximated.
 *
 *   C₁ θ₁′ = P − (θ₁ − θ₂)/R₁₂        C₂ θ₂′ = (θ₁ − θ₂)/R₁₂ − θ₂/R₂
 *
 * The model is linear: heat transfer that improves with temperature, resistance that grows with it, melting and fire
 * are not in it. Source: lumped capacitance method, Incropera, Fundamentals of Heat and Mass Transfer, ch. 5.
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

/** An interval of constant heat. */
export interface HeatSegment {
  /** W */
  readonly heat: number;
  /** s, not negative */
  readonly duration: number;
}

/** The matrix A of x′ = −Ax and its eigenvalues; both are real, positive and different for every network. */
interface Modes {
  /** 1/s: contact to body seen from the contact, the same seen from the body, and body to surroundings. */
  readonly a: number;
  readonly b: number;
  readonly c: number;
  /** 1/s */
  readonly fast: number;
  readonly slow: number;
  /** fast − slow */
  readonly gap: number;
}

function modesOf(network: ThermalNetwork): Modes {
  const { contactCapacity, bodyCapacity, contactToBody, bodyToSurroundings } = network;
  for (const value of [contactCapacity, bodyCapacity, contactToBody, bodyToSurroundings]) {
    if (!(value > 0 && value < Infinity))
      throw new RangeError('heat capacities and thermal resistances are above zero');
  }
  const a = 1 / (contactToBody * contactCapacity);
  const b = 1 / (contactToBody * bodyCapacity);
  const c = 1 / (bodyToSurroundings * bodyCapacity);
  const gap = Math.hypot(a - b - c, 2 * Math.sqrt(a * b));
  const fast = (a + b + c + gap) / 2;
  // The product of the eigenvalues is ac; their difference would lose the slow one to rounding.
  return { a, b, c, fast, slow: (a * c) / fast, gap };
}

/**
 * The two time constants in s: how fast the contact follows its body, and how fast the whole cools to the
 * surroundings. Their sum is C₁(R₁₂ + R₂) + C₂R₂ (open-circuit time constants).
 * @throws RangeError when a capacity or resistance is not positive.
 */
export function timeConstants(network: ThermalNetwork): { readonly fast: number; readonly slow: number } {
  const { fast, slow } = modesOf(network);
  return { fast: 1 / fast, slow: 1 / slow };
}

/**
 * Share in K/W of each time constant in the steady rise: the network's answer to heat is the sum of these,
 * each following the heat as one body of its own time constant would. Errors as for `timeConstants`.
 */
export function modeGains(network: ThermalNetwork): { readonly fast: Rise; readonly slow: Rise } {
  const { a, b, c, fast, slow, gap } = modesOf(network);
  // (fast − a)(a − slow) = ab: the smaller of the two would lose its digits as a difference.
  const larger = (Math.abs(a - b - c) + gap) / 2;
  const [fastLess, lessSlow] = a > b + c ? [(a * b) / larger, larger] : [larger, (a * b) / larger];
  const each = gap * network.contactCapacity;
  return {
    fast: { contact: lessSlow / (each * fast), body: -b / (each * fast) },
    slow: { contact: fastLess / (each * slow), body: b / (each * slow) },
  };
}

/** Rise in K after a very long time at `heat` W. */
export function steadyRise(network: ThermalNetwork, heat: number): Rise {
  const body = heat * network.bodyToSurroundings;
  return { contact: body + heat * network.contactToBody, body };
}

/**
 * Rise in K after `time` s at `heat` W from the state `start`: e^(−At) by Sylvester's formula.
 * Errors as for `timeConstants`.
 */
export function riseAfter(network: ThermalNetwork, start: Rise, heat: number, time: number): Rise {
  const { a, b, c, slow, gap } = modesOf(network);
  const end = steadyRise(network, heat);
  const contact = start.contact - end.contact;
  const body = start.body - end.body;
  const decay = Math.exp(-slow * time);
  const mixed = (-decay * Math.expm1(-gap * time)) / gap;
  return {
    contact: end.contact + decay * contact + mixed * (slow * contact - a * (contact - body)),
    body: end.body + decay * body + mixed * (slow * body + b * contact - (b + c) * body),
  };
}

/**
 * Rise in K of the contact after `time` s per watt that is switched on at rest (K/W): the network's step response.
 * Because the network is linear, every other answer is a sum of these.
 */
export function contactStep(network: ThermalNetwork, time: number): number {
  return riseAfter(network, AT_REST, 1, time).contact;
}

/**
 * The rise of one body under constant heat: x(t) − end = e^(−slow·t)·(value + drift·(1 − e^(−gap·t))/gap).
 */
interface RiseSolution {
  readonly modes: Modes;
  readonly end: number;
  readonly value: number;
  readonly drift: number;
}

function courseOf(network: ThermalNetwork, start: Rise, heat: number, part: keyof Rise): RiseSolution {
  const modes = modesOf(network);
  const { a, b, c, slow } = modes;
  const end = steadyRise(network, heat);
  const contact = start.contact - end.contact;
  const body = start.body - end.body;
  const slope = part === 'contact' ? a * (body - contact) : b * contact - (b + c) * body;
  const value = part === 'contact' ? contact : body;
  return { modes, end: end[part], value, drift: slow * value + slope };
}

/** Time in s of the extremum of a curve; 0 if it is monotonic. There is at most one. */
function extremumOf({ modes: { fast, slow, gap }, value, drift }: RiseSolution): number {
  // As a sum of the modes the course is p·e^(−slow·t) + q·e^(−fast·t) with p = value + drift/gap, q = −drift/gap.
  const ratio = (fast * drift) / (slow * (gap * value + drift));
  return ratio > 1 && ratio < Infinity ? Math.log(ratio) / gap : 0;
}

/**
 * Time in s of the only extremum of a body's rise at `heat` W from `start`; 0 if it is monotonic.
 * Errors as for `timeConstants`.
 */
export function turningTime(
  network: ThermalNetwork,
  start: Rise,
  heat: number,
  part: keyof Rise = 'contact',
): number {
  return extremumOf(courseOf(network, start, heat, part));
}

/**
 * First time in s at which the rise of the contact (or of the `part` asked for) is `target` K, at `heat` W from the
 * state `start`; warming or cooling. `undefined` when it never is. Errors as for `timeConstants`.
 */
export function timeToRise(
  network: ThermalNetwork,
  start: Rise,
  heat: number,
  target: number,
  part: keyof Rise = 'contact',
): number | undefined {
  if (start[part] === target) return 0;
  const course = courseOf(network, start, heat, part);
  const { modes, end, value, drift } = course;
  const { slow, gap } = modes;
  const at = (time: number): number =>
    end - target + Math.exp(-slow * time) * (value - (drift * Math.expm1(-gap * time)) / gap);
  const turn = extremumOf(course);

  if (turn > 0 && crosses(at(0), at(turn))) return bisect(at, 0, turn);
  if (end === target || !crosses(at(turn), end - target)) return undefined;
  let far = turn + 1 / slow;
  while (!crosses(at(turn), at(far))) {
    // The remaining difference is below double precision.
    if (far * slow > 745) return undefined;
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
