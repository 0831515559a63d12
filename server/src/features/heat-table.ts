import { own } from '../base/collections.ts';
import type { Assumption } from '../heat/assumptions.ts';
import { CONTACT_VOLTAGES, platingWords } from '../heat/contact.ts';
import type { HeatEstimate, HeatRow, RowKey } from '../heat/estimate.ts';
import type { ValueRange } from '../heat/model.ts';
import { cableOf, estimateConnectorHeat, lastContactReading } from '../heat/connector-heat.ts';
import {
  assumptionText,
  degreesText,
  durationText,
  quantityText,
  temperatureText,
  uncertainTemperature,
  uncertainText,
  whenPassed,
} from '../heat/text.ts';
import { VERDICTS } from '../heat/uncertainty.ts';
import type { Judgement } from '../heat/uncertainty.ts';
import { figure, joined, say } from '../language/phrase.ts';
import type { Phrase, Value } from '../language/phrase.ts';
import { classRules } from '../plan/tables/classes.ts';
import type { Plan } from '../plan/plan.ts';
import type { Connector } from '../plan/scope.ts';
import { escapeMarkdown } from './markdown.ts';

const cleanWords = { measured: say`the reading`, 'as-new': say`as new`, limit: say`the limit` };
const asWords = { measured: say`as measured`, 'as-new': say`as new`, limit: say`at the limit` };
const rowWords: Readonly<Record<RowKey, Phrase>> = {
  'as-new': say`as new`,
  limit: say`at the limit`,
  measured: say`**measured**`,
  'dirt-10': say`dirt, ×10`,
  'dirt-100': say`dirt, ×100`,
  'dirt-1000': say`dirt, ×1000`,
};

/** How much is said: in a hover every figure in few words, on a page of its own the reasons too. */
type Detail = 'brief' | 'full';

/** The heat of a connector as a small Markdown table: watts, what was given, what is assumed, and the caution. */
export function heatTable(plan: Plan, connector: Connector, detail: Detail = 'brief'): Phrase {
  const heat = estimateConnectorHeat(plan, connector);
  const { id, name, zone } = connector;
  const kind = connector.class ? classRules[connector.class].words : say`connector without a class`;
  const where = zone ? say`${kind}, in ${escapeMarkdown(zone)}` : kind;
  const title =
    name === id ? say`**${escapeMarkdown(id)}**` : say`**${escapeMarkdown(id)}** · ${escapeMarkdown(name)}`;
  // The caution is above the figures: few readers reach the end of a hover.
  const parts = [
    [joined([title, where], '  \n')],
    [say`*${heat.note}*`],
    table(heat),
    [joined(remarks(connector, heat, detail), '  \n')],
    sources(plan, connector, heat, detail),
  ];
  return joined(
    parts.flat().filter((part) => String(part) !== ''),
    '\n\n',
  );
}

function table({ rows, known, cycle }: HeatEstimate): Phrase[] {
  const { steady, peak, peakTime, temperatureClass } = known;
  if (rows.length === 0 || (steady === undefined && peak === undefined && !cycle)) return [];
  const columns: [head: Phrase, cell: (row: HeatRow) => Value][] = [
    [say`contact`, ({ key }) => rowWords[key]],
    [say`resistance`, (row) => uncertainText(row.resistance, row.uncertainty, 'Ω')],
  ];
  const watts = (figure: 'steady' | 'peak' | 'cycle') => (row: HeatRow) =>
    row[figure] === undefined ? '' : uncertainText(row[figure], row.uncertainties?.[figure], 'W');
  if (steady !== undefined) columns.push([say`at ${quantityText(steady, 'A')}`, watts('steady')]);
  if (peak !== undefined) {
    const at = say`at ${quantityText(peak, 'A')}`;
    const head = peakTime === undefined ? at : say`${at} for ${durationText(peakTime)}`;
    columns.push([head, watts('peak')]);
  }
  if (cycle) columns.push([say`mean of the cycle, ${quantityText(cycle.rms, 'A')} RMS`, watts('cycle')]);
  if (rows.some(({ steadyTemperature }) => steadyTemperature)) {
    columns.push([say`contact, estimated`, (row) => (row.beyondModel ? say`destroyed` : hottest(row))]);
  }
  if (cycle)
    columns.push([say`in the cycle, estimated`, (row) => (row.beyondModel ? say`destroyed` : inCycle(row))]);
  if (temperatureClass !== undefined && (steady !== undefined || cycle)) {
    columns.push([say`passes ${temperatureText(temperatureClass)}`, (row) => whenPassed(row, peakTime)]);
  }
  const lines: (readonly Value[])[] = [
    columns.map(([head]) => head),
    columns.map((_, i) => (i === 0 ? ':--' : '--:')),
    ...rows.map((row) => columns.map(([, cell]) => cell(row))),
  ];
  return [
    joined(
      lines.map((cells) => joined(['| ', joined(cells, ' | '), ' |'])),
      '\n',
    ),
  ];
}

const hottest = ({ peakTemperature, steadyTemperature, uncertainties }: HeatRow): Value =>
  peakTemperature
    ? warm(peakTemperature, uncertainties?.peakTemperature)
    : warm(steadyTemperature, uncertainties?.steadyTemperature);

const inCycle = ({ firstRoundTemperature, cycleTemperature, uncertainties }: HeatRow): Value =>
  firstRoundTemperature && cycleTemperature
    ? say`${temperatureText(firstRoundTemperature.value)} in the first cycle, ${warm(cycleTemperature, uncertainties?.cycleTemperature)} once settled`
    : '';

/** "109 ± 4 °C (54…198 °C)": the uncertainty of the reading, and in brackets what the assumptions leave. */
function warm(range: ValueRange | undefined, uncertainty: number | undefined): Value {
  if (!range) return '';
  const text = uncertainTemperature(range.value, uncertainty);
  return range.low === range.high
    ? text
    : say`${text} (${degreesText(range.low)}…${temperatureText(range.high)})`;
}

function remarks(connector: Connector, heat: HeatEstimate, detail: Detail): Phrase[] {
  const { known, cable, cycle, judgement } = heat;
  const said: Phrase[] = [];
  if (heat.clean) said.push(say`Dirt rows multiply ${cleanWords[heat.clean.row]}.`);
  said.push(...largest(connector, heat));
  if (judgement) {
    const why = verdicts[judgement.verdict];
    const reason =
      judgement.verdict === 'undecided' && judgement.probability !== undefined
        ? say`${why}; probability that it is within the limit: ${Math.round(100 * judgement.probability)} %`
        : why;
    said.push(say`Reading against the limit: **${VERDICTS[judgement.verdict]}** (${reason}; JCGM 106).`);
  }
  const leading = heat.rows.find(({ key }) => key === heat.clean?.row);
  if (leading) said.push(...drop(connector, heat, leading, detail), ...touch(heat, leading));
  const length = cableOf(connector);
  if (cable && length) {
    const [heatOfMetre, when] =
      cable.steady === undefined
        ? ([cable.cycle, say`over the duty cycle`] as const)
        : ([cable.steady, say`at ${quantityText(known.steady!, 'A')}`] as const);
    if (heatOfMetre !== undefined) {
      said.push(
        say`For comparison: one metre of its own ${escapeMarkdown(length.text)} cable gives off ${quantityText(heatOfMetre, 'W')} ${when}.`,
      );
    }
  }
  if (cycle && detail === 'full') {
    const stretches = cycle.pieces.map(
      ({ current, duration }) => say`${quantityText(current, 'A')} for ${durationText(duration)}`,
    );
    said.push(
      say`Duty cycle of ${durationText(cycle.duration)}: ${joined(stretches, ', ')}; ${quantityText(cycle.rms, 'A')} RMS.`,
    );
  }
  return said;
}

/** The inverse question: the largest resistance allowed. */
function largest(connector: Connector, { known, cycle, largestResistance }: HeatEstimate): Phrase[] {
  const { forBudget, forCycleBudget, forSteadyTemperature, forPeakTemperature, forCycleTemperature } =
    largestResistance;
  const said: Phrase[] = [];
  const steady = known.steady === undefined ? '' : say`at ${quantityText(known.steady, 'A')}`;
  const bold = (resistance: number, when: Value): Phrase => say`**${quantityText(resistance, 'Ω')}** ${when}`;
  const budgets = [
    forBudget === undefined ? undefined : bold(forBudget, steady),
    forCycleBudget === undefined ? undefined : bold(forCycleBudget, say`over the duty cycle`),
  ].filter((one) => one !== undefined);
  if (budgets.length > 0) {
    const budget = quantityText(known.budget!, 'W');
    said.push(
      connector.heatBudget
        ? say`Largest resistance within the connector's heat budget of ${budget}: ${joined(budgets, ', ')}.`
        : say`Largest resistance within the plan's heat budget of ${budget}: ${joined(budgets, ', ')}.`,
    );
  }
  const within = (range: ValueRange | undefined, when: Value): Phrase[] => {
    if (!range) return [];
    const value = quantityText(range.value, 'Ω');
    if (range.low === range.high) return [say`${value} ${when}`];
    return [say`${value} (${quantityText(range.low, 'Ω')}…${quantityText(range.high, 'Ω')}) ${when}`];
  };
  const temperatures = [
    ...within(forSteadyTemperature, steady),
    ...within(forPeakTemperature, say`after the peak`),
    ...within(forCycleTemperature, cycle ? say`in the duty cycle` : ''),
  ];
  if (temperatures.length > 0) {
    said.push(
      say`Largest resistance within its class of ${temperatureText(known.temperatureClass!)}, estimated: ${joined(temperatures, '; ')}.`,
    );
  }
  return said;
}

/**
 * The voltage drop and the spot temperature behind it. A terminal-to-terminal reading gives an upper bound
 * for both.
 */
function drop(
  { plating }: Connector,
  { known, cycle, clean, largestResistance }: HeatEstimate,
  { dropAtPeak, spotTemperature, spotRadius, softening, uncertainties }: HeatRow,
  detail: Detail,
): Phrase[] {
  const current = known.peak ?? cycle?.highest;
  if (dropAtPeak === undefined || current === undefined || !clean) return [];
  const whole = uncertainText(dropAtPeak, uncertainties?.dropAtPeak, 'V');
  const amps = quantityText(current, 'A');
  const said = [
    spotTemperature
      ? say`Drop at ${amps} ${asWords[clean.row]}: ${whole} from terminal to terminal, an upper bound for the contact itself because crimps account for part of it; at most ${uncertainTemperature(spotTemperature.value, uncertainties?.spotTemperature)} in its contact spots (${holm(spotTemperature)}).`
      : say`Drop at ${amps} ${asWords[clean.row]}: ${whole} from terminal to terminal, an upper bound for the contact itself because crimps account for part of it.`,
  ];
  const { forSoftening } = largestResistance;
  if (plating && softening && forSoftening !== undefined) {
    said.push(
      say`Its ${platingWords[plating]} softens at ${quantityText(CONTACT_VOLTAGES[plating].softening, 'V')} (Holm): ${reaches[softening]}; up to ${quantityText(forSoftening, 'Ω')} even the whole drop stays below.`,
    );
  }
  if (detail === 'full') {
    said.push(
      say`If all of that resistance were one clean round spot of copper, its radius would be ${quantityText(spotRadius, 'm')} (ρ/2a, Holm); the real one is at least that, because crimps and films account for part of the resistance.`,
    );
  }
  return said;
}

/** Where the temperature of the spots comes from, and what the assumptions leave. */
const holm = ({ low, high }: ValueRange): Value =>
  low === high ? 'Holm' : say`Holm; ${degreesText(low)}…${temperatureText(high)} as assumed`;

const reaches = {
  below: say`not reached`,
  possible: say`possible, the upper bound reaches it`,
  likely: say`likely, what was added since new reaches it alone`,
};

/** Touch temperature of the outside. */
function touch({ known, clean }: HeatEstimate, { touch, beyondModel }: HeatRow): Phrase[] {
  if (!touch || !clean || beyondModel) return [];
  const { temperature, withoutBurn, threshold, time, earliest } = touch;
  const load =
    known.steady === undefined ? say`in the duty cycle` : say`at ${quantityText(known.steady, 'A')}`;
  const burns =
    withoutBurn === 0
      ? say`bare metal at that temperature may burn skin within 1 s`
      : withoutBurn >= 28_800
        ? say`below the burn thresholds of ISO 13732-1, which does not make the contact safe to touch`
        : say`bare metal at that temperature may burn skin after more than ${durationText(withoutBurn)} of contact`;
  const soonest = earliest === undefined ? undefined : say`${durationText(earliest)} at the earliest`;
  const limit = temperatureText(threshold);
  const after = time === undefined ? soonest : durationText(time);
  const exactly = time === undefined || earliest === time || !soonest;
  const passed = after && (exactly ? after : say`${after} (${soonest})`);
  const met = say`Outside of its housing, in continuous use ${load} ${asWords[clean.row]}: ${warm(temperature, undefined)}; ${burns}`;
  return [
    passed
      ? say`${met}; ${limit}, where 1 s may burn, after ${passed} (ISO 13732-1; figure not checked against the standard).`
      : say`${met} (ISO 13732-1; figure not checked against the standard).`,
  ];
}

function sources(plan: Plan, connector: Connector, heat: HeatEstimate, detail: Detail): Phrase[] {
  const { known, assumptions } = heat;
  const missing = [
    known.steady === undefined ? say`steady current` : undefined,
    known.peak === undefined ? say`peak current` : undefined,
    known.asNew === undefined ? say`resistance as new` : undefined,
    known.limit === undefined ? say`limit` : undefined,
    known.temperatureClass === undefined ? say`temperature class` : undefined,
    known.budget === undefined ? say`heat budget` : undefined,
    lastContactReading(plan, connector.id) ? undefined : say`reading`,
  ].filter((one) => one !== undefined);
  const given = givenIn(plan, connector);
  const lines = [
    ...(given.length > 0 ? [say`Given: ${joined(given, ', ')}.`] : []),
    ...(missing.length > 0 ? [say`Not given: ${joined(missing, ', ')}.`] : []),
  ];
  const warmed = heat.rows.some((row) => row.steadyTemperature ?? row.cycleTemperature);
  const assumed = warmed && assumptions.length > 0;
  if (assumed && detail === 'brief') {
    lines.push(say`Assumed for the temperatures: ${joined(assumptions.map(assumptionText), '; ')}.`);
  }
  const facts = lines.length > 0 ? [joined(lines, '  \n')] : [];
  if (!assumed || detail === 'brief') return facts;
  const heading = say`Assumed for the temperatures, because nothing states it:`;
  return [...facts, joined([heading, ...assumptions.map(inFull)], '\n')];
}

function givenIn(plan: Plan, connector: Connector): Phrase[] {
  const { current, resistance, plating, temperatureClass, heatBudget, thermal } = connector;
  const phases = current.dutyCycle?.phases.length;
  const budget = heatBudget ?? plan.heatBudget;
  const cable = cableOf(connector);
  const text = ({ text: written }: { readonly text: string }): string => escapeMarkdown(written);
  return [
    current.steady && say`steady ${text(current.steady)}`,
    current.peak && say`peak ${text(current.peak)}`,
    current.peakTime && say`peak time ${text(current.peakTime)}`,
    phases === undefined ? undefined : say`duty cycle of ${phases} segments`,
    resistance.asNew && say`as new ${text(resistance.asNew)}`,
    resistance.limit && say`limit ${text(resistance.limit)}`,
    plating && say`plating ${platingWords[plating]}`,
    cable && say`cable ${text(cable)}`,
    temperatureClass && say`rated to ${text(temperatureClass)}`,
    budget && say`budget ${text(budget)}`,
    ...Object.entries(thermal).map(([key, value]) => value && say`${own(thermalWords, key)!} ${text(value)}`),
  ].filter((one) => one !== undefined);
}

const thermalWords: Readonly<Record<keyof Connector['thermal'], Phrase>> = {
  surroundings: say`surroundings`,
  'contact-capacity': say`contact capacity`,
  'body-capacity': say`housing capacity`,
  'contact-to-body': say`contact to housing`,
  'body-to-surroundings': say`housing to surroundings`,
};

const verdicts: Readonly<Record<Judgement['verdict'], Phrase>> = {
  accepted: say`it is below the limit by more than its uncertainty`,
  rejected: say`it is above the limit by more than its uncertainty`,
  undecided: say`limit and reading are closer than its uncertainty`,
};

/** One assumption with its reason, as a line of a list. */
function inFull({ name, value, low, high, unit, reason }: Assumption): Phrase {
  const number = (one: number): Phrase => (unit === 'K' ? degreesText(one) : figure(String(one)));
  return say`- ${name}: ${number(value)} ${unit === 'K' ? '°C' : unit} (${number(low)}…${number(high)}), ${reason}`;
}
