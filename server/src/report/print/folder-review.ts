import type Big from 'big.js';
import { sumAmounts } from '../../costing/decimal.ts';
import { languageOf } from '../../language/language.ts';
import { andList, say } from '../../language/phrase.ts';
import type { Phrase, Value } from '../../language/phrase.ts';
import { findingById } from '../../findings/registry.ts';
import { severities } from '../../base/severities.ts';
import type { Severity } from '../listing/listing.ts';
import { html, Markup, markup } from './html.ts';
import type { Content } from './html.ts';
import { folderEntry, grades } from './folder-entry.ts';
import type { FolderEntry, FolderTexts } from './folder-entry.ts';
import { acceptanceFrame } from './acceptances.ts';
import type { Reviewed, ReviewOptions } from './review.ts';
import { fields, pageFrame } from './page.ts';
import { tableFrame } from './tables.ts';
import { plural, linesText, moneyText, roleTitle } from './words.ts';

/** The parts of the page, in their order; each can be printed alone. */
export const folderParts = ['plans', 'by-finding', 'sign-offs', 'acceptances', 'details'] as const;
export type FolderPart = (typeof folderParts)[number];

const partTitles: Readonly<Record<FolderPart, Phrase>> = {
  plans: say`Plans, the worst first`,
  'by-finding': say`Findings by kind`,
  'sign-offs': say`Sign-offs that are missing`,
  acceptances: say`Findings that are accepted`,
  details: say`Findings of each plan`,
};

/** A reference to a spooled fragment. */
export interface SpooledText {
  readonly entry: FolderEntry;
  readonly text: keyof FolderTexts;
}

export interface Folder {
  readonly name: string;
  readonly entries: readonly FolderEntry[];
  readonly unread: readonly { readonly uri: string; readonly reason: Value }[];
  /** The parts to print; all of them, unless stated. */
  readonly only?: readonly FolderPart[];
}

/** The whole page of files that are all at hand. */
export function folderReview(
  { files, ...folder }: Omit<Folder, 'entries'> & { readonly files: readonly Reviewed[] },
  options: ReviewOptions,
): string {
  const texts = new Map<FolderEntry, FolderTexts>();
  for (const file of files) {
    const made = folderEntry(file, options);
    texts.set(made.entry, made.texts);
  }
  return [...folderPage({ ...folder, entries: [...texts.keys()] }, options)]
    .map((piece) => (typeof piece === 'string' ? piece : texts.get(piece.entry)![piece.text]))
    .join('');
}

/**
 * The page of all files that passed: totals, contents, and the parts, the worst plan first. Yielded piece by
 * piece, so that the whole is never in memory; spooled fragments are read back where they belong.
 */
export function* folderPage(
  { name, entries: given, unread, only = folderParts }: Folder,
  options: ReviewOptions,
): Generator<string | SpooledText> {
  const entries = [...given].sort(worstFirst);
  const plans = entries.filter(({ isPlan }) => isPlan);
  // Other files come after all plans.
  const shown: Shown[] = [...plans, ...entries.filter(({ isPlan }) => !isPlan)].map((entry, i) => ({
    entry,
    ...(only.includes('details') && { id: `file-${i + 1}` }),
  }));
  const parts = folderParts.filter((part) => only.includes(part));
  const { start, end } = pageFrame(
    {
      kind: say`Review`,
      number: name,
      numbered: say`Folder`,
      title: say`All plans of the folder, the worst first`,
      cautionFirst: true,
    },
    options,
  );
  const language = languageOf(options.language);
  yield start;
  yield html`${totals(plans, entries, options.today)}${
    unread.length > 0 &&
    html`<div class="stop">
      <p>
        ${plural(unread.length, say`1 file could not be read`, say`${unread.length} files could not be read`)}
      </p>
      ${unread.map(({ uri, reason }) => html`<p>${options.name(uri)}: ${reason}.</p>`)}
    </div>`
  }${contents(parts)}`.in(language);
  for (const part of parts) {
    yield html`${markup(`<section class="part" id="${part}">`)}
      <h2>${partTitles[part]}</h2>`.in(language);
    for (const piece of bodies[part](shown)) yield piece instanceof Markup ? piece.in(language) : piece;
    yield '</section>';
  }
  yield end;
}

interface Shown {
  readonly entry: FolderEntry;
  /** The anchor of its findings on the page, if any. */
  readonly id?: string;
}

const bodies: Readonly<Record<FolderPart, (shown: readonly Shown[]) => Iterable<Markup | SpooledText>>> = {
  plans: planTable,
  'by-finding': findingIndex,
  'sign-offs': signOffTable,
  acceptances: acceptances,
  details: details,
};

function totals(plans: readonly FolderEntry[], all: readonly FolderEntry[], today: string): Markup {
  const total = (grade: Severity): string => String(all.reduce((sum, { counts }) => sum + counts[grade], 0));
  const clean = plans.filter(({ counts }) => severities.every((grade) => counts[grade] === 0)).length;
  return fields([
    [say`Plans`, String(plans.length)],
    [say`Without findings`, String(clean)],
    [say`Errors`, total('error')],
    [say`Warnings`, total('warning')],
    [say`For information`, total('information')],
    [say`Checked as of`, today],
    [say`Not yet billed, before tax`, stakeTotal(plans), 6],
  ]);
}

/** Links to the parts. A part that was chosen here prints alone; the style sheet sees to it, without a script. */
const contents = (parts: readonly FolderPart[]): Content =>
  parts.length > 1 &&
  html`<nav class="contents" aria-label="${say`Contents`}">
    <p id="all">
      <span class="label">${say`Contents`}</span>
      ${parts.map((part) => html`<a href="#${part}">${partTitles[part]}</a> `)}<a class="screen" href="#all"
        >${say`All parts`}</a
      >
    </p>
    <p class="note screen">
      ${say`Choose a part here, or a plan in the list, to print it alone; choose All parts to print all of it.`}
    </p>
  </nav>`;

/** By errors, then warnings, then information; equals by name. */
function worstFirst(a: FolderEntry, b: FolderEntry): number {
  for (const grade of severities) {
    if (a.counts[grade] !== b.counts[grade]) return b.counts[grade] - a.counts[grade];
  }
  return a.file < b.file ? -1 : 1;
}

/** Sums by currency; money of two currencies is never added up. */
function stakeTotal(plans: readonly FolderEntry[]): Phrase {
  const byCurrency = new Map<string, { amounts: Big[]; decimals: number }>();
  for (const { stake } of plans) {
    if (!stake) continue;
    const known = byCurrency.get(stake.currency) ?? { amounts: [], decimals: stake.decimals };
    known.amounts.push(stake.amount);
    byCurrency.set(stake.currency, known);
  }
  const sums = [...byCurrency].map(
    ([currency, { amounts, decimals }]) => say`${moneyText(sumAmounts(amounts), { decimals })} ${currency}`,
  );
  const open = plans.reduce((sum, one) => sum + one.open, 0);
  const unknown = open > 0 ? [say`${linesText(open)} of unknown value`] : [];
  const all: readonly Phrase[] = [...sums, ...unknown];
  return all.length === 0 ? say`none` : all.reduce((first, next) => say`${first}, and ${next}`);
}

/** A plan's number, leading to its findings where there are any. */
const linked = ({ entry, id }: Shown): Content => {
  const name = entry.number === '' ? entry.file : entry.number;
  return id !== undefined && entry.findings.length > 0 ? html`<a href="#${id}">${name}</a>` : name;
};

function* planTable(shown: readonly Shown[]): Generator<Markup> {
  const plans = shown.filter(({ entry }) => entry.isPlan);
  if (plans.length === 0) {
    yield html`<p>${say`There is no repair plan in this folder.`}</p>`;
    return;
  }
  const { start, end } = tableFrame(
    [
      say`Plan`,
      say`Repair`,
      say`Errors`,
      say`Warnings`,
      say`Info`,
      say`Not billed`,
      say`Signed`,
      say`Acceptances`,
    ],
    [2, 3, 4, 5],
  );
  yield start;
  for (const one of plans) yield planRow(one);
  yield end;
}

function planRow(one: Shown): Markup {
  const { title, file, counts, stake, open, missingRoles, accepted } = one.entry;
  const amount = stake && say`${moneyText(stake.amount, stake)} ${stake.currency}`;
  const worth = amount ? (open > 0 ? say`${amount} + ${open} unknown` : amount) : say`unknown`;
  return html`<tr>
    <td class="key">${linked(one)}</td>
    <td>${title}<br /><span class="note">${file}</span></td>
    <td class="num key">${counts.error}</td>
    <td class="num">${counts.warning}</td>
    <td class="num">${counts.information}</td>
    <td class="num">${worth}</td>
    <td>
      ${missingRoles.length === 0 ? say`yes` : html`<span class="mark">${plural(missingRoles.length, say`1 role missing`, say`${missingRoles.length} roles missing`)}</span>`}
    </td>
    <td>
      ${accepted.all === 0 ? say`none` : accepted.all}${accepted.runOut > 0 && html` <span class="mark">${say`${accepted.runOut} expired`}</span>`}
    </td>
  </tr>`;
}

/** So many files are named for one finding; the rest is counted. */
const maxNamed = 24;

/** Each kind of finding once: how often, and in which plans. */
function* findingIndex(shown: readonly Shown[]): Generator<Markup> {
  const kinds = new Map<string, { grade: Severity; count: number; where: Shown[] }>();
  for (const one of shown) {
    for (const { id, grade, count } of one.entry.findings) {
      const known = kinds.get(id) ?? { grade, count: 0, where: [] };
      kinds.set(id, known);
      if (severities.indexOf(grade) < severities.indexOf(known.grade)) known.grade = grade;
      known.count += count;
      known.where.push(one);
    }
  }
  if (kinds.size === 0) {
    yield html`<p>${say`No findings.`}</p>`;
    return;
  }
  const rows = [...kinds].sort(
    ([a, { grade, count }], [b, other]) =>
      severities.indexOf(grade) - severities.indexOf(other.grade) || other.count - count || (a < b ? -1 : 1),
  );
  yield html`<table>
    <thead>
      <tr>
        <th scope="col">${say`Severity`}</th>
        <th scope="col">${say`Finding`}</th>
        <th scope="col" class="num">${say`Times`}</th>
        <th scope="col" class="num">${say`Files`}</th>
        <th scope="col">${say`In`}</th>
      </tr>
    </thead>
    <tbody>
      ${rows.map(
        ([id, { grade, count, where }]) =>
          html`<tr>
            <td class="nowrap ${grade === 'error' ? 'key' : ''}">${grades[grade]}</td>
            <td>${findingById.get(id)?.title ?? ''} <span class="note nowrap">${id}</span></td>
            <td class="num key">${count}</td>
            <td class="num">${where.length}</td>
            <td>
              ${where.slice(0, maxNamed).map((one, i) => html`${i > 0 && ', '}<span class="nowrap">${linked(one)}</span>`)}${where.length > maxNamed && say` and ${where.length - maxNamed} more`}
            </td>
          </tr>`,
      )}
    </tbody>
  </table>`;
}

function* signOffTable(shown: readonly Shown[]): Generator<Markup> {
  const unsigned = shown.filter(({ entry }) => entry.missingRoles.length > 0);
  if (unsigned.length === 0) {
    yield html`<p>${say`Every plan has the sign-offs that its rate sheet requires.`}</p>`;
    return;
  }
  const { start, end } = tableFrame([say`Plan`, say`Repair`, say`Not signed as`]);
  yield start;
  for (const one of unsigned) {
    yield html`<tr>
      <td class="key">${linked(one)}</td>
      <td>${one.entry.title}</td>
      <td>${andList(one.entry.missingRoles.map(roleTitle))}</td>
    </tr>`;
  }
  yield end;
}

function* acceptances(shown: readonly Shown[]): Generator<Markup | SpooledText> {
  const accepting = shown.filter(({ entry }) => entry.accepted.all > 0);
  if (accepting.length === 0) {
    yield html`<p>${say`No finding is accepted.`}</p>`;
    return;
  }
  const { start, end } = acceptanceFrame(true);
  yield start;
  // Expired ones first, since they need a new decision.
  for (const runOut of [true, false]) {
    for (const { entry } of accepting) {
      if (entry.accepted.runOut > 0 === runOut) yield { entry, text: 'acceptances' };
    }
  }
  yield end;
}

function* details(shown: readonly Shown[]): Generator<Markup | SpooledText> {
  const found = shown.filter(({ entry }) => entry.findings.length > 0);
  if (found.length === 0) yield html`<p>${say`No findings.`}</p>`;
  for (const { entry, id } of found) {
    const { isPlan, number, title, file } = entry;
    yield markup(`<section class="file" id="${id!}">`);
    yield html`<h3>${isPlan ? `${number}, ${title}` : file}</h3>`;
    yield { entry, text: 'details' };
    yield markup('</section>');
  }
}
