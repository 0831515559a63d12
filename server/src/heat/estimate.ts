/**
 * One estimate for every place that shows heat: hover, hints, findings, report. Plain SI numbers in, plain SI numbers
 * out. What is not given leaves gaps in the answer; only the thermal model is filled with assumptions, and those are
 * listed.
 */
import { say } from '../language/phrase.ts';
import type { Phrase } from '../language/phrase.ts';
import type { Assumption, AssumptionKey } from './assumptions.ts';
import { largestResistances } from './budget.ts';
import type { LargestResistances } from './budget.ts';
import { cableResistance, copperFactor, copperFactorHolds } from './conductor.ts';
import type { CableResistance } from './conductor.ts';
import type { Plating } from './contact.ts';
import { heats, omitUndefined, rowOf } from './heat-row.ts';
import type { HeatRow, RowKey } from './heat-row.ts';
import type { CurrentSegment, StatedResistance } from './joule.ts';
import { dutyCycle, usable } from './load.ts';
import type { LoadCase, UsableDutyCycle } from './load.ts';
import { REFERENCE_TEMPERATURE, thermalModel } from './model.ts';
import type { SurroundedNetwork } from './model.ts';
import { timeConstants } from './thermal.ts';
import { conformanceProbability, judge } from './uncertainty.ts';
import type { Judgement } from './uncertainty.ts';

/** Belongs to every output that shows a number from here. */
export const ESTIMATE_NOTE = say`An estimate for planning, not a measurement: the vehicle maker's limit and procedure decide. Only a qualified high-voltage technician may measure, and only after the high-voltage system is proven dead.`;

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
  /** K for which these are stated; 20 °C where absent */
  readonly reference?: number;
  /** Ω as read; `uncertainty` is the expanded one (k = 2), `at` K of the connector when it was read */
  readonly measured?: { readonly value: number; readonly uncertainty?: number; readonly at?: number };
  readonly plating?: Plating;
  /** m² of copper */
  readonly cableArea?: number;
  /** K, the highest temperature the connector is rated for */
  readonly temperatureClass?: number;
  /** K of the air around the connector */
  readonly ambient?: number;
  /** W of the whole connector at steady current, and on average over a duty cycle */
  readonly budget?: number;
  /** Contacts that share the connector's body, if stated; and how many its class usually has */
  readonly poles?: number;
  readonly usualPoles?: number;
  /** Where on the body it sits: decides what air is assumed around it. */
  readonly zone?: string;
  readonly thermal?: Partial<Record<Exclude<AssumptionKey, 'ambient'>, number>>;
}

/** The plain numbers of the input that could be used. */
type UsableInput = Readonly<Partial<Record<keyof typeof UNITS, number>>>;

interface GivenInput {
  readonly key: string;
  readonly value: number | string;
  /** SI unit; empty for words */
  readonly unit: string;
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
  readonly largestResistance: LargestResistances;
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
  reference: 'K',
  budget: 'W',
  poles: '',
} as const;

const THERMAL_UNITS: Readonly<Record<Exclude<AssumptionKey, 'ambient'>, string>> = {
  contactCapacity: 'J/K',
  bodyCapacity: 'J/K',
  contactToBody: 'K/W',
  bodyToSurroundings: 'K/W',
  coefficient: '1/K',
  cableRise: 'K',
  cableSurface: 'W/(m² K)',
  cableShare: '',
};

const keysOf = <T extends object>(record: T): (keyof T & string)[] =>
  Object.keys(record) as (keyof T & string)[];

/**
 * Estimates the heat of one connector. Never throws and never answers NaN: an input that is missing, not positive,
 * not finite or beyond all sense (a temperature outside 200 K to 700 K, a duty cycle with a piece that lasts no time)
 * counts as not given. Currents count by their magnitude. The load sets the current, whatever the resistance does.
 */
export function estimateHeat(input: HeatInput): HeatEstimate {
  const { numbers, given, thermal } = usableOf(input);
  const { asNew, limit, cableArea } = numbers;
  const cycle = dutyCycle(input.cycle);
  if (cycle) {
    const value = cycle.pieces.map(({ current, duration }) => `${current} A for ${duration} s`).join(', ');
    given.push({ key: 'dutyCycle', value, unit: '' });
  }
  const reference = numbers.reference ?? REFERENCE_TEMPERATURE;
  const stated = (resistance: number): StatedResistance => ({ resistance, reference });
  const measured = readingOf(input.measured, reference);
  if (measured) {
    given.push({ key: 'measured', value: measured.resistance, unit: 'Ω' });
    if (measured.uncertainty !== undefined)
      given.push({ key: 'measuredUncertainty', value: measured.uncertainty, unit: 'Ω' });
  }

  const load: LoadCase = omitUndefined({ ...numbers, cycle, plating: input.plating });
  const model = thermalModel({
    values: thermal,
    cableArea,
    lasting: numbers.steady ?? cycle?.rms ?? numbers.peak ?? 1,
    poles: numbers.poles ?? input.usualPoles ?? 1,
    zone: input.zone,
  });
  const cable = cableArea === undefined ? undefined : cableResistance(cableArea, model.nominal.ambient);
  const row = (key: RowKey, contact: StatedResistance, uncertainty?: number): HeatRow =>
    rowOf(key, contact, { load, model, cable }, uncertainty);
  const rows: HeatRow[] = [];
  if (asNew !== undefined) rows.push(row('as-new', stated(asNew)));
  if (limit !== undefined) rows.push(row('limit', stated(limit)));
  if (measured) rows.push(row('measured', measured, measured.uncertainty));
  const clean = rows.find(({ key }) => key === 'measured') ?? rows[0];
  if (clean) {
    for (const times of [10, 100, 1000] as const) {
      rows.push(row(`dirt-${times}`, { ...clean, resistance: times * clean.resistance }));
    }
  }

  return omitUndefined({
    note: ESTIMATE_NOTE,
    rows,
    clean: clean && { row: clean.key as CleanKey, resistance: clean.resistance },
    judgement: measured && limit !== undefined ? judged(measured, limit, numbers.reference) : undefined,
    largestResistance: largestResistances(load, model, reference, numbers.poles ?? 1),
    cycle,
    cable: cable && { ...cable, ...heats(load, cable.resistance) },
    model: {
      ...model.nominal,
      ...timeConstants(model.nominal.network),
      coolest: model.coolest,
      warmest: model.warmest,
    },
    known: numbers,
    given,
    assumptions: model.assumptions,
  });
}

/** The plain numbers of an input that can be used, and the list of what was given. */
function usableOf(input: HeatInput): {
  numbers: { -readonly [K in keyof UsableInput]: UsableInput[K] };
  given: GivenInput[];
  thermal: Partial<Record<AssumptionKey, number>>;
} {
  const numbers: { -readonly [K in keyof UsableInput]: UsableInput[K] } = {};
  const given: GivenInput[] = [];
  for (const key of keysOf(UNITS)) {
    const value = UNITS[key] === 'A' ? Math.abs(input[key] ?? NaN) : input[key];
    if (!usable(value) || (UNITS[key] === 'K' && !isPlausibleTemperature(value))) continue;
    numbers[key] = value;
    given.push({ key, value, unit: UNITS[key] });
  }
  if (input.plating) given.push({ key: 'plating', value: input.plating, unit: '' });
  const thermal: Partial<Record<AssumptionKey, number>> = {};
  if (numbers.ambient !== undefined) thermal.ambient = numbers.ambient;
  for (const key of keysOf(THERMAL_UNITS)) {
    const value = input.thermal?.[key];
    if (!usable(value)) continue;
    thermal[key] = value;
    given.push({ key, value, unit: THERMAL_UNITS[key] });
  }
  return { numbers, given, thermal };
}

type CleanKey = NonNullable<HeatEstimate['clean']>['row'];

interface Reading extends StatedResistance {
  /** Ω, expanded (k = 2) */
  readonly uncertainty?: number;
  /** K at which it was read, where that is stated */
  readonly at?: number;
}

/** A reading is taken at the temperature it states, else at the one for which as-new and limit hold. */
function readingOf(measured: HeatInput['measured'], reference: number): Reading | undefined {
  if (!usable(measured?.value)) return undefined;
  const at = measured.at !== undefined && isPlausibleTemperature(measured.at) ? measured.at : undefined;
  return omitUndefined({
    resistance: measured.value,
    reference: at ?? reference,
    uncertainty: usable(measured.uncertainty) ? measured.uncertainty : undefined,
    at,
  });
}

/** As the findings judge it: converted by copper's line where both temperatures are stated. */
function judged(
  { resistance, uncertainty, at }: Reading,
  limit: number,
  reference: number | undefined,
): NonNullable<HeatEstimate['judgement']> {
  const converts =
    at !== undefined && reference !== undefined && copperFactorHolds(at) && copperFactorHolds(reference);
  const factor = converts ? copperFactor(reference) / copperFactor(at) : 1;
  const value = resistance * factor;
  if (uncertainty === undefined) return judge(value, undefined, limit);
  const expanded = uncertainty * factor;
  const probability = conformanceProbability({ value, uncertainty: expanded / 2 }, limit);
  return { ...judge(value, expanded, limit), probability };
}
