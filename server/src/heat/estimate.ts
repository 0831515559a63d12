/**
 * One estimate for every place that shows heat: hover, hints, findings, report. Plain SI numbers in, plain SI numbers
 * out. What is not given leaves gaps in the answer; only the thermal model is filled with assumptions, and those are
 * listed.
 */
import type { Assumption, AssumptionKey } from './assumptions.ts';
import { cycleRisePerOhm, heatOfCycle, resistanceForHeat, resistanceForRise, risePerOhm } from './budget.ts';
import { cableResistance, copperResistivity } from './conductor.ts';
import type { CableResistance } from './conductor.ts';
import {
  CONTACT_VOLTAGES,
  constrictionTemperature,
  reachesVoltage,
  spotRadius,
  voltageDrop,
} from './contact.ts';
import type { Plating, ThresholdVerdict } from './contact.ts';
import { cycleTimeToRise } from './duty.ts';
import { dutyHeat, jouleHeat, rmsCurrent } from './joule.ts';
import { say } from '../language/phrase.ts';
import type { Phrase } from '../language/phrase.ts';
import type { CurrentSegment } from './joule.ts';
import { NETWORK_KEYS, thermalModel } from './model.ts';
import type { ValueRange, SurroundedNetwork, ThermalModel } from './model.ts';
import { AT_REST, steadyRise, timeConstants, timeToRise } from './thermal.ts';
import type { ThermalNetwork } from './thermal.ts';
import { burnThreshold, longestContactWithoutBurn } from './touch.ts';
import { conformanceProbability, judge, propagate } from './uncertainty.ts';
import type { Judgement } from './uncertainty.ts';

/** Belongs to every output that shows a number from here. */
export const ESTIMATE_NOTE = say`An estimate for planning, not a measurement: the vehicle maker's limit and procedure decide. Only a qualified high-voltage technician measures, on a vehicle that is proven dead.`;

/** K at which copper melts (ITS-90 fixed point): from here on a computed temperature only says “destroyed before”. */
export const COPPER_MELTS = 1357.77;

export interface HeatInput {
  /** A, the current of steady driving or charging */
  readonly steady?: number;
  /** A, the highest current of a moment, and s that it lasts */
  readonly peak?: number;
  readonly peakTime?: number;
  /** Constant currents, one after the other, that repeat; either direction */
  readonly cycle?: readonly CurrentSegment[];
  /** Ω from terminal to terminal: of a clean new connector, and the highest that is accepted */
  readonly asNew?: number;
  readonly limit?: number;
  /** Ω as read; `uncertainty` is the expanded one (k = 2) */
  readonly measured?: { readonly value: number; readonly uncertainty?: number };
  readonly plating?: Plating;
  /** m² of copper */
  readonly cableArea?: number;
  /** K, the highest temperature the connector is rated for */
  readonly temperatureClass?: number;
  /** K of the air around the connector */
  readonly ambient?: number;
  /** W at steady current, and on average over a duty cycle */
  readonly budget?: number;
  readonly thermal?: Partial<ThermalNetwork>;
}

export type RowKey = 'as-new' | 'limit' | 'measured' | 'dirt-10' | 'dirt-100' | 'dirt-1000';

/** Figures of a row that are plain numbers of its resistance: W, W, W, V, K, K, K, K, m. */
export const FIGURES = [
  'steady',
  'peak',
  'cycle',
  'dropAtPeak',
  'steadyTemperature',
  'peakTemperature',
  'cycleTemperature',
  'spotTemperature',
  'cableLength',
] as const;
export type HeatQuantity = (typeof FIGURES)[number];

/** What a hand meets on the outside after a long time under load. Thresholds: ISO 13732-1, bare metal (from memory). */
interface Touch {
  /** K of the connector's body at steady current or, where none is given, at its warmest in the duty cycle */
  readonly temperature: ValueRange;
  /**
   * longest contact time in s listed by the standard without a burn at that temperature; 0 if not even 1 s
   */
  readonly withoutBurn: number;
  /** K at which bare metal may burn skin within one second */
  readonly threshold: number;
  /** s from cold until the body passes it, as assumed and at the earliest; absent when it never does */
  readonly time?: number;
  readonly earliest?: number;
}

export interface TimesToClass {
  /** s from cold at steady current until the contact passes its temperature class; absent when it never does */
  readonly steadyTimeToClass?: number;
  /** s of peak after steady current until it does, 0 when steady current is enough; absent when it never does */
  readonly peakTimeToClass?: number;
  /** s from cold, the duty cycle repeated, until it does; absent when it never does */
  readonly cycleTimeToClass?: number;
}

export interface HeatRow extends TimesToClass {
  readonly key: RowKey;
  /** Ω, terminal to terminal */
  readonly resistance: number;
  /** Ω, expanded (k = 2); of a reading that states it */
  readonly uncertainty?: number;
  /** What that uncertainty makes of the row's other figures (GUM first order, expanded, k = 2), each in its own unit. */
  readonly uncertainties?: Readonly<Partial<Record<HeatQuantity, number>>>;
  /** W at steady and at peak current, and on average over the duty cycle */
  readonly steady?: number;
  readonly peak?: number;
  readonly cycle?: number;
  /** V at the highest current; an upper bound of the voltage across the contact itself, for crimps share it */
  readonly dropAtPeak?: number;
  /** Whether the contact reaches its plating's softening and melting voltages at the highest current. */
  readonly softening?: ThresholdVerdict;
  readonly melting?: ThresholdVerdict;
  /** K inside the spots behind that drop, at most, with the contact around them as warm as estimated (Holm) */
  readonly spotTemperature?: ValueRange;
  /** m, radius at least, if all contact were one round spot of copper */
  readonly spotRadius: number;
  /** K of the contact after a long time at steady current, and at the end of a peak that follows it */
  readonly steadyTemperature?: ValueRange;
  readonly peakTemperature?: ValueRange;
  /** K of the contact at its hottest in the duty cycle: in the first round from cold, and once it has settled */
  readonly firstRoundTemperature?: ValueRange;
  readonly cycleTemperature?: ValueRange;
  /** The same times where every assumption is at its warmest. */
  readonly earliest?: TimesToClass;
  readonly touch?: Touch;
  /**
   * A temperature in this row is above copper's melting point, i.e. the contact would already be destroyed.
   */
  readonly beyondModel: boolean;
  /** m of the connector's own cable that give off the same heat at any current */
  readonly cableLength?: number;
}

/** The plain numbers of the input that could be used. */
type UsableInput = Readonly<Partial<Record<keyof typeof UNITS, number>>>;

interface GivenInput {
  readonly key: string;
  readonly value: number | string;
  /** SI unit; empty for words */
  readonly unit: string;
}

/** A duty cycle as it was used. */
export interface UsableDutyCycle {
  readonly pieces: readonly CurrentSegment[];
  /** s */
  readonly duration: number;
  /** A: root mean square over a round, and the highest in either direction */
  readonly rms: number;
  readonly highest: number;
}

export interface HeatEstimate {
  readonly note: Phrase;
  /** As-new, limit and measured as given, then the dirt rows, by rising multiple. */
  readonly rows: readonly HeatRow[];
  /** The clean resistance that the dirt rows multiply. */
  readonly clean?: { readonly row: 'measured' | 'as-new' | 'limit'; readonly resistance: number };
  /** The reading against the limit, with the rule and, where an uncertainty is given, the odds that it keeps it. */
  readonly judgement?: Judgement & { readonly probability?: number };
  /**
   * Ω, the largest resistance within the heat budget (at steady current, and over the duty cycle), within the temperature
   * class (after long at steady current, at the end of the peak, over the duty cycle), and with which even the whole
   * drop stays below the softening voltage.
   */
  readonly largestResistance: {
    readonly forBudget?: number;
    readonly forCycleBudget?: number;
    readonly forSteadyTemperature?: ValueRange;
    readonly forPeakTemperature?: ValueRange;
    readonly forCycleTemperature?: ValueRange;
    readonly forSoftening?: number;
  };
  readonly cycle?: UsableDutyCycle;
  /** Per metre of the connector's own cable at the temperature of the surroundings; a warm cable gives off more. */
  readonly cable?: CableResistance & {
    readonly steady?: number;
    readonly peak?: number;
    readonly cycle?: number;
  };
  /** The thermal model that was used: K, network, and its time constants in s. */
  readonly model: SurroundedNetwork & {
    readonly fast: number;
    readonly slow: number;
    /** The ends of what the assumptions leave, for a contact that warms; equal when nothing is assumed. */
    readonly coolest: SurroundedNetwork;
    readonly warmest: SurroundedNetwork;
  };
  readonly known: UsableInput;
  readonly given: readonly GivenInput[];
  readonly assumptions: readonly Assumption[];
}

/** Larger numbers are taken for typos; their squares could overflow a double. */
const HUGE = 1e12;
const usable = (value: number | undefined): value is number =>
  value !== undefined && value >= 1 / HUGE && value <= HUGE;

/** Plausible vehicle temperatures in K; the linear model of copper's resistance is not valid outside them. */
const isPlausibleTemperature = (value: number): boolean => value >= 200 && value <= 700;

const UNITS = {
  steady: 'A',
  peak: 'A',
  peakTime: 's',
  asNew: 'Ω',
  limit: 'Ω',
  cableArea: 'm²',
  temperatureClass: 'K',
  ambient: 'K',
  budget: 'W',
} as const;

const NETWORK_UNITS: Readonly<Record<keyof ThermalNetwork, string>> = {
  contactCapacity: 'J/K',
  bodyCapacity: 'J/K',
  contactToBody: 'K/W',
  bodyToSurroundings: 'K/W',
};

const keysOf = <T extends object>(record: T): (keyof T & string)[] =>
  Object.keys(record) as (keyof T & string)[];

/**
 * Estimates the heat of one connector. Never throws and never answers NaN: an input that is missing, not positive,
 * not finite or beyond all sense (a temperature outside 200 K to 700 K, a duty cycle with a piece that lasts no time)
 * counts as not given. The load sets the current, whatever the resistance does.
 */
export function estimateHeat(input: HeatInput): HeatEstimate {
  const given: GivenInput[] = [];
  const numbers: { -readonly [K in keyof UsableInput]: UsableInput[K] } = {};
  for (const key of keysOf(UNITS)) {
    const value = input[key];
    if (!usable(value) || (UNITS[key] === 'K' && !isPlausibleTemperature(value))) continue;
    numbers[key] = value;
    given.push({ key, value, unit: UNITS[key] });
  }
  const { asNew, limit, cableArea } = numbers;
  const measured = usable(input.measured?.value) ? input.measured.value : undefined;
  const uncertainty =
    measured !== undefined && usable(input.measured?.uncertainty) ? input.measured.uncertainty : undefined;
  if (measured !== undefined) given.push({ key: 'measured', value: measured, unit: 'Ω' });
  if (uncertainty !== undefined) given.push({ key: 'measuredUncertainty', value: uncertainty, unit: 'Ω' });
  if (input.plating) given.push({ key: 'plating', value: input.plating, unit: '' });
  const cycle = dutyCycle(input.cycle);
  if (cycle) {
    const value = cycle.pieces.map(({ current, duration }) => `${current} A for ${duration} s`).join(', ');
    given.push({ key: 'dutyCycle', value, unit: '' });
  }
  const thermal: Partial<Record<AssumptionKey, number>> = { ambient: numbers.ambient };
  for (const key of NETWORK_KEYS) {
    const value = input.thermal?.[key];
    if (!usable(value)) continue;
    thermal[key] = value;
    given.push({ key, value, unit: NETWORK_UNITS[key] });
  }
  const model = thermalModel(thermal);
  const { ambient, network } = model.nominal;
  const cable = cableArea === undefined ? undefined : cableResistance(cableArea, ambient);

  const load = loadCase({ ...numbers, cycle, plating: input.plating });
  const row = (key: RowKey, resistance: number): HeatRow => rowOf(key, resistance, load, model, cable);
  const rows: HeatRow[] = [];
  if (asNew !== undefined) rows.push(row('as-new', asNew));
  if (limit !== undefined) rows.push(row('limit', limit));
  if (measured !== undefined) {
    const read = row('measured', measured);
    rows.push(
      uncertainty === undefined
        ? read
        : {
            ...read,
            uncertainty,
            uncertainties: propagatedUncertainties(read, uncertainty, load, model, cable),
          },
    );
  }
  const clean = cleanResistance(measured, asNew, limit);
  if (clean) {
    for (const times of [10, 100, 1000] as const) rows.push(row(`dirt-${times}`, times * clean.resistance));
  }

  return omitUndefined({
    note: ESTIMATE_NOTE,
    rows,
    clean,
    judgement:
      measured === undefined || limit === undefined
        ? undefined
        : omitUndefined({
            ...judge(measured, uncertainty, limit),
            probability:
              uncertainty === undefined
                ? undefined
                : conformanceProbability({ value: measured, uncertainty: uncertainty / 2 }, limit),
          }),
    largestResistance: largestResistance(load, model),
    cycle,
    cable: cable && omitUndefined({ ...cable, ...heats(load, cable.resistance) }),
    model: { ...model.nominal, ...timeConstants(network), coolest: model.coolest, warmest: model.warmest },
    known: numbers,
    given,
    assumptions: model.assumptions,
  });
}

/** The load on the connector and the limits it is compared with. */
interface LoadCase extends UsableInput {
  readonly cycle?: UsableDutyCycle;
  readonly plating?: Plating;
  /** K/Ω in each case that is given. */
  perOhm(network: ThermalNetwork): Readonly<Partial<Record<Temperature, number>>>;
}

function loadCase(asked: Omit<LoadCase, 'perOhm'>): LoadCase {
  const { steady, peak, peakTime, cycle } = asked;
  const hasPeak = steady !== undefined && peak !== undefined && peakTime !== undefined;
  // All rows use the same few networks.
  const known = new Map<ThermalNetwork, ReturnType<LoadCase['perOhm']>>();
  return {
    ...omitUndefined(asked),
    perOhm(network) {
      let found = known.get(network);
      if (!found) {
        found = {
          steadyTemperature: steady === undefined ? undefined : risePerOhm(network, { steady }),
          peakTemperature: hasPeak ? risePerOhm(network, { steady, peak, peakTime }) : undefined,
          firstRoundTemperature: cycle && cycleRisePerOhm(network, cycle.pieces, 'first'),
          cycleTemperature: cycle && cycleRisePerOhm(network, cycle.pieces, 'settled'),
        };
        known.set(network, found);
      }
      return found;
    },
  };
}

function dutyCycle(pieces: readonly CurrentSegment[] | undefined): UsableDutyCycle | undefined {
  if (!pieces || pieces.length === 0) return undefined;
  const currents = pieces.map(({ current }) => Math.abs(current));
  const sound = pieces.every(({ duration }, i) => usable(duration) && currents[i]! <= HUGE);
  const highest = Math.max(...currents);
  if (!sound || !usable(highest)) return undefined;
  const duration = pieces.reduce((sum, piece) => sum + piece.duration, 0);
  return { pieces, duration, rms: rmsCurrent(pieces), highest };
}

/** W at steady and peak current, and on average over the duty cycle. */
function heats(
  { steady, peak, cycle }: LoadCase,
  resistance: number,
): Pick<HeatRow, 'steady' | 'peak' | 'cycle'> {
  return {
    steady: steady === undefined ? undefined : jouleHeat(steady, resistance),
    peak: peak === undefined ? undefined : jouleHeat(peak, resistance),
    cycle: cycle && dutyHeat(cycle.pieces, resistance),
  };
}

/** K of the contact in each case that is given. */
function temperatures(
  load: LoadCase,
  resistance: number,
  { ambient, network }: SurroundedNetwork,
): Readonly<Partial<Record<Temperature, number>>> {
  const perOhm = load.perOhm(network);
  return Object.fromEntries(
    TEMPERATURES.filter((name) => perOhm[name] !== undefined).map((name) => [
      name,
      ambient + resistance * perOhm[name]!,
    ]),
  );
}

const TEMPERATURES = [
  'steadyTemperature',
  'peakTemperature',
  'firstRoundTemperature',
  'cycleTemperature',
] as const;
type Temperature = (typeof TEMPERATURES)[number];

/** A peak below the steady current cools the contact. */
const cools = ({ steady, peak }: LoadCase): boolean => (peak ?? Infinity) < (steady ?? 0);

/** A, the highest current of a moment that is given. */
const highestCurrent = ({ peak, cycle }: LoadCase): number | undefined => peak ?? cycle?.highest;

/**
 * K inside the contact's spots at the highest current, at most: the whole drop across the constriction, in metal as warm
 * as the contact then is. `undefined` where that is not known.
 */
function spotTemperature(
  load: LoadCase,
  resistance: number,
  { peakTemperature, cycleTemperature }: ReturnType<typeof temperatures>,
): number | undefined {
  const current = highestCurrent(load);
  const bulk = load.peak === undefined ? cycleTemperature : peakTemperature;
  return current === undefined || bulk === undefined
    ? undefined
    : constrictionTemperature(bulk, voltageDrop(current, resistance));
}

function rowOf(
  key: RowKey,
  resistance: number,
  load: LoadCase,
  model: ThermalModel,
  cable: CableResistance | undefined,
): HeatRow {
  const { temperatureClass, plating } = load;
  const current = highestCurrent(load);
  const nominal = temperatures(load, resistance, model.nominal);
  const ranged = (name: Temperature): ValueRange | undefined =>
    nominal[name] === undefined
      ? undefined
      : model.range(
          (m) => temperatures(load, resistance, m)[name]!,
          name === 'peakTemperature' && cools(load),
        );
  const [steadyTemperature, peakTemperature, firstRoundTemperature, cycleTemperature] =
    TEMPERATURES.map(ranged);
  const spot = (m: SurroundedNetwork): number | undefined =>
    spotTemperature(load, resistance, temperatures(load, resistance, m));
  return omitUndefined({
    key,
    resistance,
    ...heats(load, resistance),
    dropAtPeak: current === undefined ? undefined : voltageDrop(current, resistance),
    ...(current !== undefined && plating && contactReach(plating, current, resistance, load.asNew)),
    spotTemperature:
      spot(model.nominal) === undefined ? undefined : model.range((m) => spot(m)!, cools(load)),
    spotRadius: spotRadius(copperResistivity(ROOM), resistance),
    steadyTemperature,
    peakTemperature,
    firstRoundTemperature,
    cycleTemperature,
    ...(temperatureClass !== undefined && {
      ...timesToClass(model.nominal, resistance, temperatureClass, load),
      earliest: timesToClass(model.warmest, resistance, temperatureClass, load),
    }),
    touch: touchOf(load, resistance, model),
    beyondModel: [steadyTemperature, peakTemperature, cycleTemperature].some(
      (t) => t !== undefined && t.value > COPPER_MELTS,
    ),
    cableLength: cable && resistance / cable.resistance,
  });
}

/** K at which the resistance of the spot's metal is taken: cold, so that the radius stays a lower bound. */
const ROOM = 293.15;

/**
 * First-order propagation (GUM) of the reading's uncertainty to every derived figure; expanded like the
 * reading's.
 */
function propagatedUncertainties(
  { resistance }: HeatRow,
  expanded: number,
  load: LoadCase,
  model: ThermalModel,
  cable: CableResistance | undefined,
): Readonly<Partial<Record<HeatQuantity, number>>> {
  const figures = (ohm: number): Readonly<Partial<Record<HeatQuantity, number>>> => {
    const warm = temperatures(load, ohm, model.nominal);
    const current = highestCurrent(load);
    return {
      ...heats(load, ohm),
      ...warm,
      dropAtPeak: current === undefined ? undefined : voltageDrop(current, ohm),
      spotTemperature: spotTemperature(load, ohm, warm),
      cableLength: cable && ohm / cable.resistance,
    };
  };
  const at = figures(resistance);
  const input = [{ value: resistance, uncertainty: expanded / 2 }];
  return Object.fromEntries(
    FIGURES.filter((figure) => at[figure] !== undefined).map((figure) => [
      figure,
      2 * propagate(([ohm]) => figures(ohm!)[figure]!, input).uncertainty,
    ]),
  );
}

function largestResistance(load: LoadCase, model: ThermalModel): HeatEstimate['largestResistance'] {
  const { steady, cycle, budget, temperatureClass, plating } = load;
  const current = highestCurrent(load);
  const within = (name: Temperature, cooling = false): ValueRange | undefined =>
    temperatureClass === undefined || load.perOhm(model.nominal.network)[name] === undefined
      ? undefined
      : model.range(
          ({ ambient, network }) =>
            resistanceForRise(load.perOhm(network)[name]!, temperatureClass - ambient),
          cooling,
        );
  return omitUndefined({
    forBudget: budget === undefined || steady === undefined ? undefined : resistanceForHeat(budget, steady),
    forCycleBudget: budget === undefined || !cycle ? undefined : resistanceForHeat(budget, cycle.rms),
    forSteadyTemperature: within('steadyTemperature'),
    forPeakTemperature: within('peakTemperature', cools(load)),
    forCycleTemperature: within('cycleTemperature'),
    forSoftening:
      plating && current !== undefined ? CONTACT_VOLTAGES[plating].softening / current : undefined,
  });
}

function contactReach(
  plating: Plating,
  current: number,
  resistance: number,
  asNew: number | undefined,
): Pick<HeatRow, 'softening' | 'melting'> {
  const { softening, melting } = CONTACT_VOLTAGES[plating];
  return {
    softening: reachesVoltage(current, resistance, softening, asNew),
    melting: reachesVoltage(current, resistance, melting, asNew),
  };
}

function timesToClass(
  { ambient, network }: SurroundedNetwork,
  resistance: number,
  temperatureClass: number,
  { steady, peak, cycle }: LoadCase,
): TimesToClass {
  const room = temperatureClass - ambient;
  const heat = steady === undefined ? undefined : jouleHeat(steady, resistance);
  return omitUndefined({
    steadyTimeToClass:
      heat === undefined ? undefined : room <= 0 ? 0 : timeToRise(network, AT_REST, heat, room),
    peakTimeToClass: heat === undefined || peak === undefined ? undefined : intoPeak(heat, peak),
    cycleTimeToClass: cycle && cycleTimeToRise(network, heatOfCycle(cycle.pieces, resistance), room),
  });

  function intoPeak(before: number, current: number): number | undefined {
    const warm = steadyRise(network, before);
    return warm.contact >= room ? 0 : timeToRise(network, warm, jouleHeat(current, resistance), room);
  }
}

/** `undefined` without a load that lasts. */
function touchOf({ steady, cycle }: LoadCase, resistance: number, model: ThermalModel): Touch | undefined {
  const heat = steady === undefined ? undefined : jouleHeat(steady, resistance);
  if (heat === undefined && !cycle) return undefined;
  const rise = ({ network }: SurroundedNetwork): number =>
    heat === undefined
      ? resistance * cycleRisePerOhm(network, cycle!.pieces, 'settled', 'body')
      : steadyRise(network, heat).body;
  const temperature = model.range((m) => m.ambient + rise(m));
  const threshold = burnThreshold(1).low;
  const until = ({ ambient, network }: SurroundedNetwork): number | undefined => {
    const room = threshold - ambient;
    if (room <= 0) return 0;
    return heat === undefined
      ? cycleTimeToRise(network, heatOfCycle(cycle!.pieces, resistance), room, 'body')
      : timeToRise(network, AT_REST, heat, room, 'body');
  };
  return omitUndefined({
    temperature,
    withoutBurn: longestContactWithoutBurn(temperature.value),
    threshold,
    time: until(model.nominal),
    earliest: until(model.warmestBody),
  });
}

function cleanResistance(measured?: number, asNew?: number, limit?: number): HeatEstimate['clean'] {
  if (measured !== undefined) return { row: 'measured', resistance: measured };
  if (asNew !== undefined) return { row: 'as-new', resistance: asNew };
  return limit === undefined ? undefined : { row: 'limit', resistance: limit };
}

/** Removes keys whose value is `undefined`: unknown results are absent keys. */
function omitUndefined<T extends object>(record: T): T {
  return Object.fromEntries(Object.entries(record).filter(([, value]) => value !== undefined)) as T;
}
