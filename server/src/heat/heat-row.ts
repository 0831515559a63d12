/** One row of an estimate: everything that follows from one resistance. SI units. */
import { copperResistivity } from './conductor.ts';
import type { CableResistance } from './conductor.ts';
import { CONTACT_VOLTAGES, reachesVoltage, spotRadius, thresholdVoltage, voltageDrop } from './contact.ts';
import type { Plating, ThresholdVerdict } from './contact.ts';
import { dutyHeat, jouleHeat } from './joule.ts';
import type { StatedResistance } from './joule.ts';
import { cools, highestCurrent } from './load.ts';
import type { LoadCase } from './load.ts';
import type { SurroundedNetwork, ThermalModel, ValueRange } from './model.ts';
import { burnThreshold, longestContactWithoutBurn } from './touch.ts';
import { propagate } from './uncertainty.ts';
import {
  TEMPERATURES,
  lastingTemperature,
  lastingTimeTo,
  temperatures,
  timesToClass,
  warmDrop,
  warmFactor,
} from './warm-contact.ts';
import type { Temperature, TimesToClass } from './warm-contact.ts';

/** K at which copper melts (ITS-90 fixed point): from here on a computed temperature only says “destroyed before”. */
export const COPPER_MELTS = 1357.77;

export type RowKey = 'as-new' | 'limit' | 'measured' | 'dirt-10' | 'dirt-100' | 'dirt-1000';

/** Figures of a row that are plain numbers of its resistance: W, W, W, W, W, V, K, K, K, K, m. */
export const FIGURES = [
  'steady',
  'peak',
  'cycle',
  'warmSteady',
  'warmPeak',
  'dropAtPeak',
  'steadyTemperature',
  'peakTemperature',
  'cycleTemperature',
  'spotTemperature',
  'cableLength',
] as const;
export type HeatQuantity = (typeof FIGURES)[number];

/** The outside after a long time under load: a warning, never a leave. Thresholds: ISO 13732-1, bare metal (from memory). */
export interface Touch {
  /** K of the connector's body at steady current or, where none is given, at its warmest in the duty cycle */
  readonly temperature: ValueRange;
  /** s of contact after which bare metal as warm as the warm end of that range may burn; absent below all thresholds */
  readonly burnsAfter?: number;
  /** s of the longest contact listed that is below its threshold at the warm end: kept for readers of the JSON, told to nobody */
  readonly withoutBurn: number;
  /** K at which bare metal may burn skin within one second */
  readonly threshold: number;
  /** s from cold until the body passes it, as assumed and at the earliest; absent when it never does */
  readonly time?: number;
  readonly earliest?: number;
}

export interface HeatRow extends TimesToClass {
  readonly key: RowKey;
  /** Ω, terminal to terminal */
  readonly resistance: number;
  /** Ω, expanded (k = 2); of a reading that states it */
  readonly uncertainty?: number;
  /** What that uncertainty makes of the row's other figures (GUM first order, expanded, k = 2), each in its own unit. */
  readonly uncertainties?: Readonly<Partial<Record<HeatQuantity, number>>>;
  /** K for which that resistance is stated */
  readonly reference: number;
  /** W at steady and at peak current, and on average over the duty cycle, in the resistance as stated */
  readonly steady?: number;
  readonly peak?: number;
  readonly cycle?: number;
  /** W once the contact is as warm as the steady current makes it, and at the end of the peak; Infinity: no end */
  readonly warmSteady?: ValueRange;
  readonly warmPeak?: ValueRange;
  /** V from terminal to terminal at the highest current, in the resistance as stated; crimps hold part of it */
  readonly dropAtPeak?: number;
  /** V the same in the contact as warm as it then is */
  readonly warmDrop?: number;
  /** Whether the contact reaches its plating's softening and melting voltages at the highest current. */
  readonly softening?: ThresholdVerdict;
  readonly melting?: ThresholdVerdict;
  /** K inside the spots if all of the warm drop were across them (Holm) */
  readonly spotTemperature?: ValueRange;
  /** m, radius if all contact were one round spot of copper */
  readonly spotRadius: number;
  /** K of the contact after a long time at steady current, and at the end of a peak that follows it; Infinity: no end */
  readonly steadyTemperature?: ValueRange;
  readonly peakTemperature?: ValueRange;
  /** K of the contact at its hottest in the duty cycle: in the first round from cold, and once it has settled */
  readonly firstRoundTemperature?: ValueRange;
  readonly cycleTemperature?: ValueRange;
  /** The same times where every assumption, and the reading by its uncertainty, is at its warmest or its coolest. */
  readonly earliest?: TimesToClass;
  readonly latest?: TimesToClass;
  /**
   * Whether the temperature has an end under a load that lasts: `none` at no corner of the assumptions it lacks one;
   * `possible` at the warm end; `expected` as assumed; `certain` even at the cool end.
   */
  readonly runaway: Runaway;
  readonly touch?: Touch;
  /**
   * A temperature in this row is above copper's melting point, i.e. the contact would already be destroyed.
   */
  readonly beyondModel: boolean;
  /** m of the connector's own cable that give off the same heat at any current */
  readonly cableLength?: number;
}

export type Runaway = 'none' | 'possible' | 'expected' | 'certain';

/** What every row of one connector shares. */
export interface RowContext {
  readonly load: LoadCase;
  readonly model: ThermalModel;
  readonly cable: CableResistance | undefined;
}

/** W at steady and peak current, and on average over the duty cycle. */
export function heats(
  { steady, peak, cycle }: LoadCase,
  resistance: number,
): Pick<HeatRow, 'steady' | 'peak' | 'cycle'> {
  return omitUndefined({
    steady: steady === undefined ? undefined : jouleHeat(steady, resistance),
    peak: peak === undefined ? undefined : jouleHeat(peak, resistance),
    cycle: cycle && dutyHeat(cycle.pieces, resistance),
  });
}

/** The row of a resistance; `uncertainty` Ω is the expanded one of a reading that states it. */
export function rowOf(
  key: RowKey,
  contact: StatedResistance,
  { load, model, cable }: RowContext,
  uncertainty?: number,
): HeatRow {
  const { resistance, reference } = contact;
  const { temperatureClass, plating } = load;
  const current = highestCurrent(load);
  // Each end of the range is asked for several figures.
  const solved = new Map<SurroundedNetwork, ReturnType<typeof temperatures>>();
  const solve = (m: SurroundedNetwork): ReturnType<typeof temperatures> => {
    let found = solved.get(m);
    if (!found) solved.set(m, (found = temperatures(load, contact, m)));
    return found;
  };
  const nominal = solve(model.nominal);
  const ranged = (name: Temperature): ValueRange | undefined =>
    nominal[name] === undefined
      ? undefined
      : model.range((m) => solve(m)[name]!, name === 'peakTemperature' && cools(load));
  const [steadyTemperature, peakTemperature, firstRoundTemperature, cycleTemperature] =
    TEMPERATURES.map(ranged);
  const warm = (name: Temperature, amps: number | undefined): ValueRange | undefined =>
    nominal[name] === undefined || amps === undefined
      ? undefined
      : model.range((m) => jouleHeat(amps, resistance) * warmFactor(m, contact, solve(m)[name]!));
  const dropNow = warmDrop(load, contact, model.nominal);
  const lasting = steadyTemperature ?? cycleTemperature;
  const near = (by: number): StatedResistance => ({
    resistance: Math.max(0, resistance + by * (uncertainty ?? 0)),
    reference,
  });
  return omitUndefined({
    key,
    resistance,
    reference,
    uncertainty,
    uncertainties:
      uncertainty === undefined
        ? undefined
        : propagatedUncertainties(contact, uncertainty, { load, model, cable }),
    ...heats(load, resistance),
    warmSteady: warm('steadyTemperature', load.steady),
    warmPeak: warm('peakTemperature', load.peak),
    dropAtPeak: current === undefined ? undefined : voltageDrop(current, resistance),
    warmDrop: dropNow?.drop,
    ...(current !== undefined && plating && contactReach(plating, contact, current, { load, model })),
    spotTemperature: dropNow && model.range((m) => warmDrop(load, contact, m)!.spots, cools(load)),
    spotRadius: spotRadius(copperResistivity(ROOM), resistance),
    steadyTemperature,
    peakTemperature,
    firstRoundTemperature,
    cycleTemperature,
    ...(temperatureClass !== undefined && {
      ...timesToClass(model.nominal, contact, temperatureClass, load),
      earliest: timesToClass(model.warmest, near(1), temperatureClass, load),
      latest: timesToClass(model.coolest, near(-1), temperatureClass, load),
    }),
    runaway: runawayOf(lasting),
    touch: touchOf(load, contact, model),
    beyondModel: [steadyTemperature, peakTemperature, cycleTemperature].some(
      (t) => t !== undefined && t.value > COPPER_MELTS,
    ),
    cableLength: cable && resistance / cable.resistance,
  });
}

function runawayOf(range: ValueRange | undefined): Runaway {
  if (range?.low === Infinity) return 'certain';
  if (range?.value === Infinity) return 'expected';
  return range?.high === Infinity ? 'possible' : 'none';
}

/** K at which the resistivity of the spot's metal is taken. */
const ROOM = 293.15;

/** GUM first order: the reading's uncertainty in every figure that follows from it, expanded as the reading's is. */
function propagatedUncertainties(
  { resistance, reference }: StatedResistance,
  expanded: number,
  { load, model, cable }: RowContext,
): Readonly<Partial<Record<HeatQuantity, number>>> {
  const figures = (ohm: number): Readonly<Partial<Record<HeatQuantity, number>>> => {
    const contact = { resistance: ohm, reference };
    const warm = temperatures(load, contact, model.nominal);
    const current = highestCurrent(load);
    const power = (amps: number | undefined, kelvin: number | undefined): number | undefined =>
      amps === undefined || kelvin === undefined
        ? undefined
        : jouleHeat(amps, ohm) * warmFactor(model.nominal, contact, kelvin);
    return omitUndefined({
      ...heats(load, ohm),
      ...warm,
      warmSteady: power(load.steady, warm.steadyTemperature),
      warmPeak: power(load.peak, warm.peakTemperature),
      dropAtPeak: current === undefined ? undefined : voltageDrop(current, ohm),
      spotTemperature: warmDrop(load, contact, model.nominal)?.spots,
      cableLength: cable && ohm / cable.resistance,
    });
  };
  const at = figures(resistance);
  const input = [{ value: resistance, uncertainty: expanded / 2 }];
  const spread = FIGURES.filter((figure) => at[figure] !== undefined).map(
    (figure) => [figure, 2 * propagate(([ohm]) => figures(ohm!)[figure]!, input).uncertainty] as const,
  );
  // Where one side has no end, there is nothing to state.
  return Object.fromEntries(spread.filter(([, value]) => Number.isFinite(value)));
}

/** Whether the warm contact reaches its plating's voltages: not even at the warm end, as assumed, or by what was added. */
function contactReach(
  plating: Plating,
  contact: StatedResistance,
  current: number,
  { load, model }: Omit<RowContext, 'cable'>,
): Pick<HeatRow, 'softening' | 'melting'> {
  const reach = (threshold: number): ThresholdVerdict => {
    const at = (m: SurroundedNetwork): ThresholdVerdict => {
      const warm = warmDrop(load, contact, m);
      if (!warm) return reachesVoltage(current, contact.resistance, threshold, load.asNew);
      const scale = warm.drop === Infinity ? Infinity : warm.drop / voltageDrop(current, contact.resistance);
      const asNew = load.asNew === undefined ? undefined : load.asNew * scale;
      return reachesVoltage(
        current,
        contact.resistance * scale,
        thresholdVoltage(threshold, warm.bulk),
        asNew,
      );
    };
    const nominal = at(model.nominal);
    return nominal === 'below' && at(model.warmest) !== 'below' ? 'possible' : nominal;
  };
  const { softening, melting } = CONTACT_VOLTAGES[plating];
  return { softening: reach(softening), melting: reach(melting) };
}

/** `undefined` without a load that lasts. */
function touchOf(load: LoadCase, contact: StatedResistance, model: ThermalModel): Touch | undefined {
  if (load.steady === undefined && !load.cycle) return undefined;
  const temperature = model.range((m) => lastingTemperature(m, contact, load, 'body')!);
  const threshold = burnThreshold(1).low;
  const until = (m: SurroundedNetwork): number | undefined =>
    lastingTimeTo(m, contact, load, threshold, 'body');
  // A contact that hands its heat on at once warms the body early; one that does not has more heat to hand on.
  const soonest = [model.warmestBody, model.warmest].map(until).filter((time) => time !== undefined);
  const safe = longestContactWithoutBurn(temperature.high);
  return omitUndefined({
    temperature,
    burnsAfter: safe >= LONGEST_CONTACT ? undefined : safe,
    withoutBurn: safe,
    threshold,
    time: until(model.nominal),
    earliest: soonest.length === 0 ? undefined : Math.min(...soonest),
  });
}

/** s, the longest contact that the standard lists. */
const LONGEST_CONTACT = 28_800;

/** Absent, not present and undefined: a gap in the answer is a key that is not there. */
export function omitUndefined<T extends object>(record: T): T {
  return Object.fromEntries(Object.entries(record).filter(([, value]) => value !== undefined)) as T;
}
