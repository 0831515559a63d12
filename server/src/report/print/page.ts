import { languageOf } from '../../language/language.ts';
import { andList, deferred, say } from '../../language/phrase.ts';
import type { Phrase, Value } from '../../language/phrase.ts';
import { cssString, html, markup } from './html.ts';
import type { Content, Markup } from './html.ts';
import { houseStyle } from './style.ts';
import type { PlanHead } from './words.ts';
import { generator } from './print-mark.ts';
import { typeset } from './typeset.ts';

/** What every print gets from outside. */
export interface PrintOptions {
  /** The day of the print, ISO 8601. */
  readonly today: string;
  /** The usual caution. */
  readonly caution: Value;
  /** Tag of the language of the print; English when absent. */
  readonly language?: string | undefined;
}

interface Frame {
  /** What kind of sheet it is: "Job card". */
  readonly kind: Phrase;
  /** The number in the frame. */
  readonly number: string;
  /** What the number is the number of; a repair plan, unless stated. */
  readonly numbered?: Phrase;
  readonly title: Value;
  /** Puts the caution above everything else rather than at the end, for a page that people work from or release work by. */
  readonly cautionFirst?: boolean;
  /** The body contains pictures as `data:` URLs. */
  readonly pictures?: boolean;
}

/**
 * A whole page of HTML that needs nothing else: no script, no file, no network. Prints on A4 and on Letter; the foot
 * of every printed page says which plan it belongs to.
 */
export function printPage(
  { body, photographs, ...rest }: Frame & { readonly body: Content; readonly photographs?: Content },
  options: PrintOptions,
): string {
  const { start, caution, end } = pageFrame(rest, options);
  const language = languageOf(options.language);
  const set = (part: Content): string => typeset(html`${part}`.in(language), language);
  // The photographs come last: a browser moves the caution to a page of its own behind them.
  return `${start}${set(body)}${caution}${set(photographs)}${end}`;
}

/** Page footer. The counters are CSS, not text. */
const pages = say`page ${deferred(() => ' counter(page) ')} of ${deferred(() => ' counter(pages) ')}`;

/** Other languages need more room: use smaller type on tags. */
const longWords =
  'article.tag td{overflow-wrap:break-word}article.tag th{letter-spacing:-.06em}article.tag td{font-size:8pt}';

/** The markup around the body of a page. */
export function pageFrame(
  { kind, number, numbered = say`Repair plan`, title, cautionFirst = false, pictures = false }: Frame,
  { today, caution, language: tag }: PrintOptions,
): { readonly start: string; readonly caution: string; readonly end: string } {
  const language = languageOf(tag);
  const name = say`${kind} ${number}`;
  const left = cssString(`${name.in(language)}, ${today}`);
  const right = pages.in(language, cssString);
  const foot = `@page{@bottom-left{content:${left}}@bottom-right{content:${right}}}`;
  const warned = html`<div class="caution" role="note">
    <p><strong>${cautionFirst ? say`Before anything else.` : say`Caution.`}</strong> ${caution}</p>
  </div>`;
  const head = html`<head>
    <meta charset="utf-8" />
    <meta
      http-equiv="Content-Security-Policy"
      content="default-src 'none'; style-src 'unsafe-inline'${pictures && '; img-src data:'}"
    />
    <meta name="viewport" content="width=device-width, initial-scale=1" />
    <meta name="generator" content="${generator}" />
    <title>${name}</title>
    <style>
      ${markup(houseStyle + foot + (language ? longWords : ''))}
    </style>
  </head>`;
  const top = html`<header class="head">
      <div class="kind">
        <p class="label">Plugward</p>
        <h1>${kind}</h1>
        <p class="what">${title}</p>
      </div>
      <div class="number">
        <p class="label">${numbered}</p>
        <p>${number}</p>
      </div>
    </header>
    ${cautionFirst && warned}`;
  return {
    start: `<!doctype html>\n<html lang="${language?.tag ?? 'en'}">${head.in(language)}<body>${typeset(top.in(language), language)}<main>`,
    caution: cautionFirst ? '' : typeset(warned.in(language), language),
    end: `</main></body></html>\n`,
  };
}

/** A row of labelled values, as in a form; an empty one leaves room for writing. */
export const fields = (
  entries: readonly (readonly [label: Value, value: Content, span?: number])[],
): Markup =>
  html`<dl class="fields">
    ${entries.map(
      ([label, value, span = 1]) =>
        html`<div${markup(span > 1 ? ` class="span${span}"` : '')}><dt>${label}</dt><dd>${value === '' ? markup('&#160;') : value}</dd></div>`,
    )}
  </dl>`;

/** A box to tick. */
export const box = (label: Value): Markup =>
  html`<span class="tick"><span class="box" aria-hidden="true"></span>${label}</span>`;

/** A line to write on. */
export const blankLine = (label: Value, unit: Value = '', width: 'short' | 'long' = 'short'): Markup =>
  html`<span class="write"
    ><span class="label">${label}</span><span class="line ${width}"></span>${unit}</span
  >`;

export const section = (title: Phrase, body: Content, kind = '', id?: string): Markup =>
  html`<section class="${kind}" ${id !== undefined && html` id="${id}"`}>
    <h2>${title}</h2>
    ${body}
  </section>`;

export type Sign = 'general' | 'voltage';

/** A triangle with its sign, as warnings are marked everywhere, drawn in outline. */
export const sign = (kind: Sign): Markup =>
  markup(
    `<svg class="sign" viewBox="0 0 20 18" aria-hidden="true"><path d="M10 1.2 18.8 16.6H1.2Z" fill="none" stroke="currentColor" stroke-width="1.6" stroke-linejoin="round"/>${
      kind === 'voltage'
        ? '<path d="M10.8 5.6 7.9 10.9h2.2L9.2 15l3.2-5.5h-2.3z" fill="currentColor"/>'
        : '<path d="M10 6.2v5.2" stroke="currentColor" stroke-width="1.8" stroke-linecap="round"/><circle cx="10" cy="14" r="1.05" fill="currentColor"/>'
    }</svg>`,
  );

export const warning = (text: Content, kind: Sign = 'general'): Markup =>
  html`<p class="warning">${sign(kind)}<span>${text}</span></p>`;

/** The labelled values that identify the vehicle and the plan. */
export const planFields = (
  head: PlanHead,
  more: readonly (readonly [Value, Content, number?])[] = [],
): Markup =>
  fields([
    [say`Vehicle`, head.vehicle, 2],
    [say`VIN`, head.vin, 2],
    [say`Propulsion`, head.propulsion],
    [say`System voltage`, head.voltage],
    [say`Arrived`, head.arrived],
    ...(head.cameIn.length > 0 ? [[say`Came in`, andList(head.cameIn), 2] as const] : []),
    ...more,
    ...(head.noScan
      ? [
          [
            say`Scan for fault codes`,
            say`Not possible: ${head.noScan.reason} (${head.noScan.source})`,
            6,
          ] as const,
        ]
      : []),
  ]);
