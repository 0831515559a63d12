import { inLanguage, say } from '../../language/phrase.ts';
import type { Phrase, Value } from '../../language/phrase.ts';
import type { Language } from '../../language/language.ts';
import { isSingleWidth, textWidth } from './text-width.ts';
import { formatListing, isShown, lineColumnRange } from './listing.ts';
import type { Counts, ListedFinding, Listing, ListingFormat, Severity, Sources } from './listing.ts';
import { plainSigns } from './plain-signs.ts';
import { printable } from './printable.ts';
import { wrap } from './wrap.ts';

/** Semantic style of a piece of output; the adapter maps it to colours. */
export type TextStyle = Severity | 'file' | 'quiet' | 'good' | 'strong';
export type Paint = (role: TextStyle, text: string) => string;

export interface HumanOptions {
  /** Columns of the terminal. */
  readonly width: number;
  readonly paint: Paint;
  /** Whether all signs are plain ASCII but those of quoted lines, of names, and the letters of the language. */
  readonly ascii?: boolean | undefined;
  /** The name of a file as the reader knows it. */
  readonly name: (uri: string) => string;
  /** Leave out everything milder than this, and the summary. */
  readonly only?: Severity | undefined;
  /** Adds a table of how often each finding occurs. */
  readonly statistics?: boolean | undefined;
  /** The usual caution, printed once under any findings: they could lead a hand to a live part. */
  readonly caution: Value;
  /** Title of a finding, for that table. */
  readonly title: (finding: string) => string | undefined;
  /** English when undefined. */
  readonly language?: Language | undefined;
}

const indent = '    ';

/** The human-readable listing: files, findings with position and excerpt, and their trace. */
export function humanPrintout(options: HumanOptions): ListingFormat {
  return {
    part({ uri, findings }, sources) {
      const here = findings.filter(isShown(options.only));
      if (here.length === 0) return '';
      const blocks = here.map((found) => block(found, uri, sources, options));
      return [heading(printable(options.name(uri)), options), ...blocks].join('\n');
    },
    whole: (files, { counts }) =>
      [...files.map(({ part }) => part).filter((part) => part !== ''), ...closing(counts, options)].join(
        '\n',
      ),
  };
}

export const humanReport = (listing: Listing, options: HumanOptions): string =>
  formatListing(humanPrintout(options), listing);

function closing(counts: Counts, options: HumanOptions): string[] {
  const blocks: string[] = [];
  if (options.statistics && counts.byFinding.length > 0) blocks.push(statistics(counts, options));
  if (options.only) return blocks;
  if (counts.error + counts.warning + counts.information > 0) {
    const lines = wrap(spell(inLanguage(options.caution, options.language), options), options.width);
    blocks.push(`${lines.map((line) => options.paint('quiet', line)).join('\n')}\n`);
  }
  blocks.push(`${summary(counts, options)}\n`);
  return blocks;
}

/** What is drawn around the words, and the same for a console that may not have it. */
const signs = { rule: '─', bar: '│', under: '▔', trace: '↳', more: '…', times: '×' };
const asciiSigns: typeof signs = { rule: '-', bar: '|', under: '^', trace: '>', more: '...', times: 'x' };
const signsOf = ({ ascii }: HumanOptions): typeof signs => (ascii ? asciiSigns : signs);

/** The words of the listing itself, for this console. */
const spell = (text: string, { ascii }: HumanOptions): string => (ascii ? plainSigns(text) : text);

function heading(name: string, options: HumanOptions): string {
  const { width, paint } = options;
  const rule = signsOf(options).rule.repeat(Math.max(3, width - textWidth(name) - 1));
  return `${paint('file', name)} ${paint('quiet', rule)}\n`;
}

function block(found: ListedFinding, uri: string, sources: Sources, options: HumanOptions): string {
  const { paint, name, width, language } = options;
  const at = lineColumnRange(found.range, sources);
  const file = found.range.uri === uri ? '' : `${printable(name(found.range.uri))}:`;
  const lines = [
    `  ${paint(found.severity, severityWords[found.severity].in(language))}  ${file}${at.line}:${at.column}  ${paint('quiet', found.finding)}`,
    ...wrap(spell(sentence(found.message), options), width - indent.length).map((line) => indent + line),
    ...excerpt(found, sources, options),
  ];
  for (const step of found.trace) {
    const line = lineColumnRange(step.range, sources).line;
    const where = step.range.uri === found.range.uri ? '' : `${printable(name(step.range.uri))} `;
    const [first, ...rest] = wrap(
      say`${where}line ${String(line)}: ${spell(sentence(step.message), options)}`.in(language),
      width - indent.length - 2,
    );
    lines.push(
      `${indent}${paint('quiet', signsOf(options).trace)} ${first}`,
      ...rest.map((more) => `${indent}  ${more}`),
    );
  }
  return `${lines.join('\n')}\n`;
}

/** A message as running text: its line ends are spaces, what else could disturb a terminal is escaped. */
function sentence(message: string): string {
  return printable(message.replaceAll(/\s+/g, ' '));
}

interface Cell {
  readonly text: string;
  readonly columns: number;
  readonly marked: boolean;
}

/** How much of a line is looked at around the mark; nothing is wider than this on a terminal. */
const reach = 400;

/** The line a finding starts on, with a bar under the text it is about; cut to the width around that text. */
function excerpt({ range, severity }: ListedFinding, sources: Sources, options: HumanOptions): string[] {
  const text = sources.text(range.uri);
  const lines = sources.lines(range.uri);
  if (text === undefined || !lines) return [];
  const at = lines.positionAt(range.start);
  const from = Math.max(lines.lineStart(at.line), range.start - reach);
  const to = Math.min(lines.lineStart(at.line + 1), range.start + reach);
  const line = text.slice(from, to).trimEnd();
  if (line.trim() === '') return [];
  const marks = { from: range.start - from, to: Math.min(range.end - from, line.length) };
  const gutter = String(at.line + 1);
  // Reserve one column to mark a zero-width range.
  const width = options.width - indent.length - gutter.length - 4;
  const view = cut(cellsOf(line, marks), width, signsOf(options).more);
  const first = view.findIndex((cell) => cell.marked);
  const last = view.findLastIndex((cell) => cell.marked) + 1;
  const about = textOf(view.slice(first, last));
  const shown = textOf(view.slice(0, first)) + options.paint(severity, about) + textOf(view.slice(last));
  const before = columnsOf(view.slice(0, first));
  const under = Math.max(1, columnsOf(view.slice(first, last)));
  const bar = options.paint('quiet', signsOf(options).bar);
  const sign = signsOf(options).under;
  return [
    `${indent}${options.paint('quiet', gutter)} ${bar} ${shown}`,
    `${indent}${' '.repeat(gutter.length)} ${bar} ${' '.repeat(before)}${options.paint(severity, sign.repeat(under))}`,
  ];
}

function textOf(cells: readonly Cell[]): string {
  return cells.map((cell) => cell.text).join('');
}

function columnsOf(cells: readonly Cell[]): number {
  return cells.reduce((sum, cell) => sum + cell.columns, 0);
}

/** Created lazily: the segmenter loads Unicode tables that most listings do not need. */
let graphemes: Intl.Segmenter | undefined;

/** The characters of a text as a reader sees them, with their places. */
function charactersOf(text: string): Iterable<{ readonly segment: string; readonly index: number }> {
  if (isSingleWidth(text)) return Array.from(text, (segment, index) => ({ segment, index }));
  graphemes ??= new Intl.Segmenter('en', { granularity: 'grapheme' });
  return graphemes.segment(text);
}

/** The cells of a line. An empty range still marks one position, where something is missing. */
function cellsOf(line: string, marks: { readonly from: number; readonly to: number }): Cell[] {
  const to = Math.max(marks.to, marks.from + 1);
  const even = isSingleWidth(line);
  const cells = Array.from(charactersOf(line), ({ segment, index }) => {
    const text = even ? segment : printable(segment);
    return { text, columns: even ? 1 : textWidth(text), marked: index >= marks.from && index < to };
  });
  if (!cells.some((cell) => cell.marked)) cells.push({ text: ' ', columns: 1, marked: true });
  return cells;
}

/**
 * As many cells as fit into `width` columns, giving about a third of them to the text before the first marked
 * cell.
 * @param sign stands where something is cut off
 */
function cut(cells: readonly Cell[], width: number, sign: string): Cell[] {
  const more: Cell = { text: sign, columns: sign.length, marked: false };
  if (columnsOf(cells) <= width) return [...cells];
  const marked = cells.findIndex((cell) => cell.marked);
  const behind = columnsOf(cells.slice(marked));
  // Where the end of the line leaves room, more of its start is shown.
  let lead = Math.max(Math.floor(width / 3), width - behind - more.columns);
  let start = marked;
  for (; start > 0 && lead >= cells[start - 1]!.columns; start--) lead -= cells[start - 1]!.columns;
  const head = start > 0 ? [more] : [];
  const rest = cells.slice(start);
  if (columnsOf(rest) <= width - columnsOf(head)) return [...head, ...rest];
  let room = width - columnsOf(head) - more.columns;
  let end = 0;
  for (; rest[end]!.columns <= room; end++) room -= rest[end]!.columns;
  return [...head, ...rest.slice(0, end), more];
}

function statistics(counts: Counts, options: HumanOptions): string {
  const { paint, title } = options;
  const digits = String(counts.byFinding[0]![1]).length;
  const longest = Math.max(...counts.byFinding.map(([finding]) => finding.length));
  const rows = counts.byFinding.map(([finding, times]) => {
    const row = `  ${String(times).padStart(digits)} ${signsOf(options).times} ${finding.padEnd(longest)}  ${paint('quiet', spell(title(finding) ?? '', options))}`;
    return row.trimEnd();
  });
  return `${rows.join('\n')}\n`;
}

const severityWords: Readonly<Record<Severity, Phrase>> = {
  error: say`error`,
  warning: say`warning`,
  information: say`information`,
};

/** "1 file", "3 files". */
export const filesText = (count: number): Phrase => (count === 1 ? say`1 file` : say`${count} files`);

function summary(counts: Counts, { paint, language }: HumanOptions): string {
  const { error, warning, information } = counts;
  const parts: string[] = [];
  const add = (severity: Severity, words: Phrase): number => parts.push(paint(severity, words.in(language)));
  if (error > 0) add('error', error === 1 ? say`1 error` : say`${error} errors`);
  if (warning > 0) add('warning', warning === 1 ? say`1 warning` : say`${warning} warnings`);
  if (information > 0) add('information', say`${information} information`);
  const unread =
    counts.unread > 0 ? ` ${paint('error', say`${counts.unread} could not be checked.`.in(language))}` : '';
  // Nothing was looked at, so nothing is said about findings.
  if (counts.files === 0 && counts.unread > 0) return `${say`No file was checked.`.in(language)}${unread}`;
  const result = parts.length > 0 ? parts.join(', ') : paint('good', say`no findings`.in(language));
  return say`${filesText(counts.files)} checked: ${result}.${unread}`.in(language);
}
