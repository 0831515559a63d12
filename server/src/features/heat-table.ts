import type { Assumption } from '../heat/assumptions.ts';
import type { HeatEstimate, HeatRow, RowKey } from '../heat/estimate.ts';
import { heatOf, readingOf } from '../heat/of-connector.ts';
import type { Judgement } from '../heat/uncertainty.ts';
import { durationText, quantityText, temperatureText } from '../heat/text.ts';
import { classRules } from '../plan/classes.ts';
import type { Plan } from '../plan/plan.ts';
import type { Connector } from '../plan/scope.ts';
import { escapeMarkdown } from './markdown.ts';

const cleanWords = { measured: 'the reading', 'as-new': 'as new', limit: 'the limit' } as const;
const rowWords: Readonly<Record<RowKey, string>> = {
  'as-new': 'as new',
  limit: 'at the limit',
  measured: '**measured**',
  'dirt-10': 'dirt, ×10',
  'dirt-100': 'dirt, ×100',
  'dirt-1000': 'dirt, ×1000',
};

/** The heat of a connector as a small Markdown table: watts, what was given, what is assumed, and the caution. */
export function heatTable(plan: Plan, connector: Connector): string {
  const heat = heatOf(plan, connector);
  const { id, name, zone } = connector;
  const kind = connector.class ? classRules[connector.class].words : 'connector without a class';
  const title = `**${escapeMarkdown(id)}**${name === id ? '' : ` · ${escapeMarkdown(name)}`}  \n${kind}${zone ? `, in ${escapeMarkdown(zone)}` : ''}`;
  // The caution stands above the figures: a hover is seldom read to its end.
  const parts = [title, `*${heat.note}*`, table(heat), ...remarks(plan, connector, heat)];
  return parts.filter((part) => part !== '').join('\n\n');
}

function table({ rows, known }: HeatEstimate): string {
  const { steady, peak, peakTime } = known;
  if (rows.length === 0 || (steady === undefined && peak === undefined)) return '';
  const temperature = rows.some(({ steadyTemperature }) => steadyTemperature);
  const columns: [head: string, cell: (row: HeatRow) => string][] = [
    ['contact', ({ key }) => rowWords[key]],
    ['resistance', ({ resistance }) => quantityText(resistance, 'Ω')],
  ];
  if (steady !== undefined) {
    columns.push([
      `at ${quantityText(steady, 'A')}`,
      (row) => (row.steady === undefined ? '' : quantityText(row.steady, 'W')),
    ]);
  }
  if (peak !== undefined) {
    const time = peakTime === undefined ? '' : ` for ${durationText(peakTime)}`;
    columns.push([
      `at ${quantityText(peak, 'A')}${time}`,
      (row) => (row.peak === undefined ? '' : quantityText(row.peak, 'W')),
    ]);
  }
  if (temperature) columns.push(['contact, estimated', contactTemperature]);
  const lines = [
    columns.map(([head]) => head),
    columns.map((_, i) => (i === 0 ? ':--' : '--:')),
    ...rows.map((row) => columns.map(([, cell]) => cell(row))),
  ];
  return lines.map((cells) => `| ${cells.join(' | ')} |`).join('\n');
}

function contactTemperature({ steadyTemperature, peakTemperature, beyondModel }: HeatRow): string {
  if (beyondModel) return 'destroyed';
  const hottest = peakTemperature ?? steadyTemperature;
  return hottest
    ? `${temperatureText(hottest.value)} (${degrees(hottest.low)}…${temperatureText(hottest.high)})`
    : '';
}

function remarks(plan: Plan, connector: Connector, heat: HeatEstimate): string[] {
  const { known, largestResistance, cable, judgement, assumptions } = heat;
  const said: string[] = [];
  if (heat.clean) said.push(`Dirt multiplies ${cleanWords[heat.clean.row]}.`);
  if (largestResistance.forBudget !== undefined) {
    const whose = connector.heatBudget ? "the connector's" : "the plan's";
    said.push(
      `Largest resistance within ${whose} heat budget of ${quantityText(known.budget!, 'W')}: **${quantityText(largestResistance.forBudget, 'Ω')}** at ${quantityText(known.steady!, 'A')}.`,
    );
  }
  if (judgement) {
    said.push(
      `Reading against the limit: **${judgement.verdict}** (${verdicts[judgement.verdict]}; JCGM 106).`,
    );
  }
  if (cable?.steady !== undefined) {
    said.push(
      `Yardstick: a metre of its own ${escapeMarkdown(connector.cable!.text)} cable gives off ${quantityText(cable.steady, 'W')} at ${quantityText(known.steady!, 'A')}.`,
    );
  }
  const missing = [
    known.steady === undefined ? 'steady current' : '',
    known.peak === undefined ? 'peak current' : '',
    known.asNew === undefined ? 'resistance as new' : '',
    known.limit === undefined ? 'limit' : '',
    known.budget === undefined ? 'heat budget' : '',
    readingOf(plan, connector.id) ? '' : 'reading',
  ].filter(Boolean);
  const given = givenIn(plan, connector);
  const lists = [
    given.length > 0 ? `Given: ${given.join(', ')}.` : '',
    missing.length > 0 ? `Not given: ${missing.join(', ')}.` : '',
    heat.rows.some(({ steadyTemperature }) => steadyTemperature)
      ? `Assumed for the temperatures: ${assumed(assumptions)}.`
      : '',
  ].filter(Boolean);
  return [said.join('  \n'), lists.join('  \n')].filter(Boolean);
}

function givenIn(
  plan: Plan,
  { current, resistance, plating, cable, temperatureClass, heatBudget }: Connector,
): string[] {
  const budget = heatBudget ?? plan.heatBudget;
  const named: (readonly [string, { readonly text: string } | undefined])[] = [
    ['steady', current.steady],
    ['peak', current.peak],
    ['peak time', current.peakTime],
    ['as new', resistance.asNew],
    ['limit', resistance.limit],
    ['plating', plating ? { text: plating } : undefined],
    ['cable', cable],
    ['rated to', temperatureClass],
    ['budget', budget],
  ];
  return named.flatMap(([name, value]) => (value ? [`${name} ${escapeMarkdown(value.text)}`] : []));
}

const verdicts: Readonly<Record<Judgement['verdict'], string>> = {
  accepted: 'it keeps the limit by more than its uncertainty',
  rejected: 'it breaks the limit by more than its uncertainty',
  undecided: 'limit and reading are closer than its uncertainty',
};

/** The surroundings by name, the thermal model by its figures: a hover is no place for a paragraph on each. */
function assumed(assumptions: readonly Assumption[]): string {
  const air = assumptions.filter(({ unit }) => unit === 'K');
  const model = assumptions.filter(({ unit }) => unit !== 'K');
  const figures = model.map(({ value, low, high, unit }) => `${value} ${unit} (${low}…${high})`);
  return [
    ...air.map(
      ({ name, value, low, high }) => `${name} ${degrees(value)} °C (${degrees(low)}…${degrees(high)})`,
    ),
    ...(figures.length > 0 ? [`the connector's own warmth and cooling ${figures.join(', ')}`] : []),
  ].join('; ');
}

const degrees = (kelvin: number): string => temperatureText(kelvin).replace(' °C', '');
