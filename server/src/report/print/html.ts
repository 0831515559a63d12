import { own } from '../../base/collections.ts';
import type { Language } from '../../language/language.ts';
import { inLanguage, deferred } from '../../language/phrase.ts';
import type { Phrase, Value } from '../../language/phrase.ts';
import { printable } from '../listing/printable.ts';

/**
 * Markup that is known to be safe. Made by `html` and, for pictures of our own, by `markup`. Like all that is said, it is
 * put together when it is shown, in the language of the page; in a place of a phrase it stays markup.
 */
export class Markup implements Phrase {
  readonly #parts: readonly string[];
  readonly #values: readonly Content[];

  constructor(parts: readonly string[], values: readonly Content[]) {
    this.#parts = parts;
    this.#values = values;
  }

  in(language: Language | undefined): string {
    return this.#parts
      .map((part, i) => part + (i < this.#values.length ? render(this.#values[i], language) : ''))
      .join('');
  }

  toString(): string {
    return this.in(undefined);
  }
}

export type Content = Value | undefined | false | readonly Content[];

const names: Readonly<Record<string, string>> = { '&': 'amp', '<': 'lt', '>': 'gt', '"': 'quot', "'": '#39' };

/** A text for HTML or SVG, as content or inside a quoted attribute. Characters that hide or turn text are shown. */
export const escape = (text: string): string =>
  printable(text.replaceAll(/\r?\n/g, ' ')).replace(/[&<>"']/g, (sign) => `&${own(names, sign)};`);

/** Every value is escaped, unless it is markup; lists are joined; `undefined` and `false` are nothing. */
export const html = (parts: TemplateStringsArray, ...values: readonly Content[]): Markup =>
  new Markup(parts, values);

/** A name from a file that stays on its line as long as the line can hold it. */
export const unbroken = (name: Value): Markup => html`<span class="id">${name}</span>`;

/** A message, in which what is to be written into a file stands between backticks. */
export const withCode = (message: Value): Markup =>
  markup(
    deferred((language) => inLanguage(message, language, escape).replace(/`([^`]+)`/g, '<code>$1</code>')),
  );

const isList = (content: Content): content is readonly Content[] => Array.isArray(content);

function render(content: Content, language: Language | undefined): string {
  if (content === undefined || content === false) return '';
  return isList(content)
    ? content.map((one) => render(one, language)).join('')
    : inLanguage(content, language, escape);
}

/** Markup from this program itself, such as a picture; never a text of a plan. */
export const markup = (text: string | Phrase): Markup =>
  typeof text === 'string' ? new Markup([text], []) : new Markup(['', ''], [unescaped(text)]);

const unescaped = (text: Phrase): Phrase => deferred((language) => text.in(language));

/** A text for a quoted string in a style sheet, where HTML's escapes mean nothing. */
export const cssString = (text: string): string =>
  `"${printable(text).replace(/[^A-Za-z0-9 .,()\u00a1-\uffff-]/gu, (sign) => `\\${sign.codePointAt(0)!.toString(16)} `)}"`;
