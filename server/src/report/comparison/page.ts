import { isSame } from '../../compare/compare.ts';
import type { Comparison } from '../../compare/compare.ts';
import { say } from '../../language/phrase.ts';
import type { Value } from '../../language/phrase.ts';
import { html, markup, withCode } from '../print/html.ts';
import type { Content, Markup } from '../print/html.ts';
import { planFields, printPage, section } from '../print/page.ts';
import type { PrintOptions } from '../print/page.ts';
import { headOf } from '../print/words.ts';
import { comparisonSections } from './sections.ts';
import type { ComparisonLine, Mark } from './sections.ts';

/** What a line tells of, for those who see no signs: the first column. */
const marks: Readonly<Record<Mark, Value>> = {
  '+': say`new`,
  '-': say`gone`,
  '~': say`changed`,
  error: say`new error`,
  warning: say`new warning`,
  information: say`new note`,
};

/** The rows of what changed; `attributes` are put on the row of each. */
function comparisonBody(
  comparison: Comparison,
  attributes: (line: ComparisonLine) => Content = () => undefined,
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
              (line) =>
                html`<tr${attributes(line)}>
                  <td class="key nowrap">${marks[line.mark]}</td>
                  <td>${withCode(line.text)}</td>
                </tr>`,
            )}
          </tbody>
        </table>`
      }${notes.map((note) => html`<p class="note">${note}</p>`)}`,
    ),
  )}`;
}

/**
 * What changed, as a part of the preview: its rows lead to their places in the new text, and its steps are those to be
 * marked there.
 */
export function comparisonPart(
  comparison: Comparison,
  since: string,
): { readonly part: Content; readonly steps: ReadonlySet<string> } {
  const { uri } = comparison.new.plan.document;
  const place = ({ mark, at }: ComparisonLine): Content =>
    mark !== '-' && at?.uri === uri && markup(` data-from="${at.start}" data-spans="${at.start}-${at.end}"`);
  const changed = comparisonSections(comparison).flatMap(({ lines }) =>
    lines.flatMap(({ mark, step }) => (step !== undefined && (mark === '+' || mark === '~') ? [step] : [])),
  );
  return {
    part: html`<section class="since">
      <h2>${say`Changed since ${since}`}</h2>
      ${comparisonBody(comparison, place)}
    </section>`,
    steps: new Set(changed),
  };
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
