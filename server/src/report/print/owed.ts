import { billOf } from '../../costing/bill.ts';
import type { Bill } from '../../costing/bill.ts';
import { say } from '../../language/phrase.ts';
import type { Plan } from '../../plan/plan.ts';
import { amountCell, exact } from './estimate.ts';
import { html } from './html.ts';
import type { Content } from './html.ts';
import { planFields, printPage, section } from './page.ts';
import type { PrintOptions } from './page.ts';
import { workTitle } from './task-words.ts';
import { plural, gapWords, headOf, moneyText } from './words.ts';

/** The shop's own page: work and material that the plan owes to the bill and that no line charges. */
export function owedPage(plan: Plan, options: PrintOptions): string {
  const head = headOf(plan);
  const body = html`${planFields(head, [[say`Date`, options.today, 5]])}${stakeSection(plan, billOf(plan))}`;
  return printPage({ kind: say`Not yet billed`, number: head.number, title: head.title, body }, options);
}

function stakeSection(plan: Plan, { stake, sheet: prices }: Bill): Content {
  const title = say`Not yet billed`;
  if (!stake) {
    return section(
      title,
      html`<p>
        ${say`The text of the plan is damaged where its lines are, so it cannot be said which are missing.`}
      </p>`,
    );
  }
  if (stake.labour.length + stake.materials.length === 0) {
    return section(
      title,
      html`<p>${say`None: every step and every consumable to be billed has its line.`}</p>`,
    );
  }
  return html`<section class="stake">
    <h2>${title}</h2>
    <p>
      ${say`Work and materials in the plan without a line, at the shop's own times, rates and prices. For the shop; not part of the estimate.`}
    </p>
    <table class="dense">
      <thead>
        <tr>
          <th scope="col">${say`Step`}</th>
          <th scope="col">${say`Missing line`}</th>
          <th scope="col" class="num">${say`Hours or quantity`}</th>
          <th scope="col" class="num">${say`Value`}</th>
        </tr>
      </thead>
      <tbody>
        ${stake.labour.map(
          (missing) =>
            html`<tr>
              <td class="key">${missing.step.id}</td>
              <td>${workTitle(plan, missing.task)}</td>
              <td class="num">${missing.hours && html`${exact(missing.hours)} h`}</td>
              ${amountCell(missing, prices)}
            </tr>`,
        )}${stake.materials.map(
          (missing) =>
            html`<tr>
              <td class="key">${missing.step.id}</td>
              <td>${missing.name}</td>
              <td class="num">
                ${exact(missing.quantity)}${missing.unit !== undefined && ` ${missing.unit}`}
              </td>
              <td class="num">
                ${missing.amount ? moneyText(missing.amount, prices) : html`<span class="mark">${missing.gap ? gapWords[missing.gap] : ''}</span>`}
              </td>
            </tr>`,
        )}
      </tbody>
      <tfoot>
        <tr class="sum">
          <td colspan="3">
            ${
              stake.unpricedLines === 0
                ? say`Not yet billed, before tax`
                : plural(
                    stake.unpricedLines,
                    say`Not yet billed, with 1 more line of unknown value, before tax`,
                    say`Not yet billed, with ${stake.unpricedLines} more lines of unknown value, before tax`,
                  )
            }
          </td>
          <td class="num">${moneyText(stake.amount, prices)} ${prices.currency ?? ''}</td>
        </tr>
      </tfoot>
    </table>
  </section>`;
}
