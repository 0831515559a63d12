import type Big from 'big.js';
import { billOf } from '../../costing/bill.ts';
import { sumOf } from '../../costing/decimal.ts';
import { placeOf, severities } from '../listing/listing.ts';
import { html } from './html.ts';
import type { Content, Markup } from './html.ts';
import { countsOf, holds, missingSignOffs } from './review.ts';
import type { GradeCounts, Reviewed, ReviewOptions } from './review.ts';
import { fields, section, sheet } from './sheet.ts';
import { headOf, moneyText, plural } from './words.ts';

export interface Folder {
  readonly name: string;
  readonly files: readonly Reviewed[];
  readonly unread: readonly { readonly uri: string; readonly reason: string }[];
}

interface Row extends Reviewed {
  readonly counts: GradeCounts;
  readonly file: string;
  readonly isPlan: boolean;
}

/** All plans of a folder, the worst first, with totals; then the findings of each. */
export function folderReview({ name, files, unread }: Folder, options: ReviewOptions): string {
  const rows = files
    .map((one): Row => ({
      ...one,
      counts: countsOf(one.findings),
      file: options.name(one.plan.document.uri),
      isPlan: one.plan.document.kind === 'repair-plan',
    }))
    .sort(worstFirst);
  const plans = rows.filter(({ isPlan }) => isPlan);
  const others = rows.filter(({ isPlan, findings }) => !isPlan && findings.length > 0);
  const total = countsOf(rows.flatMap(({ findings }) => findings));
  const clean = plans.filter(({ findings }) => findings.length === 0).length;
  const body = html`${fields([
    ['Plans', String(plans.length)],
    ['Without findings', String(clean)],
    ['Errors', String(total.error)],
    ['Warnings', String(total.warning)],
    ['For information', String(total.information)],
    ['Checked as on', options.today],
    ['Money at stake, before tax', stakeTotal(plans), 6],
  ])}${
    unread.length > 0 &&
    html`<div class="stop">
      <p>${plural(unread.length, 'file')} could not be read</p>
      ${unread.map(({ uri, reason }) => html`<p>${options.name(uri)}: ${reason}.</p>`)}
    </div>`
  }${planTable(plans, options.today)}${[...plans, ...others].map((row) => findingList(row, options))}`;
  return sheet(
    {
      kind: 'Review',
      number: name,
      numbered: 'Folder',
      title: 'All plans of the folder, the worst first',
      body,
    },
    options,
  );
}

/** By errors, then warnings, then information; equals by name. */
function worstFirst(a: Row, b: Row): number {
  for (const grade of severities) {
    if (a.counts[grade] !== b.counts[grade]) return b.counts[grade] - a.counts[grade];
  }
  return a.file < b.file ? -1 : 1;
}

/** Sums by currency; money of two currencies is never added up. */
function stakeTotal(plans: readonly Row[]): string {
  const byCurrency = new Map<string, { amounts: Big[]; sheet: ReturnType<typeof billOf>['sheet'] }>();
  let open = 0;
  for (const { plan } of plans) {
    const { stake, sheet: prices } = billOf(plan);
    if (!stake) continue;
    open += stake.open;
    if (prices.currency === undefined || prices.decimals === undefined) continue;
    const known = byCurrency.get(prices.currency) ?? { amounts: [], sheet: prices };
    known.amounts.push(stake.amount);
    byCurrency.set(prices.currency, known);
  }
  const sums = [...byCurrency].map(
    ([currency, { amounts, sheet: prices }]) => `${moneyText(sumOf(amounts), prices)} ${currency}`,
  );
  const unknown = open > 0 ? [`${plural(open, 'line')} of unknown worth`] : [];
  return [...sums, ...unknown].join(', and ') || 'none';
}

function planTable(plans: readonly Row[], today: string): Content {
  if (plans.length === 0) return html`<p>There is no repair plan in this folder.</p>`;
  return section(
    'Plans',
    html`<table>
      <thead>
        <tr>
          <th scope="col">Plan</th>
          <th scope="col">Repair</th>
          <th scope="col" class="num">Errors</th>
          <th scope="col" class="num">Warnings</th>
          <th scope="col" class="num">Info</th>
          <th scope="col" class="num">At stake</th>
          <th scope="col">Signed</th>
          <th scope="col">Acceptances</th>
        </tr>
      </thead>
      <tbody>
        ${plans.map((row) => planRow(row, today))}
      </tbody>
    </table>`,
  );
}

function planRow({ plan, counts, file }: Row, today: string): Markup {
  const head = headOf(plan);
  const { stake, sheet: prices } = billOf(plan);
  const missing = missingSignOffs(plan);
  const runOut = plan.accepted.filter(({ until }) => !holds(until?.value, today)).length;
  const worth =
    stake && prices.currency !== undefined
      ? `${moneyText(stake.amount, prices)} ${prices.currency}${stake.open > 0 ? ` + ${stake.open} unknown` : ''}`
      : 'unknown';
  return html`<tr>
    <td class="key">${head.number}</td>
    <td>${head.title}<br /><span class="note">${file}</span></td>
    <td class="num key">${counts.error}</td>
    <td class="num">${counts.warning}</td>
    <td class="num">${counts.information}</td>
    <td class="num">${worth}</td>
    <td>
      ${missing.length === 0 ? 'yes' : html`<span class="mark">${plural(missing.length, 'role')} missing</span>`}
    </td>
    <td>
      ${plan.accepted.length === 0 ? 'none' : String(plan.accepted.length)}${runOut > 0 && html` <span class="mark">${runOut} run out</span>`}
    </td>
  </tr>`;
}

function findingList({ plan, findings, file, isPlan }: Row, { sources, name }: ReviewOptions): Content {
  const { number, title } = headOf(plan);
  if (findings.length === 0) return undefined;
  const inOrder = severities.flatMap((grade) => findings.filter(({ severity }) => severity === grade));
  return section(
    isPlan ? `${number}, ${title}` : file,
    html`<table>
      <thead>
        <tr>
          <th scope="col">Grade</th>
          <th scope="col">Place</th>
          <th scope="col">Finding</th>
        </tr>
      </thead>
      <tbody>
        ${inOrder.map(
          ({ severity, range, message, finding }) =>
            html`<tr>
              <td class="nowrap ${severity === 'error' ? 'key' : ''}">${severity}</td>
              <td class="nowrap">
                ${range.uri === plan.document.uri ? '' : `${name(range.uri)} `}line
                ${placeOf(range, sources).line}
              </td>
              <td>${message} <span class="note">${finding}</span></td>
            </tr>`,
        )}
      </tbody>
    </table>`,
  );
}
