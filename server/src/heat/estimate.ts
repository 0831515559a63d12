/**
 * One estimate for every place that shows heat: hover, hints, findings, report. Plain SI numbers in, plain SI numbers
 * out. What is not given leaves gaps in the answer; only the thermal model is filled with assumptions, and those are
 * listed.
 */
import { ASSUMED } from './assumptions.ts';
import type { Assumption, AssumptionKey } from './assumptions.ts';
import { resistanceForHeat, resistanceForRise } from './budget.ts';
import { cableResistance } from './conductor.ts';
import type { CableResistance } from './conductor.ts';
import { CONTACT_VOLTAGES, reachesVoltage, voltageDrop } from './contact.ts';
import type { Plating, Reach } from './contact.ts';
import { jouleHeat } from './joule.ts';
import { AT_REST, riseAfter, steadyRise, timeConstants, timeToRise } from './thermal.ts';
import type { ThermalNetwork } from './thermal.ts';
import { judge } from './uncertainty.ts';
import type { Judgement } from './uncertainty.ts';

/** Belongs to every output that shows a number from here. */
export const ESTIMATE_NOTE =
  "An estimate for planning, not a measurement: the vehicle maker's limit and procedure decide. Only a qualified high-voltage technician measures, on a vehicle that is proven dead.";

/** K at which copper melts (ITS-90 fixed point): from here on a computed temperature only says “destroyed before”. */
export const COPPER_MELTS = 1357.77;

export interface HeatInput {
  /** A, the current of steady driving or charging */
  readonly steady?: number;
  /** A, the highest current of a moment, and s that it lasts */
  readonly peak?: number;
  readonly peakTime?: number;
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
  /** W at steady current */
  readonly budget?: number;
  readonly thermal?: Partial<ThermalNetwork>;
}

/** A value with the range that the assumptions leave; the ends meet it when nothing is assumed. */
export interface Ranged {
  readonly value: number;
  readonly low: number;
  readonly high: number;
}

/** A thermal network and K of what surrounds it. */
export interface SurroundedNetwork {
  readonly ambient: number;
  readonly network: ThermalNetwork;
}

export type RowKey = 'as-new' | 'limit' | 'measured' | 'dirt-10' | 'dirt-100' | 'dirt-1000';

export interface HeatRow {
  readonly key: RowKey;
  /** Ω, terminal to terminal */
  readonly resistance: number;
  /** Ω, expanded (k = 2); of a reading that states it */
  readonly uncertainty?: number;
  /** W at steady and at peak current */
  readonly steady?: number;
  readonly peak?: number;
  /** V at peak current; an upper bound of the voltage across the contact itself, for crimps share it */
  readonly dropAtPeak?: number;
  /** Whether the contact reaches its plating's softening and melting voltages at peak current. */
  readonly softening?: Reach;
  readonly melting?: Reach;
  /** K of the contact after a long time at steady current, and at the end of a peak that follows it */
  readonly steadyTemperature?: Ranged;
  readonly peakTemperature?: Ranged;
  /** s from cold at steady current until the contact passes its temperature class; absent when it never does */
  readonly steadyTimeToClass?: number;
  /** s of peak after steady current until it does, 0 when steady current is enough; absent when it never does */
  readonly peakTimeToClass?: number;
  /** A temperature of this row lies above the melting point of copper: the contact is destroyed before. */
  readonly beyondModel: boolean;
  /** m of the connector's own cable that give off the same heat at any current */
  readonly cableLength?: number;
}

/** The plain numbers of the input that could be used. */
type Known = Readonly<Partial<Record<keyof typeof UNITS, number>>>;

interface Given {
  readonly key: string;
  readonly value: number | string;
  /** SI unit; empty for words */
  readonly unit: string;
}

export interface HeatEstimate {
  readonly note: string;
  /** As-new, limit and measured as given, then the dirt rows, by rising multiple. */
  readonly rows: readonly HeatRow[];
  /** The clean resistance that the dirt rows multiply. */
  readonly clean?: { readonly row: 'measured' | 'as-new' | 'limit'; readonly resistance: number };
  /** The reading against the limit, with the rule. */
  readonly judgement?: Judgement;
  /** Ω, largest resistance within the heat budget at steady current, and within the temperature class. */
  readonly largestResistance: {
    readonly forBudget?: number;
    readonly forSteadyTemperature?: Ranged;
    readonly forPeakTemperature?: Ranged;
  };
  /** Per metre of the connector's own cable at the temperature of the surroundings; a warm cable gives off more. */
  readonly cable?: CableResistance & { readonly steady?: number; readonly peak?: number };
  /** The thermal model that was used: K, network, and its time constants in s. */
  readonly model: SurroundedNetwork & {
    readonly fast: number;
    readonly slow: number;
    /** The ends of what the assumptions leave, for a peak above the steady current; equal when nothing is assumed. */
    readonly coolest: SurroundedNetwork;
    readonly warmest: SurroundedNetwork;
  };
  readonly known: Known;
  readonly given: readonly Given[];
  readonly assumptions: readonly Assumption[];
}

/** Numbers beyond this are slips of the pen, and squares of them would leave the range of a double. */
const HUGE = 1e12;
const usable = (value: number | undefined): value is number =>
  value !== undefined && value >= 1 / HUGE && value <= HUGE;

/** K in which a vehicle is used or rated; copper's straight line of resistance holds nowhere else. */
const earthly = (value: number): boolean => value >= 200 && value <= 700;

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

const NETWORK_UNITS = {
  contactCapacity: 'J/K',
  bodyCapacity: 'J/K',
  contactToBody: 'K/W',
  bodyToSurroundings: 'K/W',
} as const;

const keysOf = <T extends object>(record: T): (keyof T & string)[] =>
  Object.keys(record) as (keyof T & string)[];

/**
 * Estimates the heat of one connector. Never throws and never answers NaN: an input that is missing, not positive,
 * not finite or beyond all sense (a temperature outside 200 K to 700 K) counts as not given. The load sets the current,
 * whatever the resistance does.
 */
export function estimateHeat(input: HeatInput): HeatEstimate {
  const given: Given[] = [];
  const numbers: { -readonly [K in keyof Known]: Known[K] } = {};
  for (const key of keysOf(UNITS)) {
    const value = input[key];
    if (!usable(value) || (UNITS[key] === 'K' && !earthly(value))) continue;
    numbers[key] = value;
    given.push({ key, value, unit: UNITS[key] });
  }
  const { steady, peak, peakTime, asNew, limit, cableArea, temperatureClass, budget } = numbers;
  const measured = usable(input.measured?.value) ? input.measured.value : undefined;
  const uncertainty =
    measured !== undefined && usable(input.measured?.uncertainty) ? input.measured.uncertainty : undefined;
  if (measured !== undefined) given.push({ key: 'measured', value: measured, unit: 'Ω' });
  if (uncertainty !== undefined) given.push({ key: 'measuredUncertainty', value: uncertainty, unit: 'Ω' });
  if (input.plating) given.push({ key: 'plating', value: input.plating, unit: '' });

  const model = thermalModel(numbers.ambient, input.thermal ?? {}, given);
  const { ambient, network } = model.nominal;
  const cable = cableArea === undefined ? undefined : cableResistance(cableArea, ambient);

  const row = (key: RowKey, resistance: number): HeatRow => {
    const steadyTemperature =
      steady === undefined
        ? undefined
        : model.range((m) => m.ambient + steadyRise(m.network, jouleHeat(steady, resistance)).contact);
    const peakTemperature =
      steady === undefined || peak === undefined || peakTime === undefined
        ? undefined
        : model.range(
            (m) => m.ambient + afterPeak(m.network, resistance, steady, peak, peakTime),
            peak < steady,
          );
    return withoutGaps({
      key,
      resistance,
      uncertainty: key === 'measured' ? uncertainty : undefined,
      steady: steady === undefined ? undefined : jouleHeat(steady, resistance),
      peak: peak === undefined ? undefined : jouleHeat(peak, resistance),
      dropAtPeak: peak === undefined ? undefined : voltageDrop(peak, resistance),
      ...(peak !== undefined && input.plating && contactReach(input.plating, peak, resistance, asNew)),
      steadyTemperature,
      peakTemperature,
      ...(temperatureClass !== undefined &&
        timesToClass(model.nominal, resistance, temperatureClass, steady, peak)),
      beyondModel: [steadyTemperature, peakTemperature].some(
        (t) => t !== undefined && t.value > COPPER_MELTS,
      ),
      cableLength: cable && resistance / cable.resistance,
    });
  };

  const rows: HeatRow[] = [];
  if (asNew !== undefined) rows.push(row('as-new', asNew));
  if (limit !== undefined) rows.push(row('limit', limit));
  if (measured !== undefined) rows.push(row('measured', measured));
  const clean = cleanResistance(measured, asNew, limit);
  if (clean) {
    for (const times of [10, 100, 1000] as const) rows.push(row(`dirt-${times}`, times * clean.resistance));
  }

  const room = (m: SurroundedNetwork, withPeak: boolean): number =>
    resistanceForRise(
      m.network,
      withPeak ? { steady: steady!, peak, peakTime } : { steady: steady! },
      temperatureClass! - m.ambient,
    );
  const bounded = temperatureClass !== undefined && steady !== undefined;

  return withoutGaps({
    note: ESTIMATE_NOTE,
    rows,
    clean,
    judgement:
      measured === undefined || limit === undefined ? undefined : judge(measured, uncertainty, limit),
    largestResistance: withoutGaps({
      forBudget: budget === undefined || steady === undefined ? undefined : resistanceForHeat(budget, steady),
      forSteadyTemperature: bounded ? model.range((m) => room(m, false)) : undefined,
      forPeakTemperature:
        bounded && peak !== undefined && peakTime !== undefined
          ? model.range((m) => room(m, true), peak < steady)
          : undefined,
    }),
    cable:
      cable &&
      withoutGaps({
        ...cable,
        steady: steady === undefined ? undefined : jouleHeat(steady, cable.resistance),
        peak: peak === undefined ? undefined : jouleHeat(peak, cable.resistance),
      }),
    model: { ...model.nominal, ...timeConstants(network), coolest: model.coolest, warmest: model.warmest },
    known: numbers,
    given,
    assumptions: model.assumptions,
  });
}

interface ThermalModel {
  readonly nominal: SurroundedNetwork;
  readonly coolest: SurroundedNetwork;
  readonly warmest: SurroundedNetwork;
  readonly assumptions: readonly Assumption[];
  /**
   * `quantity` at the assumed values and its range over everything they may be. The contact's temperature grows with the
   * ambient and with both thermal resistances and, while it warms, falls with both capacities (`cooling`: rises), so
   * the range ends in two corners of the box. The same corners bound a largest resistance.
   */
  range(quantity: (model: SurroundedNetwork) => number, cooling?: boolean): Ranged;
}

/** Takes what is given, and adds it to the list `given`; assumes the rest. */
function thermalModel(
  ambient: number | undefined,
  thermal: Partial<ThermalNetwork>,
  given: Given[],
): ThermalModel {
  const assumptions: Assumption[] = [];
  const values = {} as Record<AssumptionKey, Ranged>;
  const settle = (key: AssumptionKey, value: number | undefined): void => {
    if (value === undefined) {
      assumptions.push(ASSUMED[key]);
      values[key] = ASSUMED[key];
    } else values[key] = { value, low: value, high: value };
  };
  settle('ambient', ambient);
  for (const key of keysOf(NETWORK_UNITS)) {
    const value = usable(thermal[key]) ? thermal[key] : undefined;
    if (value !== undefined) given.push({ key, value, unit: NETWORK_UNITS[key] });
    settle(key, value);
  }
  const pick = (resistances: keyof Ranged, capacities: keyof Ranged): SurroundedNetwork => ({
    ambient: values.ambient[resistances],
    network: {
      contactCapacity: values.contactCapacity[capacities],
      bodyCapacity: values.bodyCapacity[capacities],
      contactToBody: values.contactToBody[resistances],
      bodyToSurroundings: values.bodyToSurroundings[resistances],
    },
  });
  const nominal = pick('value', 'value');
  return {
    nominal,
    coolest: pick('low', 'high'),
    warmest: pick('high', 'low'),
    assumptions,
    range(quantity, cooling = false) {
      const ends = [
        quantity(pick('low', cooling ? 'low' : 'high')),
        quantity(pick('high', cooling ? 'high' : 'low')),
      ];
      return { value: quantity(nominal), low: Math.min(...ends), high: Math.max(...ends) };
    },
  };
}

/** Rise in K of the contact at the end of a peak that follows a long time at steady current. */
function afterPeak(
  network: ThermalNetwork,
  resistance: number,
  steady: number,
  peak: number,
  time: number,
): number {
  const start = steadyRise(network, jouleHeat(steady, resistance));
  return riseAfter(network, start, jouleHeat(peak, resistance), time).contact;
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
  steady: number | undefined,
  peak: number | undefined,
): Pick<HeatRow, 'steadyTimeToClass' | 'peakTimeToClass'> {
  if (steady === undefined) return {};
  const room = temperatureClass - ambient;
  if (room <= 0) return { steadyTimeToClass: 0, peakTimeToClass: peak === undefined ? undefined : 0 };
  const heat = jouleHeat(steady, resistance);
  const warm = steadyRise(network, heat);
  return {
    steadyTimeToClass: timeToRise(network, AT_REST, heat, room),
    peakTimeToClass:
      peak === undefined
        ? undefined
        : warm.contact >= room
          ? 0
          : timeToRise(network, warm, jouleHeat(peak, resistance), room),
  };
}

function cleanResistance(measured?: number, asNew?: number, limit?: number): HeatEstimate['clean'] {
  if (measured !== undefined) return { row: 'measured', resistance: measured };
  if (asNew !== undefined) return { row: 'as-new', resistance: asNew };
  return limit === undefined ? undefined : { row: 'limit', resistance: limit };
}

/** Absent, not present and undefined: a gap in the answer is a key that is not there. */
function withoutGaps<T extends object>(record: T): T {
  return Object.fromEntries(Object.entries(record).filter(([, value]) => value !== undefined)) as T;
}
