import { printable } from '../listing/printable.ts';

/** Markup that is known to be safe. Made by `html` and, for pictures of our own, by `markup`. */
export class Markup {
  constructor(readonly text: string) {}
}

export type Content = string | number | Markup | undefined | false | readonly Content[];

const names: Readonly<Record<string, string>> = { '&': 'amp', '<': 'lt', '>': 'gt', '"': 'quot', "'": '#39' };

/** A text for HTML or SVG, as content or inside a quoted attribute. Characters that hide or turn text are shown. */
export const escape = (text: string): string =>
  printable(text.replaceAll(/\r?\n/g, ' ')).replace(/[&<>"']/g, (sign) => `&${names[sign]};`);

/** Every value is escaped, unless it is markup; lists are joined; `undefined` and `false` are nothing. */
export function html(parts: TemplateStringsArray, ...values: readonly Content[]): Markup {
  return new Markup(parts.map((part, i) => part + (i < values.length ? render(values[i]) : '')).join(''));
}

function render(content: Content): string {
  if (content === undefined || content === false) return '';
  if (content instanceof Markup) return content.text;
  if (typeof content === 'object') return content.map(render).join('');
  return escape(String(content));
}

/** Markup from this program itself, such as a picture; never a text of a plan. */
export const markup = (text: string): Markup => new Markup(text);

/** A text for a quoted string in a style sheet, where HTML's escapes mean nothing. */
export const cssString = (text: string): string =>
  `"${printable(text).replace(/[^A-Za-z0-9 .,()\u00a1-\uffff-]/gu, (sign) => `\\${sign.codePointAt(0)!.toString(16)} `)}"`;
