import { estimateConnectorHeat } from '../../heat/connector-heat.ts';
import { ESTIMATE_NOTE } from '../../heat/estimate.ts';
import type { HeatEstimate } from '../../heat/estimate.ts';
import type { HeatRow } from '../../heat/heat-row.ts';
import {
  earliestPassed,
  durationText,
  quantityText,
  temperatureText,
  assumptionText,
  touchWarning,
  uncertainText,
} from '../../heat/text.ts';
import { heatVerdict } from '../../heat/verdict.ts';
import { inLanguage, joined, deferred, say } from '../../language/phrase.ts';
import type { Phrase, Value } from '../../language/phrase.ts';
import type { Plan } from '../../plan/plan.ts';
import type { Connector } from '../../plan/scope.ts';
import { sequenceOf } from '../../sequence/lives.ts';
import { ROW_STYLES, markPicture } from '../pictures/picture-parts.ts';
import { sheetCharts } from '../pictures/sheet-charts.ts';
import { ranged } from '../pictures/temperature-panels.ts';
import { html, markup } from './html.ts';
import type { Content, Markup } from './html.ts';
import { bothLayouts } from './layouts.ts';
import { section } from './page.ts';
import { plural } from './words.ts';

/** Two connectors fill a page; more are counted, and `plugward heat` shows them. */
const maxConnectors = 4;

/** The heat of each power connector that the plan opens: the verdict, charts, and the figures in a table. */
export function heatSection(plan: Plan): Content {
  const { lives } = sequenceOf(plan);
  const warm = [...lives.values()].flatMap(({ connector, events }) => {
    if (connector.class !== 'high-voltage-power' || !events.some(({ act }) => act === 'disconnect'))
      return [];
    const estimate = estimateConnectorHeat(plan, connector);
    const charts = bothLayouts((layout) => sheetCharts(estimate, connector.id, layout));
    return charts ? [{ connector, estimate, charts }] : [];
  });
  if (warm.length === 0) return undefined;
  const more = warm.length - maxConnectors;
  const shown = warm.slice(0, maxConnectors);
  return section(
    say`Heat of the power connectors that were opened`,
    html`<p class="note">${ESTIMATE_NOTE}</p>
      ${shown.map(({ connector, estimate, charts }) => heatOf(connector, estimate, charts))}${assumptionsOf(shown.map(({ estimate }) => estimate))}${
        more > 0 &&
        html`<p class="note">
          ${plural(more, say`1 more connector left out.`, say`${more} more connectors left out.`)}
        </p>`
      }`,
  );
}

function heatOf(connector: Connector, estimate: HeatEstimate, charts: Markup): Markup {
  const verdict = heatVerdict(estimate);
  return html`<article class="heat whole">
    <h3>
      ${connector.id}${connector.name !== connector.id && html` <span class="note">${connector.name}</span>`}
    </h3>
    ${verdict && html`<p class="key">${verdict}.</p>`} ${charts}${figures(estimate)}${burn(estimate)}
  </article>`;
}

interface Column {
  readonly head: Phrase;
  readonly cell: (row: HeatRow) => Value | undefined;
}

/** A row for each state of the contact; what nothing is known of has no column. */
function figures({ rows, known, cycle }: HeatEstimate): Markup {
  const { steady, peak, peakTime, temperatureClass } = known;
  const watts = (figure: 'steady' | 'peak' | 'cycle', head: Phrase): Column => ({
    head,
    cell: (row) =>
      row[figure] === undefined ? undefined : uncertainText(row[figure], row.uncertainties?.[figure], 'W'),
  });
  const amps = (current: number): Phrase => quantityText(current, 'A');
  const columns: Column[] = [
    { head: say`resistance`, cell: (row) => uncertainText(row.resistance, row.uncertainty, 'Ω') },
    ...(steady === undefined ? [] : [watts('steady', say`heat at ${amps(steady)}`)]),
    ...(peak === undefined ? [] : [watts('peak', say`heat at ${amps(peak)}`)]),
    ...(cycle ? [watts('cycle', say`mean heat of the cycle`)] : []),
    ...(steady === undefined
      ? []
      : [
          {
            head: say`contact at ${amps(steady)}`,
            cell: (row: HeatRow) => ranged(row.steadyTemperature, row.uncertainties?.steadyTemperature),
          },
        ]),
    ...(peakTime === undefined || peak === undefined
      ? []
      : [
          {
            head: say`after ${durationText(peakTime)} at ${amps(peak)}`,
            cell: (row: HeatRow) => ranged(row.peakTemperature, row.uncertainties?.peakTemperature),
          },
        ]),
    ...(cycle
      ? [
          {
            head: say`hottest in the cycle`,
            cell: (row: HeatRow) => ranged(row.cycleTemperature, row.uncertainties?.cycleTemperature),
          },
        ]
      : []),
    ...(temperatureClass === undefined || (steady === undefined && !cycle)
      ? []
      : [
          {
            head: say`${temperatureText(temperatureClass)} at the earliest`,
            cell: (row: HeatRow) => earliestPassed(row, peakTime, steady === undefined ? 'cycle' : 'steady'),
          },
        ]),
  ];
  const filled = columns.filter(({ cell }) => rows.some((row) => cell(row) !== undefined));
  return html`<table class="dense figures">
    <thead>
      <tr>
        <th scope="col">${say`contact`}</th>
        ${filled.map(({ head }) => html`<th scope="col" class="num">${head}</th>`)}
      </tr>
    </thead>
    <tbody>
      ${rows.map(
        (row) =>
          html`<tr${markup(row.key === 'measured' ? ' class="key"' : '')}>
            <td>${markup(markPicture(row.key))}${ROW_STYLES[row.key].name}</td>
            ${filled.map(({ head, cell }) => html`<td class="num" data-label="${head}">${figureLines(cell(row))}</td>`)}
          </tr>`,
      )}
    </tbody>
  </table>`;
}

/** "103 ± 3 °C (92…112)" as a value, and small below what is uncertain of it. */
const figureLines = (cell: Value | undefined): Content =>
  cell === undefined
    ? '–'
    : deferred((language, write) => {
        const text = inLanguage(cell, language);
        const [, value, spread, unit, range] =
          /^([−\d]\S*)(?: ± (\S+))? (\S+)(?: (\(.*\)))?$/.exec(text) ?? [];
        const below = [spread === undefined ? [] : `± ${spread}`, range ?? []].flat();
        return value === undefined || below.length === 0
          ? write(text)
          : html`<span class="nowrap">${value} ${unit}</span><small>${below.join(' ')}</small>`.in(language);
      });

/** What is to be feared of the outside. */
function burn({ known, clean, rows }: HeatEstimate): Content {
  const touch = rows.find((row) => row.key === clean?.row)?.touch;
  return (
    touch?.burnsAfter !== undefined &&
    known.steady !== undefined &&
    html`<p class="note">
      ${touchWarning(touch, say`in continuous use at ${quantityText(known.steady, 'A')}`)}
    </p>`
  );
}

/** The assumptions behind all estimates, each said once. */
function assumptionsOf(estimates: readonly HeatEstimate[]): Content {
  const all = estimates.flatMap(({ assumptions }) => assumptions.map(assumptionText));
  const different = all.filter(
    (phrase, i) => all.findIndex((other) => String(other) === String(phrase)) === i,
  );
  return (
    different.length > 0 &&
    html`<p class="note">
      ${say`Assumed, because it is not stated: ${joined(different, '; ')}. Shading and brackets show the range that these assumptions leave open.`}
    </p>`
  );
}
