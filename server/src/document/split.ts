/**
 * Cuts a document into its top-level sections, and a section that is a block list into its items, by looking at
 * line starts only. In block YAML whose root is a mapping this is exact: content in column 0 is always a
 * top-level key, and inside a block list at indentation n a line at indentation n is always the next item,
 * because everything nested must be indented further. Each piece is then parsed alone, so an error stays in its
 * piece and an edit re-parses only the piece it touched.
 */

export interface Piece {
  readonly start: number;
  readonly end: number;
}

export interface Section extends Piece {
  readonly key: string;
  /** The items of a block list, or undefined when the section is parsed in one piece. */
  readonly items: readonly Piece[] | undefined;
}

export interface SectionSplit {
  readonly sections: readonly Section[];
  /** Lines that belong to no section and no item. */
  readonly strays: readonly Piece[];
  /** The offset of the first hidden line end. */
  readonly hidden: number | undefined;
}

const SECTION = /^([A-Za-z][A-Za-z0-9_-]*):(?=[ \r\n]|$)/;
const ONLY_KEY = /^[^:]+:\s*(#.*)?$/;
/** Line starts that rule out a plain block mapping with plain keys. */
const UNUSUAL = /^["'?!{[|>@%&*]|^\.\.\.|^---(?!\s*$)/;

const HIDDEN = /(?:[\0\v\f\u0085\u2028\u2029]|\r(?!\n))[ \t#]*(?:- |\{|"?[a-z][\w-]*"?[ \t]*:)/;

/**
 * The offset of the first character that looks like a line end in some programs and is none here, before what would then be
 * read as an entry or a key.
 */
export function hiddenLineEnd(text: string): number | undefined {
  const at = text.search(HIDDEN);
  return at < 0 ? undefined : at;
}

const [TAB, LF, CR, SPACE, HASH, DASH, BRACKET, BRACE] = [9, 10, 13, 32, 35, 45, 93, 125] as const;

interface Open {
  readonly key: string;
  readonly start: number;
  /** The section may be a list of items; its first content line decides. */
  list: boolean;
  /** Indentation of its items, once the first is seen. */
  indent: number;
  readonly items: { start: number; end: number }[];
}

/**
 * @returns the sections, or undefined if line starts cannot decide them (several documents, a root in braces,
 * a tab before the first key, lone carriage returns, quoted or complex keys); then it is parsed whole.
 */
export function splitSections(text: string): SectionSplit | undefined {
  if (text.includes('\r') && /\r(?!\n)/.test(text)) return undefined;
  const sections: Section[] = [];
  const strays: Piece[] = [];
  let open: Open | undefined;
  /** Lines in the current list that are not items; strays only if the section turns out to be a list. */
  let lost: Piece[] = [];

  const endItem = (at: number): void => {
    const last = open?.items.at(-1);
    if (last && last.end < 0) last.end = at;
  };
  const close = (end: number): void => {
    if (!open) return;
    endItem(end);
    const { key, start, list, indent, items } = open;
    sections.push({ key, start, end, items: list && indent >= 0 ? items : undefined });
    if (list && indent >= 0) for (const piece of lost) strays.push(piece);
    lost = [];
    open = undefined;
  };

  const length = text.length;
  let next: number;
  for (let start = text.charCodeAt(0) === 0xfeff ? 1 : 0; start < length; start = next) {
    const found = text.indexOf('\n', start);
    next = found < 0 ? length : found + 1;
    let at = start;
    while (at < next && text.charCodeAt(at) === SPACE) at++;
    let first = at;
    while (first < next && (text.charCodeAt(first) === SPACE || text.charCodeAt(first) === TAB)) first++;
    const code = first < next ? text.charCodeAt(first) : LF;
    if (code === LF || code === CR || code === HASH) continue;
    if (first > at) {
      if (!open) return undefined;
      // Whether it may stand there, the entry decides to which it is added; before the first entry it is none's.
      if (open.list && open.indent < 0) lost.push({ start, end: next });
      continue;
    }
    const indent = at - start;
    const dash = code === DASH && isBreakOrSpace(text.charCodeAt(at + 1));
    const closing = code === BRACKET || code === BRACE;
    if (indent === 0 && !dash && !closing) {
      const source = text.slice(start, Math.min(next, start + 200));
      const key = SECTION.exec(source)?.[1];
      if (key !== undefined) {
        close(start);
        const list = ONLY_KEY.test(text.slice(start, next).trimEnd());
        open = { key, start, list, indent: -1, items: [] };
      } else if (sections.length === 0 && !open && /^---\s*$/.test(source)) {
        continue;
      } else if (UNUSUAL.test(source)) {
        return undefined;
      } else {
        close(start);
        strays.push({ start, end: next });
      }
      continue;
    }
    if (!open) return undefined;
    if (!open.list) continue;
    if (open.indent < 0) {
      if (dash) open.indent = indent;
      else {
        open.list = false;
        continue;
      }
    }
    if (indent > open.indent || closing) continue;
    endItem(start);
    if (indent === open.indent && dash) open.items.push({ start, end: -1 });
    else lost.push({ start, end: next });
  }
  close(length);
  return sections.length === 0 ? undefined : { sections, strays, hidden: hiddenLineEnd(text) };
}

/** A dash opens an item only before a space or the end of its line (NaN: the end of the text). */
const isBreakOrSpace = (code: number): boolean =>
  code === SPACE || code === LF || code === CR || Number.isNaN(code);
