import { say } from '../../language/phrase.ts';
import type { Phrase, Value } from '../../language/phrase.ts';
import { html, markup } from './html.ts';
import type { Content, Markup } from './html.ts';
import type { SourceEntry } from './words.ts';

/** The sources of a plan, one per row; a number that refers to none of them is marked. */
export function sourceTable(sources: readonly (SourceEntry | { readonly id: string })[]): Markup {
  // Most sources have no location; an empty column would only squeeze the titles.
  const placed = sources.some((source) => 'where' in source && source.where !== '');
  const columns = [say`Title`, say`Publisher`, say`Edition`, ...(placed ? [say`Where`] : []), say`Date read`];
  return html`<table class="dense">
    <thead>
      <tr>
        <th scope="col">${say`No.`}</th>
        ${columns.map((name) => html`<th scope="col">${name}</th>`)}
      </tr>
    </thead>
    <tbody>
      ${sources.map(
        (source) =>
          html`<tr>
            <td class="key">${source.id}</td>
            ${
              'title' in source
                ? html`<td>${source.title}</td>
                    <td>${source.publisher}</td>
                    <td>${source.edition}</td>
                    ${placed && html`<td>${source.where}</td>`}
                    <td class="nowrap">${source.consulted}</td>`
                : html`<td colspan="${columns.length}">
                    <span class="mark">${say`not among the documents of the plan`}</span>
                  </td>`
            }
          </tr>`,
      )}
    </tbody>
  </table>`;
}

/** The markup around the rows of a streamed table; `numbers` are the numeric columns. */
export const tableFrame = (
  columns: readonly Phrase[],
  numbers: readonly number[] = [],
): { readonly start: Markup; readonly end: Markup } => {
  const heads = columns.map(
    (name, i) => html`<th scope="col" ${numbers.includes(i) && html` class="num"`}>${name}</th>`,
  );
  const head = html`<thead>
    <tr>
      ${heads}
    </tr>
  </thead>`;
  return { start: html`${markup('<table>')}${head}${markup('<tbody>')}`, end: markup('</tbody></table>') };
};

interface Signature {
  readonly role: Value;
  readonly name?: Content;
  readonly date?: string;
}

/** Who answers for it, with room to sign. */
export const signatureTable = (signatures: readonly Signature[]): Markup =>
  html`<table class="sigs">
    <thead>
      <tr>
        <th scope="col">${say`Role`}</th>
        <th scope="col">${say`Name`}</th>
        <th scope="col">${say`Date`}</th>
        <th scope="col">${say`Signature`}</th>
      </tr>
    </thead>
    <tbody>
      ${signatures.map(
        ({ role, name, date }) =>
          html`<tr>
            <td>${role}</td>
            <td>${name}</td>
            <td>${date}</td>
            <td></td>
          </tr>`,
      )}
    </tbody>
  </table>`;
