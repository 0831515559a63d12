import type { Path } from './schema.ts';

/**
 * The cursor's context in a text that may be half typed. It is derived from the surrounding lines, because
 * the tree is least reliable there.
 */
export interface Cursor {
  /** The mapping whose key is typed (`entry`), or the value itself. */
  readonly path: Path;
  /**
   * `entry`: a key of a mapping; `item`: an item of a list, after its dash or in brackets; `value`: after a
   * key; `below`: on a line of its own where a mapping's first key or a list's next dash belongs.
   */
  readonly shape: 'entry' | 'item' | 'value' | 'below';
  readonly flow: boolean;
  /** The token being typed, `[start, end)` without quotes, and its text up to the cursor. */
  readonly start: number;
  readonly end: number;
  readonly typed: string;
  readonly quoted: boolean;
  /** The key already has a colon. */
  readonly colon: boolean;
  /** Columns at which a dash, and at which keys, belong on further lines. */
  readonly dash: number;
  readonly column: number;
  /** The other entries of the mapping, as written. */
  readonly siblings: ReadonlyMap<string, string>;
}

/** @returns undefined in comments, in blocks of free text and where nothing can be said. */
export function cursorAt(text: string, offset: number): Cursor | undefined {
  const flow = new FlowScan(text, headOf(text, offset), offset).run();
  if (flow === undefined) return undefined;
  return flow.frames.length > 0 ? inFlow(text, offset, flow) : inBlock(text, offset, flow.quote);
}

const lineStartAt = (text: string, offset: number): number =>
  offset <= 0 ? 0 : text.lastIndexOf('\n', offset - 1) + 1;

function lineEndAt(text: string, offset: number): number {
  const end = text.indexOf('\n', offset);
  const at = end < 0 ? text.length : end;
  return text[at - 1] === '\r' ? at - 1 : at;
}

/** Where the next line starts. */
function lineEnd(text: string, offset: number): number {
  const end = text.indexOf('\n', offset);
  return end < 0 ? text.length : end + 1;
}

const BLANK = /^\s*(#|$)/;

/** The nearest line above that starts an entry of a list or a section: from there on the text is read. */
function headOf(text: string, offset: number): number {
  let start = lineStartAt(text, offset);
  for (;;) {
    const line = text.slice(start, lineEndAt(text, start));
    if (/^\s*-(\s|$)/.test(line) || /^[^\s#}\]]/.test(line) || start === 0) return start;
    start = lineStartAt(text, start - 1);
  }
}

interface Frame {
  readonly open: number;
  readonly map: boolean;
  readonly entries: Map<string, string>;
  key: string | undefined;
}

interface FlowState {
  readonly frames: readonly Frame[];
  /** Start of the scalar that contains the cursor. */
  readonly scalar: number | undefined;
  readonly quote: string | undefined;
}

/** Scans part of a YAML text to find the brackets, braces and quotes open at its end. */
class FlowScan {
  readonly #frames: Frame[] = [];
  #at: number;
  #last: { text: string; key: boolean } | undefined;

  constructor(
    readonly text: string,
    from: number,
    readonly to: number,
  ) {
    this.#at = from;
  }

  run(): FlowState | undefined {
    const { text, to } = this;
    // Whether a value may start here; a bracket in the middle of plain text opens nothing.
    let fresh = true;
    while (this.#at < to) {
      const sign = text[this.#at]!;
      const frame = this.#frames.at(-1);
      if (/\s/.test(sign)) {
        if (sign === '\n' && !frame) fresh = true;
        this.#at++;
      } else if (sign === '#' && /\s|^$/.test(text[this.#at - 1] ?? '')) {
        this.#at = lineEndAt(text, this.#at);
        if (this.#at >= to) return undefined;
      } else if ((sign === '{' || sign === '[') && (fresh || frame)) {
        this.#frames.push({ open: this.#at++, map: sign === '{', entries: new Map(), key: undefined });
      } else if (frame && (sign === '}' || sign === ']')) {
        const closed = this.#frames.pop()!;
        this.#at++;
        this.#record(text.slice(closed.open, this.#at));
        fresh = false;
      } else if (frame && sign === ',') {
        frame.key = undefined;
        this.#at++;
      } else if (frame && sign === ':') {
        if (frame.map && this.#last) frame.key = this.#last.text;
        this.#at++;
      } else if (!frame && fresh && sign === '-' && /\s/.test(text[this.#at + 1] ?? ' ')) {
        this.#at++;
      } else if (!frame && fresh && (sign === '|' || sign === '>')) {
        if (!this.#skipBlock()) return undefined;
      } else {
        const open = fresh || frame ? this.#scalar(frame) : this.#rest();
        if (open) return { frames: this.#frames, ...open };
        fresh = this.#last?.key === true;
      }
    }
    return { frames: this.#frames, scalar: undefined, quote: undefined };
  }

  #record(value: string): void {
    const frame = this.#frames.at(-1);
    if (frame?.key !== undefined) frame.entries.set(frame.key, value);
  }

  /** The text after a scalar on a line, up to a comment. */
  #rest(): undefined {
    this.#last = undefined;
    while (this.#at < this.to && this.text[this.#at] !== '\n') {
      if (this.text[this.#at] === '#' && /\s/.test(this.text[this.#at - 1]!)) break;
      this.#at++;
    }
    return undefined;
  }

  #scalar(frame: Frame | undefined): { scalar: number; quote: string | undefined } | undefined {
    const { text, to } = this;
    const start = this.#at;
    const quote = /["']/.exec(text[start]!)?.[0];
    if (quote !== undefined) {
      this.#at++;
      while (this.#at < to && text[this.#at] !== quote) this.#at += text[this.#at] === '\\' ? 2 : 1;
      if (this.#at >= to) return { scalar: start + 1, quote };
      this.#at++;
    } else {
      while (this.#at < to && !this.#ends(frame !== undefined)) this.#at++;
      // Blanks after a value still belong to the typed text: `180 ` is waiting for its unit.
      if (this.#at >= to) return { scalar: start, quote };
    }
    const raw = text.slice(start, this.#at).trim();
    const written = quote === undefined ? raw : raw.slice(1, -1);
    const key = text[this.#at] === ':';
    this.#last = { text: written, key };
    if (key && !frame) this.#at++;
    else if (!key) this.#record(raw);
    return undefined;
  }

  #ends(flow: boolean): boolean {
    const sign = this.text[this.#at]!;
    const next = this.text[this.#at + 1] ?? '\n';
    if (sign === '\n' || (sign === '#' && /\s/.test(this.text[this.#at - 1] ?? ''))) return true;
    if (sign === ':') return /\s/.test(next) || (flow && /[,\]}]/.test(next));
    return flow && /[,[\]{}]/.test(sign);
  }

  /**
   * Skips a block of free text.
   * @returns false if the cursor is in it
   */
  #skipBlock(): boolean {
    const { text, to } = this;
    const own = /^ */.exec(text.slice(lineStartAt(text, this.#at)))![0].length;
    for (let start = lineEnd(text, this.#at); ; start = lineEnd(text, start)) {
      if (start >= to) return false;
      const line = text.slice(start, lineEndAt(text, start));
      if (line.trim() !== '' && /^ */.exec(line)![0].length <= own) {
        this.#at = start;
        this.#last = { text: '', key: true };
        return true;
      }
    }
  }
}

/** A dash or a key of block style at its column. */
interface Token {
  readonly column: number;
  /** Undefined for a dash. */
  readonly key: string | undefined;
  readonly value: string;
  readonly end: number;
}

const KEY = /("[^"\n]*"|'[^'\n]*'|[A-Za-z$][^\s:#{}[\],]*(?: [^\s:#{}[\],]+)*)[ ]*:(?=\s|$)/y;

function tokensOf(line: string): Token[] {
  const tokens: Token[] = [];
  let at = /^ */.exec(line)![0].length;
  while (line[at] === '-' && /\s|^$/.test(line[at + 1] ?? '')) {
    tokens.push({ column: at, key: undefined, value: line.slice(at + 1).trim(), end: at + 1 });
    at++;
    while (line[at] === ' ') at++;
  }
  KEY.lastIndex = at;
  const key = KEY.exec(line);
  if (key) {
    const value = line
      .slice(KEY.lastIndex)
      .replace(/(^|\s)#.*$/, '')
      .trim();
    tokens.push({ column: at, key: key[1]!.replace(/^["']|["']$/g, ''), value, end: KEY.lastIndex });
  }
  return tokens;
}

/** The tokens that enclose an offset, outermost first, and the entries beside it. */
interface EnclosingTokens {
  readonly ancestors: readonly Token[];
  readonly siblings: Map<string, string>;
  /** The column is that of the list's dashes, so a new item belongs there. */
  readonly inList: boolean;
}

/** @param column column of what is typed; `own` are the tokens before it on its line. */
function look(text: string, lineStart: number, column: number, own: readonly Token[]): EnclosingTokens {
  const ancestors: Token[] = [];
  const siblings = new Map<string, string>();
  let inList = false;
  let limit = column;
  let dash = false;
  const meet = (token: Token): void => {
    const { column: at, key, value } = token;
    const parent = at < limit || (dash && key !== undefined && at === limit);
    if (parent) {
      ancestors.unshift(token);
      limit = at;
      dash = key === undefined;
    } else if (ancestors.length === 0 && at === column) {
      if (key === undefined) inList = dash = true;
      else if (!inList && !siblings.has(key)) siblings.set(key, value);
    }
  };
  [...own].reverse().forEach(meet);
  for (let start = lineStart; start > 0 && (limit > 0 || dash || column === 0);) {
    start = lineStartAt(text, start - 1);
    const line = text.slice(start, lineEndAt(text, start));
    if (!BLANK.test(line)) tokensOf(line).reverse().forEach(meet);
  }
  if (!inList) below(text, lineStart, column, siblings);
  return { ancestors, siblings, inList };
}

/** Entries of the same mapping on the lines that follow. */
function below(text: string, lineStart: number, column: number, siblings: Map<string, string>): void {
  for (let start = lineEnd(text, lineStart); start < text.length; start = lineEnd(text, start)) {
    const line = text.slice(start, lineEndAt(text, start));
    if (BLANK.test(line)) continue;
    if (/^ */.exec(line)![0].length < column) return;
    const [token] = tokensOf(line);
    if (token?.column !== column) continue;
    if (token.key === undefined) return;
    if (!siblings.has(token.key)) siblings.set(token.key, token.value);
  }
}

const pathOf = (tokens: readonly Token[]): Path => tokens.map(({ key }) => key);

function inFlow(text: string, offset: number, { frames, scalar, quote }: FlowState): Cursor | undefined {
  const outer = frames[0]!;
  const lineStart = lineStartAt(text, outer.open);
  const before = tokensOf(text.slice(lineStart, outer.open));
  const { ancestors } = look(text, lineStart, outer.open - lineStart, before);
  const last = frames.at(-1)!;
  const path: (string | undefined)[] = [...pathOf(ancestors)];
  for (const frame of frames) {
    if (!frame.map) path.push(undefined);
    else if (frame.key !== undefined) path.push(frame.key);
    else if (frame !== last) return undefined;
  }
  const start = scalar ?? offset;
  const rest = flowRest(text, offset, quote);
  const siblings = new Map([...last.entries, ...rest.entries]);
  return {
    path,
    shape: !last.map ? 'item' : last.key === undefined ? 'entry' : 'value',
    flow: true,
    start,
    end: rest.end,
    typed: text.slice(start, offset),
    quoted: quote !== undefined,
    colon: rest.colon,
    dash: 0,
    column: 0,
    siblings,
  };
}

/** How far the scalar at the cursor goes, and which entries of its mapping follow. */
function flowRest(
  text: string,
  offset: number,
  quote: string | undefined,
): { end: number; colon: boolean; entries: Map<string, string> } {
  let end = offset;
  const stop = quote === undefined ? /[,[\]{}\n\r#]|:(?=[\s,}\]]|$)/ : new RegExp(`[${quote}\n\r]`);
  const tail = text.slice(offset, offset + 2_000);
  const found = stop.exec(tail);
  end = offset + (found ? found.index : tail.length);
  const colon = /^['"]?\s*:/.test(text.slice(end, end + 20));
  while (quote === undefined && end > offset && /\s/.test(text[end - 1]!)) end--;
  const entries = new Map<string, string>();
  let depth = 0;
  const parts =
    /"[^"\n]*"|'[^'\n]*'|[{}[\]]|\n\s*-\s|\n(?=\S)|([A-Za-z][\w-]*)\s*:(?=[\s,}]|$)\s*([^,}\]\n]*)/g;
  parts.lastIndex = end;
  for (let part = parts.exec(text); part && part.index < end + 2_000; part = parts.exec(text)) {
    const sign = part[0]!;
    if (sign.startsWith('\n')) break;
    if (sign === '{' || sign === '[') depth++;
    else if (sign === '}' || sign === ']') {
      if (--depth < 0) break;
    } else if (part[1] !== undefined) {
      if (depth === 0) entries.set(part[1], part[2]!.trim());
      parts.lastIndex = part.index + part[1].length + 1;
    }
  }
  return { end, colon, entries };
}

function inBlock(text: string, offset: number, quote: string | undefined): Cursor | undefined {
  const lineStart = lineStartAt(text, offset);
  const lineStop = lineEndAt(text, offset);
  const line = text.slice(lineStart, lineStop);
  const here = offset - lineStart;
  const tokens = tokensOf(line);
  const own = tokens.filter(({ end }) => end <= here);
  const key = own.find((token) => token.key !== undefined);
  const dashes = own.filter((token) => token.key === undefined);
  const lastDash = dashes.at(-1);
  // Directly after a dash or a colon, a blank must come first.
  if (own.at(-1)?.end === here) return undefined;
  const from = key?.end ?? (lastDash ? lastDash.end : 0);
  const blanks = /^ */.exec(line.slice(from))![0].length;
  const typedFrom = Math.min(from + blanks, here);
  // In a text whose quote was opened on a line above.
  if (quote !== undefined && line[typedFrom] !== quote) return undefined;
  const start = lineStart + typedFrom + (quote !== undefined ? 1 : 0);
  const common = { flow: false, quoted: quote !== undefined, typed: text.slice(start, offset), start };
  if (key) {
    const { ancestors, siblings } = look(text, lineStart, key.column, own.slice(0, own.indexOf(key)));
    const end = scalarEnd(text, offset, lineStop, quote);
    const column = key.column;
    const dash = dashOf(ancestors);
    const path = [...pathOf(ancestors), key.key];
    return { ...common, path, shape: 'value', end, colon: false, dash, column, siblings };
  }
  // A word without a colon yet, or a key that is being changed.
  const typing = tokens.find((token) => token.key !== undefined && token.end > here && token.column <= here);
  if (!typing && tokens.length > own.length) return undefined;
  const column = typedFrom;
  const { ancestors, siblings, inList } = look(text, lineStart, column, dashes);
  const end = typing ? lineStart + typing.end - 1 : scalarEnd(text, offset, lineStop, quote);
  const colon = typing !== undefined;
  const path = pathOf(ancestors);
  const place = { ...common, end, colon, path, siblings };
  if (inList) return { ...place, shape: 'below', dash: column, column: column + 2 };
  const parent = ancestors.at(-1);
  const dash = dashOf(ancestors);
  if (lastDash && siblings.size === 0 && !colon)
    return { ...place, shape: 'item', dash: lastDash.column, column };
  if (!parent || siblings.size > 0 || colon) return { ...place, shape: 'entry', dash, column };
  if (parent.key === undefined) {
    return parent.value === '' ? { ...place, shape: 'entry', dash, column } : undefined;
  }
  return parent.value === '' ? { ...place, shape: 'below', dash: column, column } : undefined;
}

const dashOf = (ancestors: readonly Token[]): number =>
  ancestors.findLast(({ key }) => key === undefined)?.column ?? 0;

function scalarEnd(text: string, offset: number, lineStop: number, quote: string | undefined): number {
  const rest = text.slice(offset, lineStop);
  if (quote !== undefined) {
    const close = rest.indexOf(quote);
    return close < 0 ? lineStop : offset + close;
  }
  return offset + rest.replace(/\s+#.*$/, '').trimEnd().length;
}
