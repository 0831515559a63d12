import type { Assumption } from '../heat/assumptions.ts';
import { CONTACT_VOLTAGES } from '../heat/contact.ts';
import type { HeatEstimate, HeatRow, RowKey } from '../heat/estimate.ts';
import type { Ranged } from '../heat/model.ts';
import { cableOf, heatOf, readingOf } from '../heat/of-connector.ts';
import {
  assumptionText,
  durationText,
  quantityText,
  temperatureText,
  uncertainTemperature,
  uncertainText,
  whenPassed,
} from '../heat/text.ts';
import type { Judgement } from '../heat/uncertainty.ts';
import { classRules } from '../plan/classes.ts';
import type { Plan } from '../plan/plan.ts';
import type { Connector } from '../plan/scope.ts';
import { escapeMarkdown } from './markdown.ts';

const cleanWords = { measured: 'the reading', 'as-new': 'as new', limit: 'the limit' } as const;
const asWords = { measured: 'as measured', 'as-new': 'as new', limit: 'at the limit' } as const;
const rowWords: Readonly<Record<RowKey, string>> = {
  'as-new': 'as new',
  limit: 'at the limit',
  measured: '**measured**',
  'dirt-10': 'dirt, ×10',
  'dirt-100': 'dirt, ×100',
  'dirt-1000': 'dirt, ×1000',
};

/** How much is said: in a hover every figure in few words, on a page of its own the reasons too. */
type Detail = 'brief' | 'full';

/** The heat of a connector as a small Markdown table: watts, what was given, what is assumed, and the caution. */
export function heatTable(plan: Plan, connector: Connector, detail: Detail = 'brief'): string {
  const heat = heatOf(plan, connector);
  const { id, name, zone } = connector;
  const kind = connector.class ? classRules[connector.class].words : 'connector without a class';
  const title = `**${escapeMarkdown(id)}**${name === id ? '' : ` · ${escapeMarkdown(name)}`}  \n${kind}${zone ? `, in ${escapeMarkdown(zone)}` : ''}`;
  // The caution stands above the figures: a hover is seldom read to its end.
  const parts = [
    title,
    `*${heat.note}*`,
    table(heat),
    remarks(connector, heat, detail).join('  \n'),
    sources(plan, connector, heat, detail),
  ];
  return parts.filter((part) => part !== '').join('\n\n');
}

function table({ rows, known, cycle }: HeatEstimate): string {
  const { steady, peak, peakTime, temperatureClass } = known;
  if (rows.length === 0 || (steady === undefined && peak === undefined && !cycle)) return '';
  const columns: [head: string, cell: (row: HeatRow) => string][] = [
    ['contact', ({ key }) => rowWords[key]],
    ['resistance', (row) => uncertainText(row.resistance, row.uncertainty, 'Ω')],
  ];
  const watts = (figure: 'steady' | 'peak' | 'cycle') => (row: HeatRow) =>
    row[figure] === undefined ? '' : uncertainText(row[figure], row.uncertainties?.[figure], 'W');
  if (steady !== undefined) columns.push([`at ${quantityText(steady, 'A')}`, watts('steady')]);
  if (peak !== undefined) {
    const time = peakTime === undefined ? '' : ` for ${durationText(peakTime)}`;
    columns.push([`at ${quantityText(peak, 'A')}${time}`, watts('peak')]);
  }
  if (cycle) columns.push([`mean of the cycle, ${quantityText(cycle.rms, 'A')} RMS`, watts('cycle')]);
  if (rows.some(({ steadyTemperature }) => steadyTemperature)) {
    columns.push(['contact, estimated', (row) => (row.beyondModel ? 'destroyed' : hottest(row))]);
  }
  if (cycle)
    columns.push(['in the cycle, estimated', (row) => (row.beyondModel ? 'destroyed' : inCycle(row))]);
  if (temperatureClass !== undefined && (steady !== undefined || cycle)) {
    columns.push([`passes ${temperatureText(temperatureClass)}`, (row) => whenPassed(row, peakTime)]);
  }
  const lines = [
    columns.map(([head]) => head),
    columns.map((_, i) => (i === 0 ? ':--' : '--:')),
    ...rows.map((row) => columns.map(([, cell]) => cell(row))),
  ];
  return lines.map((cells) => `| ${cells.join(' | ')} |`).join('\n');
}

const hottest = ({ peakTemperature, steadyTemperature, uncertainties }: HeatRow): string =>
  peakTemperature
    ? warm(peakTemperature, uncertainties?.peakTemperature)
    : warm(steadyTemperature, uncertainties?.steadyTemperature);

const inCycle = ({ firstRoundTemperature, cycleTemperature, uncertainties }: HeatRow): string =>
  firstRoundTemperature && cycleTemperature
    ? `${temperatureText(firstRoundTemperature.value)} in the first round, later ${warm(cycleTemperature, uncertainties?.cycleTemperature)}`
    : '';

/** "109 ± 4 °C (54…198 °C)": the uncertainty of the reading, and in brackets what the assumptions leave. */
function warm(range: Ranged | undefined, uncertainty: number | undefined): string {
  if (!range) return '';
  const text = uncertainTemperature(range.value, uncertainty);
  return range.low === range.high ? text : `${text} (${degrees(range.low)}…${temperatureText(range.high)})`;
}

function remarks(connector: Connector, heat: HeatEstimate, detail: Detail): string[] {
  const { known, cable, cycle, judgement } = heat;
  const said: string[] = [];
  if (heat.clean) said.push(`Dirt multiplies ${cleanWords[heat.clean.row]}.`);
  said.push(...largest(connector, heat));
  if (judgement) {
    const odds =
      judgement.verdict === 'undecided' && judgement.probability !== undefined
        ? `, which it keeps with a probability of ${Math.round(100 * judgement.probability)} %`
        : '';
    said.push(
      `Reading against the limit: **${judgement.verdict}** (${verdicts[judgement.verdict]}${odds}; JCGM 106).`,
    );
  }
  const leading = heat.rows.find(({ key }) => key === heat.clean?.row);
  if (leading) said.push(...drop(connector, heat, leading, detail), ...touch(heat, leading));
  const length = cableOf(connector);
  if (cable && length) {
    const [heatOfMetre, when] =
      cable.steady === undefined
        ? [cable.cycle, 'over the duty cycle']
        : [cable.steady, `at ${quantityText(known.steady!, 'A')}`];
    if (heatOfMetre !== undefined) {
      said.push(
        `Yardstick: a metre of its own ${escapeMarkdown(length.text)} cable gives off ${quantityText(heatOfMetre, 'W')} ${when}.`,
      );
    }
  }
  if (cycle && detail === 'full') {
    const stretches = cycle.pieces.map(
      ({ current, duration }) => `${quantityText(current, 'A')} for ${durationText(duration)}`,
    );
    said.push(
      `Duty cycle of ${durationText(cycle.duration)}: ${stretches.join(', ')}; ${quantityText(cycle.rms, 'A')} RMS.`,
    );
  }
  return said;
}

/** The question turned round. */
function largest(connector: Connector, { known, cycle, largestResistance }: HeatEstimate): string[] {
  const { forBudget, forCycleBudget, forSteadyTemperature, forPeakTemperature, forCycleTemperature } =
    largestResistance;
  const said: string[] = [];
  const steady = known.steady === undefined ? '' : `at ${quantityText(known.steady, 'A')}`;
  const budgets = [
    forBudget === undefined ? '' : `**${quantityText(forBudget, 'Ω')}** ${steady}`,
    forCycleBudget === undefined ? '' : `**${quantityText(forCycleBudget, 'Ω')}** over the duty cycle`,
  ].filter(Boolean);
  if (budgets.length > 0) {
    const whose = connector.heatBudget ? "the connector's" : "the plan's";
    said.push(
      `Largest resistance within ${whose} heat budget of ${quantityText(known.budget!, 'W')}: ${budgets.join(', ')}.`,
    );
  }
  const within = (range: Ranged | undefined, when: string): string => {
    if (!range) return '';
    const open =
      range.low === range.high ? '' : ` (${quantityText(range.low, 'Ω')}…${quantityText(range.high, 'Ω')})`;
    return `${quantityText(range.value, 'Ω')}${open} ${when}`;
  };
  const temperatures = [
    within(forSteadyTemperature, steady),
    within(forPeakTemperature, 'after the peak'),
    within(forCycleTemperature, cycle ? 'in the duty cycle' : ''),
  ].filter(Boolean);
  if (temperatures.length > 0) {
    said.push(
      `Largest resistance within its class of ${temperatureText(known.temperatureClass!)}, estimated: ${temperatures.join('; ')}.`,
    );
  }
  return said;
}

/** The drop, and what can stand behind it. A reading from terminal to terminal bounds both from above. */
function drop(
  { plating }: Connector,
  { known, cycle, clean, largestResistance }: HeatEstimate,
  { dropAtPeak, spotTemperature, spotRadius, softening, uncertainties }: HeatRow,
  detail: Detail,
): string[] {
  const current = known.peak ?? cycle?.highest;
  if (dropAtPeak === undefined || current === undefined || !clean) return [];
  const whole = uncertainText(dropAtPeak, uncertainties?.dropAtPeak, 'V');
  const spots = spotTemperature
    ? `, so at most ${uncertainTemperature(spotTemperature.value, uncertainties?.spotTemperature)} in its spots (Holm${spotTemperature.low === spotTemperature.high ? '' : `; ${degrees(spotTemperature.low)}…${temperatureText(spotTemperature.high)} as assumed`})`
    : '';
  const said = [
    `Drop at ${quantityText(current, 'A')} ${asWords[clean.row]}: ${whole} from terminal to terminal, an upper bound for the contact itself, as crimps hold part of it${spots}.`,
  ];
  const { forSoftening } = largestResistance;
  if (plating && softening && forSoftening !== undefined) {
    said.push(
      `Its ${escapeMarkdown(plating)} softens at ${quantityText(CONTACT_VOLTAGES[plating].softening, 'V')} (Holm): ${reaches[softening]}; up to ${quantityText(forSoftening, 'Ω')} even the whole drop stays below.`,
    );
  }
  if (detail === 'full') {
    said.push(
      `If all of that resistance were one clean round spot of copper, its radius would be ${quantityText(spotRadius, 'm')} (ρ/2a, Holm); it is at least that, for crimps and films hold part of the resistance.`,
    );
  }
  return said;
}

const reaches = {
  below: 'not reached',
  possible: 'possible, the upper bound reaches it',
  likely: 'likely, what was added since new reaches it alone',
} as const;

/** What a hand meets on the outside. */
function touch({ known, clean }: HeatEstimate, { touch, beyondModel }: HeatRow): string[] {
  if (!touch || !clean || beyondModel) return [];
  const { temperature, withoutBurn, threshold, time, earliest } = touch;
  const load = known.steady === undefined ? 'in the duty cycle' : `at ${quantityText(known.steady, 'A')}`;
  const burns =
    withoutBurn === 0
      ? 'bare metal of that temperature may burn skin within 1 s'
      : withoutBurn >= 28_800
        ? 'bare metal of that temperature can be touched for hours'
        : `bare metal of that temperature may burn skin in a touch of more than ${durationText(withoutBurn)}`;
  const soonest = earliest === undefined ? '' : `${durationText(earliest)} at the earliest`;
  const passed =
    time === undefined
      ? soonest && `; ${temperatureText(threshold)}, where 1 s may burn, after ${soonest}`
      : `; ${temperatureText(threshold)}, where 1 s may burn, after ${durationText(time)}${earliest === time ? '' : ` (${soonest})`}`;
  return [
    `A hand on its body, long ${load} ${asWords[clean.row]}: ${warm(temperature, undefined)}; ${burns}${passed} (ISO 13732-1, from memory).`,
  ];
}

function sources(plan: Plan, connector: Connector, heat: HeatEstimate, detail: Detail): string {
  const { known, assumptions } = heat;
  const missing = [
    known.steady === undefined ? 'steady current' : '',
    known.peak === undefined ? 'peak current' : '',
    known.asNew === undefined ? 'resistance as new' : '',
    known.limit === undefined ? 'limit' : '',
    known.temperatureClass === undefined ? 'temperature class' : '',
    known.budget === undefined ? 'heat budget' : '',
    readingOf(plan, connector.id) ? '' : 'reading',
  ].filter(Boolean);
  const given = givenIn(plan, connector);
  const lines = [
    given.length > 0 ? `Given: ${given.join(', ')}.` : '',
    missing.length > 0 ? `Not given: ${missing.join(', ')}.` : '',
  ];
  const warmed = heat.rows.some((row) => row.steadyTemperature ?? row.cycleTemperature);
  if (warmed && assumptions.length > 0 && detail === 'brief') {
    lines.push(`Assumed for the temperatures: ${assumptions.map(assumptionText).join('; ')}.`);
  }
  const list =
    warmed && assumptions.length > 0 && detail === 'full'
      ? `\n\nAssumed for the temperatures, because nothing states it:\n${assumptions.map(inFull).join('\n')}`
      : '';
  return lines.filter(Boolean).join('  \n') + list;
}

function givenIn(plan: Plan, connector: Connector): string[] {
  const { current, resistance, plating, temperatureClass, heatBudget, thermal } = connector;
  const named: (readonly [string, { readonly text: string } | undefined])[] = [
    ['steady', current.steady],
    ['peak', current.peak],
    ['peak time', current.peakTime],
    ['duty cycle of', current.dutyCycle && { text: `${current.dutyCycle.phases.length} stretches` }],
    ['as new', resistance.asNew],
    ['limit', resistance.limit],
    ['plating', plating ? { text: plating } : undefined],
    ['cable', cableOf(connector)],
    ['rated to', temperatureClass],
    ['budget', heatBudget ?? plan.heatBudget],
    ...Object.entries(thermal).map(([key, value]) => [key.replaceAll('-', ' '), value] as const),
  ];
  return named.flatMap(([name, value]) => (value ? [`${name} ${escapeMarkdown(value.text)}`] : []));
}

const verdicts: Readonly<Record<Judgement['verdict'], string>> = {
  accepted: 'it keeps the limit by more than its uncertainty',
  rejected: 'it breaks the limit by more than its uncertainty',
  undecided: 'limit and reading are closer than its uncertainty',
};

const figures = ({ value, low, high, unit }: Assumption): readonly [string, string] =>
  unit === 'K'
    ? [temperatureText(value), `${degrees(low)}…${degrees(high)}`]
    : [`${value} ${unit}`, `${low}…${high}`];

function inFull(assumption: Assumption): string {
  const [value, range] = figures(assumption);
  return `- ${assumption.name}: ${value} (${range}), ${String(assumption.reason).replace(/^assumed: /, '')}`;
}

const degrees = (kelvin: number): string => temperatureText(kelvin).replace(' °C', '');
