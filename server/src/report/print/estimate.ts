import type Big from 'big.js';
import { mapDefined, own } from '../../base/collections.ts';
import { billOf, roundingRule } from '../../costing/bill.ts';
import type {
  Bill,
  LabourCharge,
  MaterialCharge,
  CostShare,
  HoursShare,
  MissingWorth,
  Sum,
} from '../../costing/bill.ts';
import type { PriceSheet } from '../../costing/sheet.ts';
import { mapsIn } from '../../document/node.ts';
import { andList, localizedNumber, say } from '../../language/phrase.ts';
import type { Phrase, Value } from '../../language/phrase.ts';
import type { Plan } from '../../plan/plan.ts';
import { html, unbroken } from './html.ts';
import type { Content, Markup } from './html.ts';
import { releaseBlockers } from './job-card.ts';
import { photoMark, photoSection, photosOf } from './photos.ts';
import type { Photo, PhotoFiles } from './photos.ts';
import { planFields, section, printPage } from './page.ts';
import type { PrintOptions } from './page.ts';
import { sourceTable } from './tables.ts';
import { workOn } from './task-words.ts';
import { plural, gapWords, headOf, moneyText, sourcesOf } from './words.ts';

export interface EstimateOptions extends PrintOptions {
  /** The photographs that the plan names, as far as they could be read; without any, none is shown. */
  readonly photos?: PhotoFiles;
  /** How many errors of the check are open: with any, the plan is not released for work. */
  readonly errors?: number;
}

/** What the page is a price of, so that nobody takes it for that of the whole repair. */
export const scopeOfEstimate = say`Additional work around connectors: opening, protecting, closing and proving them. Parts, body and paint work, and whatever else the repair needs are priced elsewhere.`;

/** What the work around connectors costs, for the payer: every line with its connectors, reason and reference, and the totals. */
export function estimate(plan: Plan, options: EstimateOptions): string {
  const head = headOf(plan);
  const bill = billOf(plan);
  const { sheet: prices } = bill;
  const photos = photosOf(plan);
  const body = html`${releaseBlockers(plan, options.errors ?? 0)}${planFields(head, [
      [say`Rates`, prices.title ?? prices.name ?? say`no rate sheet`, 3],
      [say`Currency`, prices.currency ?? say`none`, 1],
      [say`Date`, options.today, 1],
    ])}
    <p class="note">${scopeOfEstimate}</p>
    ${labourSection(plan, bill, photos)}${materialSection(bill, photos)}${totals(bill)}${references(plan, bill)}${shares(bill)}${section(
      say`How the figures are calculated`,
      html`<p>
        ${say`${roundingRule} A line marked “included” is part of a published time for the surrounding work and costs nothing here. Hours, rates and prices come from the plan and the shop's rate sheet; none is built in.`}
      </p>`,
      'whole',
    )}`;
  const photographs = photoSection(plan, photos, options.photos ?? new Map());
  return printPage(
    {
      kind: say`Estimate`,
      number: head.number,
      title: head.title,
      body,
      photographs,
      pictures: photos.length > 0,
    },
    options,
  );
}

const basisWords: Readonly<Record<string, Phrase>> = {
  'not-included': say`not included`,
  included: say`included`,
  'not-stated': say`not stated`,
};

/** A not-included line that nothing supports: the payer will ask. */
export const lacksReference = ({ basis, reference, hours, line }: LabourCharge): boolean =>
  basis === 'not-included' && reference === undefined && (line.sublet || !hours?.eq(0));

const money = (amount: Big | undefined, prices: PriceSheet): Value =>
  amount === undefined ? '' : moneyText(amount, prices);

export const amountCell = (
  { amount, gap }: LabourCharge | MaterialCharge | MissingWorth['labour'][number],
  prices: PriceSheet,
) =>
  html`<td class="num">
    ${amount ? moneyText(amount, prices) : html`<span class="mark">${gap ? gapWords[gap] : ''}</span>`}
  </td>`;

/** The connectors that a line's steps handle, those of followed procedures included. */
export function connectorsOf(plan: Plan, steps: readonly string[]): string[] {
  const found = new Set<string>();
  for (const id of steps) {
    const step = plan.step(id);
    const operations = step ? plan.operationsOf(step) : [plan.operation(id)];
    for (const operation of operations) for (const { value } of operation?.connectors ?? []) found.add(value);
  }
  return [...found];
}

/** The work with the connectors of its steps. */
const workText = (plan: Plan, { task, steps }: LabourCharge): Content => {
  const names = connectorsOf(plan, steps).map(unbroken);
  const objects = names.length > 0 ? html`<span class="beside">${andList(names)}</span>` : undefined;
  return workOn(plan, task ?? plan.operation(steps[0] ?? '')?.taskId, objects);
};

/** What another firm bills for the line. */
export const subletText = ({ sublet }: LabourCharge, prices: PriceSheet): Content =>
  sublet &&
  html`<br /><span class="note">${say`Another firm bills ${moneyText(sublet, prices)} of it.`}</span>`;

const reasonText = ({ line }: LabourCharge): Content => {
  const reason = line.node.get('reason')?.value;
  return reason !== undefined && html`<br /><span class="note">${reason}</span>`;
};

function labourSection(plan: Plan, bill: Bill, photos: readonly Photo[]): Content {
  const { labour, sheet: prices, labourTotal } = bill;
  if (labour.length === 0) return section(say`Labour`, html`<p>${say`The plan has no labour lines.`}</p>`);
  const unsupported = labour.filter(lacksReference).length;
  return section(
    say`Labour`,
    html`<table class="dense">
        <thead>
          <tr>
            <th scope="col">${say`Step`}</th>
            <th scope="col">${say`Work`}</th>
            <th scope="col">${say`Basis`}</th>
            <th scope="col">${say`Reference`}</th>
            <th scope="col">${say`Rate`}</th>
            <th scope="col" class="num">${say`Hours`}</th>
            <th scope="col" class="num">${say`Per hour`}</th>
            <th scope="col" class="num">${say`Amount`}</th>
          </tr>
        </thead>
        <tbody>
          ${labour.map(
            (charge) =>
              html`<tr>
                <td class="key">${charge.steps.join(', ')}</td>
                <td>
                  ${workText(plan, charge)}${photoMark(photos, charge.steps)}${subletText(charge, prices)}${reasonText(charge)}
                </td>
                <td class="nowrap">${basisWords[charge.basis]}</td>
                <td>
                  ${lacksReference(charge) ? html`<span class="mark">&#9670; ${say`none`}</span>` : (charge.reference ?? '')}
                </td>
                <td>${charge.rate ?? ''}</td>
                <td class="num">${exact(charge.hours)}</td>
                <td class="num">${money(charge.perHour, prices)}</td>
                ${amountCell(charge, prices)}
              </tr>`,
          )}
        </tbody>
        <tfoot>
          ${sumRow(say`Total labour`, labourTotal, prices, 7)}
        </tfoot>
      </table>
      ${
        unsupported > 0 &&
        html`<p class="note">
          &#9670;
          ${plural(
            unsupported,
            say`1 “not included” line has no reference: nothing here shows the payer that the work is not part of a published time.`,
            say`${unsupported} “not included” lines have no reference: nothing here shows the payer that the work is not part of a published time.`,
          )}
        </p>`
      }`,
  );
}

function materialSection(
  { materials, sheet: prices, materialsTotal }: Bill,
  photos: readonly Photo[],
): Content {
  if (materials.length === 0)
    return section(say`Materials`, html`<p>${say`The plan has no material lines.`}</p>`);
  const referred = materials.some(({ reference }) => reference !== undefined);
  return section(
    say`Materials`,
    html`<table class="dense">
      <thead>
        <tr>
          <th scope="col">${say`Step`}</th>
          <th scope="col">${say`Item`}</th>
          ${referred && html`<th scope="col">${say`Reference`}</th>`}
          <th scope="col" class="num">${say`Quantity`}</th>
          <th scope="col">${say`Unit`}</th>
          <th scope="col" class="num">${say`Price`}</th>
          <th scope="col" class="num">${say`Amount`}</th>
        </tr>
      </thead>
      <tbody>
        ${materials.map(
          (charge) =>
            html`<tr>
              <td class="key">${charge.steps.join(', ')}</td>
              <td>${charge.name ?? charge.item ?? ''}${photoMark(photos, charge.steps)}</td>
              ${referred && html`<td>${charge.reference ?? ''}</td>`}
              <td class="num">${exact(charge.quantity)}</td>
              <td>${charge.unit ?? ''}</td>
              <td class="num">
                ${charge.charged ? charge.price && localizedNumber(charge.price.toFixed(Math.max(prices.decimals ?? 0, decimalsOf(charge.price)))) : say`not billed`}
              </td>
              ${amountCell(charge, prices)}
            </tr>`,
        )}
      </tbody>
      <tfoot>
        ${sumRow(say`Total materials`, materialsTotal, prices, referred ? 6 : 5)}
      </tfoot>
    </table>`,
  );
}

const decimalsOf = (amount: Big): number => Math.max(0, amount.c.length - 1 - amount.e);

export const exact = (amount: Big | undefined): Value => (amount ? localizedNumber(amount.toFixed()) : '');

export const openWords = (open: number): Content =>
  open > 0 &&
  plural(open, say`, without 1 line that has no amount`, say`, without ${open} lines that have no amount`);

const sumRow = (name: Phrase, { amount, unpricedLines }: Sum, prices: PriceSheet, columns: number): Markup =>
  html`<tr>
    <td class="key" colspan="${columns}">${name}${openWords(unpricedLines)}</td>
    <td class="num key">${moneyText(amount, prices)}</td>
  </tr>`;

function totals({ sheet: prices, labourTotal, materialsTotal, net, taxes, gross }: Bill): Content {
  if (prices.decimals === undefined) {
    return html`<div class="stop">
      <p>${say`No total`}</p>
      <p>
        ${prices.currency === undefined ? say`The plan uses no rate sheet that could be read, so nothing has a price.` : say`${prices.currency} is not an ISO 4217 currency, so amounts cannot be rounded.`}
      </p>
    </div>`;
  }
  const row = (name: Content, amount: Big | undefined, kind = ''): Markup =>
    html`<tr class="${kind}">
      <td>${name}</td>
      <td class="num">
        ${amount ? moneyText(amount, prices) : html`<span class="mark">${say`unknown`}</span>`}
      </td>
    </tr>`;
  const taxed = { labour: say` on labour`, materials: say` on material`, both: '' } as const;
  return html`<section>
    <table class="totals dense">
      <tbody>
        ${row(say`Labour`, labourTotal.amount)}${row(say`Materials`, materialsTotal.amount)}${row(say`Subtotal before tax`, net.amount)}${taxes.map(
          ({ name, percent, on, amount }) =>
            row(html`${name}, ${percent ? exact(percent) : '?'} %${taxed[on]}`, amount),
        )}${row(html`${say`Additional work in ${prices.currency ?? ''}`}${openWords(gross.unpricedLines)}`, gross.amount, 'sum')}
      </tbody>
    </table>
  </section>`;
}

export function references(plan: Plan, { labour, materials }: Pick<Bill, 'labour' | 'materials'>): Content {
  const cited = labour.flatMap(({ line }) =>
    mapDefined(mapsIn(line.node.get('cites')), (cite) => cite.get('source')?.value),
  );
  const referred = [...labour, ...materials].flatMap(({ reference }) => reference ?? []);
  const used = [...new Set([...referred, ...cited])];
  if (used.length === 0) return undefined;
  const known = sourcesOf(plan);
  return section(say`References`, sourceTable(used.map((id) => known.get(id) ?? { id })));
}

function shares(bill: Bill): Content {
  const { byOperation, byConnector, byBasis, byRate, sheet: prices } = bill;
  const table = (title: Phrase, head: Phrase, parts: readonly CostShare[], without: Phrase): Markup =>
    html`<div>
      <h3>${title}</h3>
      <table class="dense">
        <thead>
          <tr>
            <th scope="col">${head}</th>
            <th scope="col" class="num">${say`Labour`}</th>
            <th scope="col" class="num">${say`Materials`}</th>
            <th scope="col" class="num">${say`Amount`}</th>
          </tr>
        </thead>
        <tbody>
          ${parts.map(
            ({ key, labour, materials, amount, unpricedLines }) =>
              html`<tr>
                <td class="key">${key === '' ? without : key}${unpricedLines > 0 && ' *'}</td>
                <td class="num">${moneyText(labour, prices)}</td>
                <td class="num">${moneyText(materials, prices)}</td>
                <td class="num">${moneyText(amount, prices)}</td>
              </tr>`,
          )}
        </tbody>
      </table>
    </div>`;
  const hours = (
    title: Phrase,
    head: Phrase,
    parts: Bill['byRate'],
    words: (part: HoursShare) => Content,
  ): Markup =>
    html`<div>
      <h3>${title}</h3>
      <table class="dense">
        <thead>
          <tr>
            <th scope="col">${head}</th>
            <th scope="col" class="num">${say`Hours`}</th>
            <th scope="col" class="num">${say`Amount`}</th>
          </tr>
        </thead>
        <tbody>
          ${parts.map(
            (part) =>
              html`<tr>
                <td class="key">${words(part)}${part.unpricedLines > 0 && ' *'}</td>
                <td class="num">${!part.sublet && exact(part.hours)}</td>
                <td class="num">${moneyText(part.amount, prices)}</td>
              </tr>`,
          )}
        </tbody>
      </table>
    </div>`;
  if (bill.labour.length + bill.materials.length === 0) return undefined;
  const open = [byOperation, byConnector, byBasis, byRate].some((parts) =>
    parts.some((part) => part.unpricedLines > 0),
  );
  return section(
    say`Breakdown`,
    html`<p class="note">
        ${say`Before tax. A line for several operations or connectors is shared equally among them, to the smallest unit.`}
        ${open && say`* without lines that have no amount`}
      </p>
      <div class="pair">
        ${table(say`By step`, say`Step`, byOperation, say`no step`)}
        <div>
          ${table(say`By connector`, say`Connector`, byConnector, say`whole vehicle`)}${hours(say`Labour by basis`, say`Basis`, byBasis, ({ key }) => own(basisWords, key))}${hours(say`Labour by rate`, say`Rate`, byRate, ({ key, sublet }) => (sublet ? say`another firm` : key === '' ? say`no rate named` : key))}
        </div>
      </div>`,
  );
}
