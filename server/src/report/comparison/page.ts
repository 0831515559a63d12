import { isSame } from '../../compare/compare.ts';
import type { Comparison } from '../../compare/compare.ts';
import { say } from '../../language/phrase.ts';
import type { Value } from '../../language/phrase.ts';
import { html } from '../print/html.ts';
import type { Content, Markup } from '../print/html.ts';
import { planFields, printPage, section } from '../print/page.ts';
import type { PrintOptions } from '../print/page.ts';
import { headOf } from '../print/words.ts';
import { comparisonSections } from './sections.ts';
import type { Mark } from './sections.ts';

/** What a line tells of, for those who see no signs: the first column. */
const marks: Readonly<Record<Mark, Value>> = {
  '+': say`new`,
  '-': say`gone`,
  '~': say`changed`,
  error: say`new error`,
  warning: say`new warning`,
  information: say`new note`,
};

/** The rows of what changed; `attributes` are put on the row of a step. */
function comparisonBody(
  comparison: Comparison,
  attributes: (step: string) => Content = () => undefined,
): Markup {
  if (isSame(comparison)) return html`<p>${say`No change in meaning.`}</p>`;
  return html`${comparisonSections(comparison).map(({ title, lines, notes }) =>
    section(
      title,
      html`${
        lines.length > 0 &&
        html`<table class="dense changes">
          <tbody>
            ${lines.map(
              ({ mark, text, step }) =>
                html`<tr ${step !== undefined && attributes(step)}>
                  <td class="key nowrap">${marks[mark]}</td>
                  <td>${text}</td>
                </tr>`,
            )}
          </tbody>
        </table>`
      }${notes.map((note) => html`<p class="note">${note}</p>`)}`,
    ),
  )}`;
}

/** What changed, as a page for the reviewer. */
export function comparisonPage(
  comparison: Comparison,
  options: PrintOptions & { readonly old: string; readonly new: string },
): string {
  const head = headOf(comparison.new.plan);
  return printPage(
    {
      kind: say`What changed`,
      number: head.number,
      title: head.title,
      body: html`${planFields(head, [
        [say`Before`, options.old, 3],
        [say`Now`, options.new, 3],
        [say`Date`, options.today, 1],
      ])}${comparisonBody(comparison)}`,
    },
    options,
  );
}
