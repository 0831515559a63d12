import type Big from 'big.js';
import type { Comparison } from '../../compare/compare.ts';
import type { LineChange } from '../../compare/money.ts';
import type { LabourCharge, MaterialCharge } from '../../costing/bill.ts';
import { localizedNumber, say } from '../../language/phrase.ts';
import type { Phrase, Value } from '../../language/phrase.ts';
import type { Plan } from '../../plan/plan.ts';
import { connectorsOf, exact, openWords, references, scopeOfEstimate, subletText } from './estimate.ts';
import { html } from './html.ts';
import type { Content, Markup } from './html.ts';
import { releaseBlockers } from './job-card.ts';
import { planFields, printPage, section } from './page.ts';
import type { PrintOptions } from './page.ts';
import { photoMark, photoSection, photosOf } from './photos.ts';
import type { Photo, PhotoFiles } from './photos.ts';
import { workTitle } from './task-words.ts';
import { gapWords, headOf, moneyText } from './words.ts';

export interface SupplementOptions extends PrintOptions {
  readonly photos?: PhotoFiles;
  /** How the two versions are called. */
  readonly old: string;
  readonly new: string;
}

/** The payer's page of a difference: the changed lines alone, each with its reason and reference, and what they come to. */
export function supplement(comparison: Comparison, options: SupplementOptions): string {
  const { money, new: now, old } = comparison;
  const head = headOf(now.plan);
  const lines = [...money.labour, ...money.materials];
  const steps = new Set(lines.flatMap((line) => line.new?.steps ?? []));
  const photos = photosOf(now.plan).filter(({ operation }) => steps.has(operation));
  const errors = now.findings.filter(({ severity }) => severity === 'error').length;
  const body = html`${releaseBlockers(now.plan, errors)}${planFields(head, [
      [say`Currency`, money.new.sheet.currency ?? say`none`, 2],
      [say`Date`, options.today, 3],
      [say`Before`, options.old, 3],
      [say`Now`, options.new, 3],
    ])}
    <p class="note">${scopeOfEstimate}</p>
    ${
      lines.length === 0
        ? html`<p>${say`No line changed.`}</p>`
        : html`${table(say`Labour`, money.labour, comparison, photos)}${table(say`Materials`, money.materials, comparison, photos)}`
    }${totals(comparison)}${references(now.plan, {
      labour: money.labour.flatMap((line) => line.new ?? []),
      materials: money.materials.flatMap((line) => line.new ?? []),
    })}`;
  const photographs = photoSection(now.plan, photos, options.photos ?? new Map());
  const number = head.number === '' ? headOf(old.plan).number : head.number;
  return printPage(
    { kind: say`Supplement`, number, title: head.title, body, photographs, pictures: photos.length > 0 },
    options,
  );
}

function table(
  title: Phrase,
  lines: readonly LineChange<LabourCharge | MaterialCharge>[],
  comparison: Comparison,
  photos: readonly Photo[],
): Content {
  if (lines.length === 0) return undefined;
  return section(
    title,
    html`<table class="dense">
      <thead>
        <tr>
          <th scope="col">${say`Step`}</th>
          <th scope="col">${say`Work and reason`}</th>
          <th scope="col">${say`Reference`}</th>
          <th scope="col" class="num">${say`Before`}</th>
          <th scope="col" class="num">${say`Now`}</th>
          <th scope="col" class="num">${say`Difference`}</th>
        </tr>
      </thead>
      <tbody>
        ${lines.map((line) => row(line, comparison, photos))}
      </tbody>
    </table>`,
  );
}

function row(
  line: LineChange<LabourCharge | MaterialCharge>,
  { old, new: now, money }: Comparison,
  photos: readonly Photo[],
): Markup {
  const charge = line.new ?? line.old!;
  const plan = line.new ? now.plan : old.plan;
  const connectors = connectorsOf(plan, charge.steps);
  const reason = 'basis' in charge ? charge.line.node.get('reason')?.value : undefined;
  return html`<tr>
    <td class="key">${charge.steps.join(', ')}</td>
    <td>
      ${nameOf(plan, charge)}${connectors.length > 0 && html` <span class="beside">${connectors.join(', ')}</span>`}${photoMark(photos, charge.steps)}
      ${'basis' in charge && subletText(charge, line.new ? money.new.sheet : money.old.sheet)}${reason !== undefined && html`<br /><span class="note">${reason}</span>`}
    </td>
    <td>${charge.reference ?? ''}</td>
    <td class="num">${amountText(line.old, money.old)}</td>
    <td class="num">${amountText(line.new, money.new)}</td>
    <td class="num">
      ${line.old?.gap === undefined && line.new?.gap === undefined ? signed(line.difference, money.new) : '?'}
    </td>
  </tr>`;
}

const nameOf = (plan: Plan, charge: LabourCharge | MaterialCharge): Value =>
  'item' in charge
    ? (charge.name ?? charge.item ?? '')
    : charge.task === undefined
      ? ''
      : workTitle(plan, charge.task);

/** "0.3 h, 28.80"; a dash where there was no line. */
function amountText(
  charge: LabourCharge | MaterialCharge | undefined,
  bill: Comparison['money']['new'],
): Content {
  if (!charge) return '–';
  const count =
    'item' in charge
      ? charge.quantity && html`${exact(charge.quantity)} ${charge.unit ?? ''}, `
      : charge.hours && html`${exact(charge.hours)} h, `;
  return html`${count}${charge.amount ? moneyText(charge.amount, bill.sheet) : html`<span class="mark">${charge.gap ? gapWords[charge.gap] : ''}</span>`}`;
}

const signed = (amount: Big, bill: Comparison['money']['new']): Content =>
  html`${amount.gt(0) ? '+' : amount.lt(0) ? '−' : ''}${moneyText(amount.abs(), bill.sheet)}`;

function totals({ money }: Comparison): Content {
  if (money.net === undefined || money.gross === undefined) {
    return html`<div class="stop">
      <p>${say`No total`}</p>
      <p>${say`The two versions are priced in different currencies.`}</p>
    </div>`;
  }
  const taxes = money.gross.minus(money.net);
  const line = (name: Content, amount: Big, kind = ''): Markup =>
    html`<tr class="${kind}">
      <td>${name}</td>
      <td class="num">${signed(amount, money.new)}</td>
    </tr>`;
  const rates = money.new.taxes.map(
    ({ name, percent }) => html`${name}, ${percent ? localizedNumber(percent.toFixed()) : '?'} %`,
  );
  const open = [...money.labour, ...money.materials].filter(
    (line) => (line.old?.gap ?? line.new?.gap) !== undefined,
  ).length;
  return html`<section>
    <table class="totals dense">
      <tbody>
        ${line(say`Before tax`, money.net)}${line(rates.length === 1 ? rates[0] : say`Taxes`, taxes)}${line(html`${say`Difference in ${money.new.sheet.currency ?? ''}`}${openWords(open)}`, money.gross, 'sum')}
      </tbody>
    </table>
  </section>`;
}
