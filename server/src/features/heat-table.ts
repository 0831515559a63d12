import { own } from '../base/collections.ts';
import type { Assumption } from '../heat/assumptions.ts';
import { CONTACT_VOLTAGES, platingWords } from '../heat/contact.ts';
import type { HeatEstimate } from '../heat/estimate.ts';
import type { HeatRow, RowKey } from '../heat/heat-row.ts';
import type { ValueRange } from '../heat/model.ts';
import { asWords, heatVerdict, lasts } from '../heat/verdict.ts';
import { cableOf, estimateConnectorHeat, lastContactReading } from '../heat/connector-heat.ts';
import {
  assumedRange,
  durationText,
  heatRange,
  quantityText,
  temperatureRange,
  temperatureText,
  touchWarning,
  uncertainText,
  whenPassed,
} from '../heat/text.ts';
import { verdictWords } from '../heat/uncertainty.ts';
import { evenQuantities } from '../language/quantities.ts';
import { inLanguage, joined, deferred, say } from '../language/phrase.ts';
import type { Phrase, Value } from '../language/phrase.ts';
import { classRules } from '../plan/tables/classes.ts';
import type { Plan } from '../plan/plan.ts';
import type { Connector } from '../plan/scope.ts';
import { escapeMarkdown } from './markdown.ts';

const cleanWords = { measured: say`the reading`, 'as-new': say`as new`, limit: say`the limit` };
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

/**
 * The heat of a connector as a small Markdown table: watts, what was given, what is assumed, and the caution.
 * @param page where a brief table leads for all figures, for a client that can open it
 */
export function heatTable(
  plan: Plan,
  connector: Connector,
  detail: Detail = 'brief',
  page?: (connector: string) => string,
): Phrase {
  const heat = estimateConnectorHeat(plan, connector);
  const { id, name, zone } = connector;
  const kind = connector.class ? classRules[connector.class].words : say`connector without a class`;
  const where = zone ? say`${kind}, in ${escapeMarkdown(zone)}` : kind;
  const title =
    name === id ? say`**${escapeMarkdown(id)}**` : say`**${escapeMarkdown(id)}** · ${escapeMarkdown(name)}`;
  const said = heatVerdict(heat);
  const named = joined([title, where], '  \n');
  const verdict = said === undefined ? [] : [joined(['**', said, '.**'])];
  // Verdict and caution stand above the figures: a hover is seldom read to its end.
  const parts = [
    detail === 'brief' ? [...verdict, named] : [named, ...verdict],
    [say`*${heat.note}*`],
    figures(heat, detail),
    [joined(remarks(connector, heat, detail), '  \n')],
    sources(plan, connector, heat, detail, page),
  ];
  const table = joined(
    parts.flat().filter((part) => String(part) !== ''),
    '\n\n',
  );
  return deferred((language) => evenQuantities(table.in(language), language));
}

/** No break inside a figure and its unit: a narrow hover would part them. */
const whole = (value: Value): Phrase =>
  deferred((language) => inLanguage(value, language).replaceAll(' ', '\u00a0'));

function figures({ rows, known, cycle }: HeatEstimate, detail: Detail): Phrase[] {
  const { steady, peak, peakTime, temperatureClass } = known;
  if (rows.length === 0 || (steady === undefined && peak === undefined && !cycle)) return [];
  const full = detail === 'full';
  const columns: Column[] = [
    [
      say`contact`,
      (row) => say`${rowWords[row.key]}, ${whole(uncertainText(row.resistance, row.uncertainty, 'Ω'))}`,
    ],
  ];
  const watts = (figure: 'steady' | 'peak' | 'cycle') => (row: HeatRow) =>
    row[figure] === undefined ? '' : whole(uncertainText(row[figure], row.uncertainties?.[figure], 'W'));
  const warm = (figure: 'warmSteady' | 'warmPeak') => (row: HeatRow) =>
    row[figure] ? whole(heatRange(row[figure])) : '';
  // The heat of the resistance as it is stated comes first, and the warm contact's beside it.
  if (steady !== undefined) {
    columns.push([say`at ${whole(quantityText(steady, 'A'))}`, watts('steady')]);
    if (full) columns.push([say`once warm`, warm('warmSteady')]);
  }
  if (peak !== undefined) {
    const at = say`at ${whole(quantityText(peak, 'A'))}`;
    const head = peakTime === undefined ? at : say`${at} for ${whole(durationText(peakTime))}`;
    columns.push([head, watts('peak')]);
    if (full && steady !== undefined && peakTime !== undefined)
      columns.push([say`at its end`, warm('warmPeak')]);
  }
  if (cycle && (full || columns.length < 3))
    columns.push([say`mean of the cycle, ${whole(quantityText(cycle.rms, 'A'))} RMS`, watts('cycle')]);
  const heatColumns = columns.length;
  if (rows.some((row) => row.steadyTemperature)) columns.push([say`contact, estimated`, hottest]);
  if (cycle && (full || !rows.some((row) => row.steadyTemperature)))
    columns.push([say`in the cycle, estimated`, full ? inCycle : settledCycle]);
  if (full && temperatureClass !== undefined && (steady !== undefined || cycle)) {
    columns.push([say`class of ${temperatureText(temperatureClass)}`, (row) => whenPassed(row, peakTime)]);
  }
  // A page of its own has the room for two tables, a hover only for one.
  const [contact] = columns;
  return full && heatColumns < columns.length
    ? [
        markdownTable(rows, columns.slice(0, heatColumns)),
        markdownTable(rows, [contact!, ...columns.slice(heatColumns)]),
      ]
    : [markdownTable(rows, columns)];
}

type Column = [head: Phrase, cell: (row: HeatRow) => Value];

function markdownTable(rows: readonly HeatRow[], columns: readonly Column[]): Phrase {
  const lines: (readonly Value[])[] = [
    columns.map(([head]) => head),
    columns.map((_, i) => (i === 0 ? ':--' : '--:')),
    ...rows.map((row) => columns.map(([, cell]) => cell(row))),
  ];
  return joined(
    lines.map((cells) => joined(['| ', joined(cells, ' | '), ' |'])),
    '\n',
  );
}

const hottest = ({ peakTemperature, steadyTemperature, uncertainties, beyondModel }: HeatRow): Value =>
  peakTemperature
    ? warm(peakTemperature, uncertainties?.peakTemperature, beyondModel)
    : warm(steadyTemperature, uncertainties?.steadyTemperature, beyondModel);

const settledCycle = ({ cycleTemperature, uncertainties, beyondModel }: HeatRow): Value =>
  warm(cycleTemperature, uncertainties?.cycleTemperature, beyondModel);

const inCycle = (row: HeatRow): Value =>
  row.firstRoundTemperature && row.cycleTemperature && !row.beyondModel
    ? say`${whole(temperatureText(row.firstRoundTemperature.value))} in the first cycle, ${settledCycle(row)} once settled`
    : settledCycle(row);

/** "109 ± 4 °C (54…198 °C)"; beyond the melting point of copper there is nothing left to be warm. */
function warm(range: ValueRange | undefined, uncertainty: number | undefined, destroyed: boolean): Value {
  if (!range) return '';
  if (range.value === Infinity) return say`keeps heating`;
  return destroyed ? say`destroyed` : whole(temperatureRange(range, uncertainty));
}

function remarks(connector: Connector, heat: HeatEstimate, detail: Detail): Phrase[] {
  const { known, cable, cycle, judgement } = heat;
  const said: Phrase[] = [];
  if (heat.rows.length > 0)
    said.push(
      say`Heat in watts: of one contact, in its resistance at the temperature for which that is stated. ${joined(poles(known), '')}Dirt rows multiply ${cleanWords[heat.clean!.row]}.`,
    );
  said.push(...largest(connector, heat));
  if (judgement) {
    const odds =
      judgement.verdict === 'undecided' && judgement.probability !== undefined
        ? say`; probability that it is within the limit: ${Math.round(100 * judgement.probability)} %`
        : '';
    said.push(say`The reading is **${verdictWords(judgement)}**${odds} (JCGM 106).`);
  }
  const leading = heat.rows.find(({ key }) => key === heat.clean?.row);
  if (leading) said.push(...touch(heat, leading));
  if (detail === 'brief') return said;
  if (leading) said.push(...drop(connector, heat, leading));
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
  if (cycle) {
    const stretches = cycle.pieces.map(
      ({ current, duration }) => say`${quantityText(current, 'A')} for ${durationText(duration)}`,
    );
    said.push(
      say`Duty cycle of ${durationText(cycle.duration)}: ${joined(stretches, ', ')}; ${quantityText(cycle.rms, 'A')} RMS.`,
    );
  }
  return said;
}

const poles = ({ poles }: HeatEstimate['known']): Phrase[] =>
  poles === undefined || poles < 2 ? [] : [say`The connector has ${poles} of them. `];

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
  ].filter((phrase) => phrase !== undefined);
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

/** The drop, and what can stand behind it. A reading from terminal to terminal holds crimps as well. */
function drop(
  { plating }: Connector,
  { known, cycle, clean, largestResistance }: HeatEstimate,
  row: HeatRow,
): Phrase[] {
  const { dropAtPeak, warmDrop, spotTemperature, spotRadius, softening, uncertainties } = row;
  const current = known.peak ?? cycle?.highest;
  if (dropAtPeak === undefined || current === undefined || !clean) return [];
  const cold = uncertainText(dropAtPeak, uncertainties?.dropAtPeak, 'V');
  const amps = quantityText(current, 'A');
  const said = [
    say`Drop at ${amps} ${asWords[clean.row]}: ${cold} from terminal to terminal; crimps account for part of it.`,
  ];
  if (spotTemperature && warmDrop !== undefined && Number.isFinite(warmDrop)) {
    said.push(
      say`In the warm contact ${quantityText(warmDrop, 'V')}; if all of it were across the contact spots, they would be at ${temperatureRange(spotTemperature, uncertainties?.spotTemperature)} (Holm; Lorenz number 2.31e-8 to 2.44e-8 V²/K²).`,
    );
  }
  const { forSoftening } = largestResistance;
  if (plating && softening && forSoftening !== undefined) {
    said.push(
      say`Its ${platingWords[plating]} softens at ${quantityText(CONTACT_VOLTAGES[plating].softening, 'V')} at 20 °C (Holm), at less in warm metal: ${reaches[softening]}; as assumed, up to ${quantityText(forSoftening, 'Ω')} even the whole drop stays below.`,
    );
  }
  said.push(
    say`If all of that resistance were one clean round spot of copper at 20 °C, its radius would be ${quantityText(spotRadius, 'm')} (ρ/2a, Holm): a yardstick, not a measure.`,
  );
  return said;
}

const reaches = {
  below: say`not reached over the whole range`,
  possible: say`possible, the whole drop reaches it at the warm end`,
  likely: say`likely, what was added since new reaches it alone`,
};

/** What is to be feared of the outside. */
function touch({ known, clean }: HeatEstimate, { touch, beyondModel }: HeatRow): Phrase[] {
  if (touch?.burnsAfter === undefined || !clean || beyondModel) return [];
  const load =
    known.steady === undefined ? say`in the duty cycle` : say`at ${quantityText(known.steady, 'A')}`;
  return [touchWarning(touch, say`in continuous use ${load} ${asWords[clean.row]}`)];
}

function sources(
  plan: Plan,
  connector: Connector,
  heat: HeatEstimate,
  detail: Detail,
  page: ((connector: string) => string) | undefined,
): Phrase[] {
  const { known, assumptions, cycle } = heat;
  const { current, resistance, temperatureClass, heatBudget } = connector;
  const reading = lastContactReading(plan, connector.id);
  const stated: readonly (readonly [Phrase, written: boolean, used: boolean])[] = [
    [say`steady current`, current.steady !== undefined, known.steady !== undefined],
    [say`peak current`, current.peak !== undefined, known.peak !== undefined],
    [say`duty cycle`, current.dutyCycle !== undefined, cycle !== undefined],
    [say`resistance as new`, resistance.asNew !== undefined, known.asNew !== undefined],
    [say`limit`, resistance.limit !== undefined, known.limit !== undefined],
    [say`temperature class`, temperatureClass !== undefined, known.temperatureClass !== undefined],
    [say`heat budget`, (heatBudget ?? plan.heatBudget) !== undefined, known.budget !== undefined],
    [say`reading`, reading !== undefined, heat.rows.some(({ key }) => key === 'measured')],
  ];
  const unusable = stated.filter(([, written, used]) => written && !used).map(([name]) => name);
  // A duty cycle is an extra: nobody misses it.
  const missing = stated.filter(([, written], i) => !written && i !== 2).map(([name]) => name);
  const given = givenIn(plan, connector);
  const lines = [
    ...(given.length > 0 ? [say`Given: ${joined(given, ', ')}.`] : []),
    ...(unusable.length > 0 ? [say`Given, but not usable: ${joined(unusable, ', ')}.`] : []),
    ...(missing.length > 0 ? [say`Not given: ${joined(missing, ', ')}.`] : []),
  ];
  const warmed = heat.rows.some(lasts);
  if (detail === 'brief') {
    if (warmed && assumptions.length > 0)
      lines.push(say`In brackets: what ${assumptions.length} assumptions leave open.`);
    const target = page?.(connector.id);
    lines.push(
      target === undefined
        ? say`All figures with their reasons: \`plugward heat PLAN --connector ${connector.id}\`, or the preview.`
        : joined(['[', say`All figures with their reasons`, `](${target})`]),
    );
    return [joined(lines, '  \n')];
  }
  const facts = lines.length > 0 ? [joined(lines, '  \n')] : [];
  if (!warmed || assumptions.length === 0) return facts;
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
    connector.poles !== undefined && say`${connector.poles} poles`,
    plating && say`plating ${platingWords[plating]}`,
    cable && say`cable ${text(cable)}`,
    temperatureClass && say`rated to ${text(temperatureClass)}`,
    budget && say`budget ${text(budget)}`,
    ...Object.entries(thermal).map(([key, value]) => value && say`${own(thermalWords, key)!} ${text(value)}`),
  ].filter((one) => one !== undefined && one !== false);
}

const thermalWords: Readonly<Record<keyof Connector['thermal'], Phrase>> = {
  surroundings: say`surroundings`,
  'contact-capacity': say`contact capacity`,
  'body-capacity': say`housing capacity`,
  'contact-to-body': say`contact to housing`,
  'body-to-surroundings': say`housing to surroundings`,
  'cable-rise': say`rise of the cable`,
};

/** One assumption with its reason, as a line of a list. */
const inFull = (assumption: Assumption): Phrase =>
  say`- ${assumption.name}: ${assumedRange(assumption)}, ${assumption.reason}`;
