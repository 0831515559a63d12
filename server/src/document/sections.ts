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

export interface Cut {
  readonly sections: readonly Section[];
  /** Lines that belong to no section and no item. */
  readonly strays: readonly Piece[];
}

const SECTION = /^([A-Za-z][A-Za-z0-9_-]*):(?=[ \r\n]|$)/;
const ITEM = /^ *-(?=[ \r\n]|$)/;
/** Anchors and aliases may tie pieces together; a `&` or `*` in prose costs only the shortcut. */
const ANCHOR = /(?:^|[\s,[{:-])[&*][^\s,[\]{}]/m;
/** Openings of a root that is not a plain block mapping, or of a key that is not a plain word. */
const UNUSUAL = /^["'?!{[|>@%]|^- |^\.\.\.|^---(?!\s*$)/;

interface Line extends Piece {
  readonly indent: number;
  /** Blank, or only a comment. */
  readonly idle: boolean;
  readonly tab: boolean;
}

function* linesOf(text: string, from: number, to: number): Generator<Line> {
  for (let start = from; start < to;) {
    let end = text.indexOf('\n', start);
    end = end < 0 || end >= to ? to : end + 1;
    let at = start;
    while (at < end && text.charCodeAt(at) === 32) at++;
    const code = at < end ? text.charCodeAt(at) : 10;
    yield {
      start,
      end,
      indent: at - start,
      idle: code === 10 || code === 13 || code === 35,
      tab: code === 9,
    };
    start = end;
  }
}

/**
 * @returns the cut, or undefined when the text uses what a cut by lines cannot follow (anchors, several
 * documents, a root in braces, tabs as indentation, quoted or complex keys); then it is parsed whole.
 */
export function cut(text: string): Cut | undefined {
  if (ANCHOR.test(text) || /\r(?!\n)/.test(text)) return undefined;
  const sections: Section[] = [];
  const strays: Piece[] = [];
  let open: { key: string; start: number; head: number } | undefined;
  const close = (end: number): void => {
    if (open)
      sections.push({ key: open.key, start: open.start, end, items: items(text, open.head, end, strays) });
    open = undefined;
  };
  const from = text.charCodeAt(0) === 0xfeff ? 1 : 0;
  for (const line of linesOf(text, from, text.length)) {
    if (line.tab) return undefined;
    if (line.idle || line.indent > 0) {
      if (!open && !line.idle) return undefined;
      continue;
    }
    const source = text.slice(line.start, Math.min(line.end, line.start + 200));
    const key = SECTION.exec(source)?.[1];
    if (key !== undefined) {
      close(line.start);
      open = { key, start: line.start, head: line.end };
    } else if (/^---\s*$/.test(source) && sections.length === 0 && !open) {
      continue;
    } else if (ITEM.test(source) || /^[}\]]/.test(source)) {
      if (!open) return undefined;
    } else if (UNUSUAL.test(source)) {
      return undefined;
    } else {
      close(line.start);
      strays.push({ start: line.start, end: line.end });
    }
  }
  close(text.length);
  return sections.length === 0 ? undefined : { sections, strays };
}

function items(text: string, head: number, end: number, strays: Piece[]): Piece[] | undefined {
  const keyLine = text.slice(text.lastIndexOf('\n', head - 2) + 1, head);
  if (!/^[^:]+:\s*(#.*)?$/.test(keyLine.trimEnd())) return undefined;
  const found: { start: number; end: number }[] = [];
  const lost: Piece[] = [];
  let indent = -1;
  for (const line of linesOf(text, head, end)) {
    if (line.idle) continue;
    const source = text.slice(line.start + line.indent, Math.min(line.end, line.start + line.indent + 2));
    const dash = ITEM.test(source);
    if (indent < 0) {
      if (!dash) return undefined;
      indent = line.indent;
    }
    if (line.indent > indent || /^[}\]]/.test(source)) continue;
    const last = found.at(-1);
    if (last && last.end < 0) last.end = line.start;
    if (line.indent === indent && dash) found.push({ start: line.start, end: -1 });
    else lost.push({ start: line.start, end: line.end });
  }
  const last = found.at(-1);
  if (last && last.end < 0) last.end = end;
  strays.push(...lost);
  return found;
}
