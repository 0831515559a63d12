import type Big from 'big.js';
import { billOf } from '../../costing/bill.ts';
import { sumOf } from '../../costing/decimal.ts';
import { placeOf, severities } from '../listing/listing.ts';
import type { Severity } from '../listing/listing.ts';
import { html, markup } from './html.ts';
import type { Content, Markup } from './html.ts';
import { countsOf, holds, missingSignOffs } from './review.ts';
import type { GradeCounts, Reviewed, ReviewOptions } from './review.ts';
import { fields, section, sheet } from './sheet.ts';
import { headOf, moneyText, plural } from './words.ts';

export interface Folder {
  readonly name: string;
  readonly files: readonly Reviewed[];
  readonly unread: Unread;
}

type Unread = readonly { readonly uri: string; readonly reason: string }[];

/**
 * What the review of a folder keeps of a file: counts, money, and its parts of the page, ready to print. It holds on to
 * nothing of the file itself, so that any number of plans pass through.
 */
export interface FolderEntry {
  readonly counts: GradeCounts;
  readonly isPlan: boolean;
  readonly file: string;
  readonly stake: { readonly amount: Big; readonly currency: string; readonly decimals: number } | undefined;
  /** Missing lines whose worth nobody can tell. */
  readonly open: number;
  readonly row: Bytes;
  readonly list: Bytes;
}

/** UTF-8: a piece of a string may keep the whole string it was cut from alive, bytes do not. */
type Bytes = Uint8Array;
const bytesOf = (content: Content): Bytes => new TextEncoder().encode(html`${content}`.text);
const contentOf = (bytes: Bytes): Markup => markup(new TextDecoder().decode(bytes));

/** All plans of a folder, the worst first, with totals; then the findings of each. */
export function folderReview({ name, files, unread }: Folder, options: ReviewOptions): string {
  const entries = files.map((one) => folderEntry(one, options));
  return folderPage({ name, entries, unread }, options);
}

/** One file's part of `folderPage`. */
export function folderEntry(reviewed: Reviewed, options: ReviewOptions): FolderEntry {
  const { plan, findings } = reviewed;
  const counts = countsOf(findings);
  const file = options.name(plan.document.uri);
  const isPlan = plan.document.kind === 'repair-plan';
  const { stake, sheet: prices } = isPlan ? billOf(plan) : { stake: undefined, sheet: undefined };
  const { currency, decimals } = prices ?? {};
  const row: Row = { ...reviewed, counts, file, isPlan };
  return {
    counts,
    isPlan,
    file,
    stake:
      stake && currency !== undefined && decimals !== undefined
        ? { amount: stake.amount, currency, decimals }
        : undefined,
    open: stake?.open ?? 0,
    row: bytesOf(isPlan && planRow(row, options.today)),
    list: bytesOf(findingList(row, options)),
  };
}

/** The page of all files that passed: the worst plan first, totals above. */
export function folderPage(
  folder: { readonly name: string; readonly entries: readonly FolderEntry[]; readonly unread: Unread },
  options: ReviewOptions,
): string {
  const { name, unread } = folder;
  const entries = [...folder.entries].sort(worstFirst);
  const plans = entries.filter(({ isPlan }) => isPlan);
  const others = entries.filter(({ isPlan }) => !isPlan);
  const total = (grade: Severity): string =>
    String(entries.reduce((sum, { counts }) => sum + counts[grade], 0));
  const clean = plans.filter(({ counts }) => severities.every((grade) => counts[grade] === 0)).length;
  const body = html`${fields([
    ['Plans', String(plans.length)],
    ['Without findings', String(clean)],
    ['Errors', total('error')],
    ['Warnings', total('warning')],
    ['For information', total('information')],
    ['Checked as on', options.today],
    ['Money at stake, before tax', stakeTotal(plans), 6],
  ])}${
    unread.length > 0 &&
    html`<div class="stop">
      <p>${plural(unread.length, 'file')} could not be read</p>
      ${unread.map(({ uri, reason }) => html`<p>${options.name(uri)}: ${reason}.</p>`)}
    </div>`
  }${planTable(plans)}${[...plans, ...others].map(({ list }) => contentOf(list))}`;
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

interface Row extends Reviewed {
  readonly counts: GradeCounts;
  readonly file: string;
  readonly isPlan: boolean;
}

/** By errors, then warnings, then information; equals by name. */
function worstFirst(a: FolderEntry, b: FolderEntry): number {
  for (const grade of severities) {
    if (a.counts[grade] !== b.counts[grade]) return b.counts[grade] - a.counts[grade];
  }
  return a.file < b.file ? -1 : 1;
}

/** Sums by currency; money of two currencies is never added up. */
function stakeTotal(plans: readonly FolderEntry[]): string {
  const byCurrency = new Map<string, { amounts: Big[]; decimals: number }>();
  for (const { stake } of plans) {
    if (!stake) continue;
    const known = byCurrency.get(stake.currency) ?? { amounts: [], decimals: stake.decimals };
    known.amounts.push(stake.amount);
    byCurrency.set(stake.currency, known);
  }
  const sums = [...byCurrency].map(
    ([currency, { amounts, decimals }]) => `${moneyText(sumOf(amounts), { decimals })} ${currency}`,
  );
  const open = plans.reduce((sum, one) => sum + one.open, 0);
  const unknown = open > 0 ? [`${plural(open, 'line')} of unknown worth`] : [];
  return [...sums, ...unknown].join(', and ') || 'none';
}

function planTable(plans: readonly FolderEntry[]): Content {
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
        ${plans.map(({ row }) => contentOf(row))}
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
