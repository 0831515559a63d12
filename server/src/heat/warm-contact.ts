/**
 * Temperatures of one contact under its load, with a resistance that follows the temperature of its metal:
 * R = R₀(1 + α(T − T₀)). At a constant current the heat is then a straight line of the temperature, which the thermal
 * network takes as it is. SI units; temperatures in K. Infinity says that no steady temperature exists.
 */
import { hottestCableRise, cableRiseAfter, steadyCableRise } from './cable-rise.ts';
import { constrictionTemperature, voltageDrop } from './contact.ts';
import { cycleTimeToRise, hottestIn, settledRise } from './duty.ts';
import { jouleHeat } from './joule.ts';
import type { CurrentSegment, StatedResistance } from './joule.ts';
import { highestCurrent } from './load.ts';
import type { LoadCase } from './load.ts';
import type { SurroundedNetwork } from './model.ts';
import { AT_REST, riseAfter, steadyRise, timeToRise } from './thermal.ts';
import type { HeatSegment, Rise } from './thermal.ts';

export const TEMPERATURES = [
  'steadyTemperature',
  'peakTemperature',
  'firstRoundTemperature',
  'cycleTemperature',
] as const;
export type Temperature = (typeof TEMPERATURES)[number];

/** How many times the stated resistance a contact has at `temperature` K; never less than none. */
export const warmFactor = (
  { coefficient }: SurroundedNetwork,
  { reference }: StatedResistance,
  temperature: number,
): number => Math.max(0, 1 + coefficient * (temperature - reference));

/** Beyond this many K of cable nothing is left of a connector, and figures stay numbers. */
const DESTROYED = 1e4;

/** K that the rises of the network are counted from: the air, and what of the cable's own rise reaches the connector. */
const sinkOf = ({ ambient, cableShare }: SurroundedNetwork, cableRise: number): number =>
  ambient + cableShare * Math.min(cableRise, DESTROYED);

/** A stretch of constant current in a contact whose rises are counted from `sink` K, as the network takes it. */
function segmentOf(
  model: SurroundedNetwork,
  contact: StatedResistance,
  { current, duration }: CurrentSegment,
  sink: number,
): Required<HeatSegment> {
  const cold = jouleHeat(current, contact.resistance);
  return { heat: cold * warmFactor(model, contact, sink), gain: cold * model.coefficient, duration };
}

/** A contact in a load case: what its rises are counted from, where they start, and what heats it. */
export interface Course {
  readonly sink: number;
  readonly start: Rise;
  readonly segments: readonly Required<HeatSegment>[];
}

const FOR_EVER = 1e9;

/** From cold, but on a cable that is warm already: sooner than in fact, never later. */
export function steadyCourse(model: SurroundedNetwork, contact: StatedResistance, current: number): Course {
  const sink = sinkOf(model, steadyCableRise(model.cable, current));
  return {
    sink,
    start: AT_REST,
    segments: [segmentOf(model, contact, { current, duration: FOR_EVER }, sink)],
  };
}

const settledAt = (model: SurroundedNetwork, { segments: [segment] }: Course): Rise =>
  steadyRise(model.network, segment!.heat, segment!.gain);

/**
 * The peak that follows a long time at the steady current. The cable counts as warm as it is at the hotter end of the
 * peak. `undefined` where there is no such time, because the contact keeps heating.
 */
export function peakCourse(
  model: SurroundedNetwork,
  contact: StatedResistance,
  { steady, peak, peakTime }: { readonly steady: number; readonly peak: number; readonly peakTime: number },
): Course | undefined {
  const before = steadyCourse(model, contact, steady);
  const warm = settledAt(model, before);
  if (warm.contact === Infinity) return undefined;
  const cable = steadyCableRise(model.cable, steady);
  const after = cable === Infinity ? Infinity : cableRiseAfter(model.cable, cable, peak, peakTime);
  const sink = sinkOf(model, Math.max(cable, after));
  // The body is as warm as it was: what the cable adds during the peak is not yet in it.
  const shift = before.sink - sink;
  const start = { contact: warm.contact + shift, body: warm.body + shift };
  return { sink, start, segments: [segmentOf(model, contact, { current: peak, duration: peakTime }, sink)] };
}

/** The duty cycle, from cold or settled. The cable counts as warm as it is at its hottest in a settled round. */
export function cycleCourse(
  model: SurroundedNetwork,
  contact: StatedResistance,
  pieces: readonly CurrentSegment[],
  round: 'first' | 'settled',
): Course {
  const sink = sinkOf(model, hottestCableRise(model.cable, pieces));
  const segments = pieces.map((piece) => segmentOf(model, contact, piece, sink));
  return { sink, start: round === 'first' ? AT_REST : settledRise(model.network, segments), segments };
}

/** K of a part at `time` s of a course. */
export function temperatureAt(
  { network }: SurroundedNetwork,
  { sink, start, segments }: Course,
  time: number,
  part: keyof Rise = 'contact',
): number {
  let state = start;
  let left = time;
  for (const { heat, gain, duration } of segments) {
    if (state[part] === Infinity) return Infinity;
    state = riseAfter(network, state, heat, Math.min(left, duration), gain);
    left -= duration;
    if (left <= 0) break;
  }
  return sink + state[part];
}

/** K of a part after a long time at the steady current or, where there is none, at its hottest in the duty cycle. */
export function lastingTemperature(
  model: SurroundedNetwork,
  contact: StatedResistance,
  { steady, cycle }: LoadCase,
  part: keyof Rise,
): number | undefined {
  if (steady !== undefined) {
    const course = steadyCourse(model, contact, steady);
    return course.sink + settledAt(model, course)[part];
  }
  if (!cycle) return undefined;
  const { sink, start, segments } = cycleCourse(model, contact, cycle.pieces, 'settled');
  return sink + hottestIn(model.network, start, segments, part);
}

/** K of the contact in each case that is given. */
export function temperatures(
  load: LoadCase,
  contact: StatedResistance,
  model: SurroundedNetwork,
): Readonly<Partial<Record<Temperature, number>>> {
  const { steady, peak, peakTime, cycle } = load;
  const found: Partial<Record<Temperature, number>> = {};
  if (steady !== undefined) found.steadyTemperature = lastingTemperature(model, contact, load, 'contact')!;
  if (steady !== undefined && peak !== undefined && peakTime !== undefined) {
    const course = peakCourse(model, contact, { steady, peak, peakTime });
    found.peakTemperature = course ? temperatureAt(model, course, peakTime) : Infinity;
  }
  if (cycle) {
    const first = cycleCourse(model, contact, cycle.pieces, 'first');
    const start = settledRise(model.network, first.segments);
    found.firstRoundTemperature = first.sink + hottestIn(model.network, AT_REST, first.segments);
    found.cycleTemperature = first.sink + hottestIn(model.network, start, first.segments);
  }
  return found;
}

export interface WarmDrop {
  /** K of the metal around the spots */
  readonly bulk: number;
  /** V across the warm contact at the highest current, from terminal to terminal */
  readonly drop: number;
  /** K inside the spots if all of that drop were across them */
  readonly spots: number;
}

/** The contact at its highest current, as warm as it then is. `undefined` where that is not known. */
export function warmDrop(
  load: LoadCase,
  contact: StatedResistance,
  model: SurroundedNetwork,
): WarmDrop | undefined {
  const current = highestCurrent(load);
  const { peakTemperature, cycleTemperature } = temperatures(load, contact, model);
  const bulk = load.peak === undefined ? cycleTemperature : peakTemperature;
  if (current === undefined || bulk === undefined) return undefined;
  const drop = voltageDrop(current, contact.resistance) * warmFactor(model, contact, bulk);
  return { bulk, drop, spots: constrictionTemperature(bulk, drop, model.lorenz) };
}

/** Times in s until the contact passes `limit` K, in each case that is given; absent when it never does. */
export interface TimesToClass {
  /** From cold at steady current. */
  readonly steadyTimeToClass?: number;
  /** Of peak after steady current; 0 when steady current is enough. */
  readonly peakTimeToClass?: number;
  /** From cold, the duty cycle repeated. */
  readonly cycleTimeToClass?: number;
}

export function timesToClass(
  model: SurroundedNetwork,
  contact: StatedResistance,
  limit: number,
  { steady, peak, peakTime, cycle }: LoadCase,
): TimesToClass {
  const found: { -readonly [K in keyof TimesToClass]: number } = {};
  const keep = (key: keyof TimesToClass, time: number | undefined): void => {
    if (time !== undefined) found[key] = time;
  };
  if (steady !== undefined) {
    keep('steadyTimeToClass', timeTo(model, steadyCourse(model, contact, steady), limit));
    if (peak !== undefined) {
      const course = peakCourse(model, contact, { steady, peak, peakTime: peakTime ?? FOR_EVER });
      const hot = (lastingTemperature(model, contact, { steady } as LoadCase, 'contact') ?? 0) >= limit;
      keep('peakTimeToClass', hot || !course ? 0 : timeTo(model, course, limit));
    }
  }
  if (cycle) {
    const { sink, segments } = cycleCourse(model, contact, cycle.pieces, 'first');
    keep('cycleTimeToClass', cycleTimeToRise(model.network, segments, limit - sink));
  }
  return found;
}

/** s until a part first is at `limit` K in a course of one segment, however long it lasts. */
function timeTo(
  { network }: SurroundedNetwork,
  { sink, start, segments: [segment] }: Course,
  limit: number,
  part: keyof Rise = 'contact',
): number | undefined {
  const { heat, gain } = segment!;
  return start[part] >= limit - sink ? 0 : timeToRise(network, start, heat, limit - sink, part, gain);
}

/** s from cold until the part is at `limit` K under the load that lasts. */
export function lastingTimeTo(
  model: SurroundedNetwork,
  contact: StatedResistance,
  { steady, cycle }: LoadCase,
  limit: number,
  part: keyof Rise,
): number | undefined {
  if (steady !== undefined) return timeTo(model, steadyCourse(model, contact, steady), limit, part);
  if (!cycle) return undefined;
  const { sink, segments } = cycleCourse(model, contact, cycle.pieces, 'first');
  return cycleTimeToRise(model.network, segments, limit - sink, part);
}
