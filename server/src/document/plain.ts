import { emptyList } from '../base/collections.ts';
import { LocatedEntry, LocatedMap, list, scalar, trimmed } from './located.ts';
import type { AnyNode, Entry } from './node.ts';
import type { Origin } from '../text/span.ts';

interface Plain {
  readonly top: AnyNode;
  readonly problems: readonly never[];
  /** Values in it. */
  readonly nodeCount: number;
}

interface Limits {
  readonly nodes: number;
  readonly depth: number;
  /** Of one list. */
  readonly entries: number;
}

/**
 * Parses the YAML that plans are mostly written in: block maps and lists whose values are on one line, plain,
 * quoted, or in brackets and braces; comments; empty values. It is many times faster than the library and
 * gives the same tree.
 *
 * Returns `undefined` for anything else, syntax errors included; the caller then uses the library.
 */
export function parsePlain(source: string, origin: Origin, limits: Limits): Plain | undefined {
  return ODD.test(source) ? undefined : new PlainReader(source, origin, limits).read();
}

/** Tabs, control characters and breaks on which editors, the terminal and YAML do not agree. */

const ODD = /[\u0000-\u0009\u000b\u000c\u000e-\u001f\u007f-\u009f\u2028\u2029\ufeff]|\r(?!\n)/;

const code = (character: string): number => character.charCodeAt(0);
const [LF, CR, SPACE, HASH, DASH, COLON, COMMA] = [10, 13, 32, 35, 45, 58, 44] as const;
const [BRACKET, BRACKET_END, BRACE, BRACE_END] = [91, 93, 123, 125] as const;
const [SINGLE, DOUBLE, BACKSLASH] = [39, 34, 92] as const;

/** Roles of ASCII characters, as bit flags. */
const ENDS = 1;
const ENDS_IN_FLOW = 2;
const NO_START = 4;
const IN_KEY = 8;
const ROLES = new Uint8Array(128);
const give = (role: number, characters: string): void => {
  for (const one of characters) ROLES[code(one)]! |= role;
};
give(ENDS | ENDS_IN_FLOW, '\n\r ');
give(ENDS_IN_FLOW, ',[]{}');
give(NO_START, '\n\r ?:,[]{}#&*!|>\'"%@`');
give(IN_KEY, 'abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-._');

/** More keys than any schema defines; bounds the linear search for duplicates. */
const maxKeys = 64;
const longestKey = 200;

class PlainReader {
  #weight = 0;
  /** The current offset. */
  #at = 0;
  /** Indentation of the line whose content comes next; -1 at the end of the text. */
  #indent = -1;
  /** End offset of the last value, including comments that belong to it. */
  #end = 0;
  /** Indentation of the deepest comment after `#end` that does not belong to the last value; -1 if none. */
  #loose = -1;
  #looseEnd = 0;

  constructor(
    readonly source: string,
    readonly origin: Origin,
    readonly limits: Limits,
  ) {}

  read(): Plain | undefined {
    this.#nextLine(Infinity);
    if (this.#indent < 0) return undefined;
    const top = this.#block(0);
    return top && this.#indent < 0 ? { top, problems: emptyList, nodeCount: this.#weight } : undefined;
  }

  /** The character at an offset; a line break after the last. */
  #code(at: number): number {
    return at < this.source.length ? this.source.charCodeAt(at) : LF;
  }

  #lineEnd(at: number): number {
    const end = this.source.indexOf('\n', at);
    return end < 0 ? this.source.length : end;
  }

  #afterSpaces(at: number): number {
    while (this.#code(at) === SPACE) at++;
    return at;
  }

  /** Goes from the start of a line to the next content. Comments deeper than `inside` belong to the last value. */
  #nextLine(inside: number): void {
    for (;;) {
      const at = this.#afterSpaces(this.#at);
      const first = this.#code(at);
      if (at >= this.source.length) {
        this.#indent = -1;
        this.#at = at;
        return;
      }
      if (first === LF) this.#at = at + 1;
      else if (first === CR) this.#at = at + 2;
      else if (first === HASH) {
        const end = this.#lineEnd(at);
        const depth = at - this.#at;
        if (depth > inside && this.#loose < 0) this.#end = end;
        else {
          this.#loose = Math.max(this.#loose, depth);
          this.#looseEnd = end;
        }
        this.#at = end + 1;
      } else {
        this.#indent = at - this.#at;
        this.#at = at;
        return;
      }
    }
  }

  /** Moves past a value that must end its line; only a comment may follow it. */
  #finishLine(inside: number): boolean {
    const at = this.#afterSpaces(this.#at);
    this.#end = this.#at;
    if (this.#code(at) === HASH && at > this.#at) this.#end = this.#lineEnd(at);
    else if (!isBreak(this.#code(at))) return false;
    this.#at = this.#lineEnd(at) + 1;
    this.#nextLine(inside);
    return true;
  }

  /** Counts a value; returns false if it exceeds the node or depth limit. */
  #counts(depth: number): boolean {
    return ++this.#weight <= this.limits.nodes && depth <= this.limits.depth;
  }

  /** The collection that starts at the content of this line. */
  #block(depth: number): AnyNode | undefined {
    return this.#isDash() ? this.#blockList(this.#indent, depth) : this.#blockMap(this.#indent, depth);
  }

  #isDash(): boolean {
    return this.#code(this.#at) === DASH && is(this.#code(this.#at + 1), ENDS);
  }

  #blockList(indent: number, depth: number): AnyNode | undefined {
    const from = this.#at;
    const items: AnyNode[] = [];
    if (!this.#counts(depth)) return undefined;
    do {
      this.#loose = -1;
      const at = this.#afterSpaces(this.#at + 1);
      const column = indent + at - this.#at;
      this.#at = at;
      const isMap = this.#keyEnd(at) > 0;
      const item = isMap ? this.#blockMap(column, depth + 1) : this.#inline(depth + 1, false);
      if (!item || !(isMap || this.#finishLine(indent)) || items.length >= this.limits.entries)
        return undefined;
      items.push(item);
    } while (this.#indent === indent && this.#isDash());
    return this.#indent > indent
      ? undefined
      : list(items, false, this.origin, from, this.#close(from, indent));
  }

  #blockMap(indent: number, depth: number): AnyNode | undefined {
    const from = this.#at;
    const entries: Entry[] = [];
    if (!this.#counts(depth)) return undefined;
    do {
      this.#loose = -1;
      const start = this.#at;
      const key = this.#key(entries);
      if (key === undefined) return undefined;
      const end = this.#at - 1;
      const at = this.#afterSpaces(this.#at);
      const below = isBreak(this.#code(at)) || this.#code(at) === HASH;
      if (at === this.#at && !below) return undefined;
      this.#at = at;
      const value = below ? this.#below(indent, depth + 1) : this.#inline(depth + 1, false);
      if (!value || !(below || this.#finishLine(indent))) return undefined;
      entries.push(new LocatedEntry(key, value, this.origin, start, end));
    } while (this.#indent === indent);
    if (this.#indent > indent) return undefined;
    return new LocatedMap(entries, false, this.origin, from, this.#close(from, indent));
  }

  /** The value of a key with nothing after its colon. */
  #below(indent: number, depth: number): AnyNode | undefined {
    const empty = this.#at;
    const remarked = this.#code(empty) === HASH;
    if (remarked && this.#code(empty - 1) !== SPACE) return undefined;
    this.#at = this.#lineEnd(empty) + 1;
    this.#nextLine(Infinity);
    if (this.#indent > indent || (this.#indent === indent && this.#isDash())) return this.#block(depth);
    // Which value a comment after an empty value belongs to is intricate; leave it to the library.
    if (remarked || this.#loose >= 0 || !this.#counts(depth)) return undefined;
    this.#end = empty;
    return scalar(null, this.origin, empty, empty);
  }

  /** Ends a block collection. A comment as deep as its entries still belongs to it, though not to its last value. */
  #close(from: number, indent: number): number {
    const to = this.#end;
    if (indent > 0 && this.#loose >= indent) {
      this.#end = this.#looseEnd;
      this.#loose = -1;
    }
    return trimmed(this.source, from, to);
  }

  /** Where a key that starts at `at` ends, before its colon; 0 when there is none. */
  #keyEnd(at: number): number {
    let end = at;
    if (!isLetter(this.#code(end))) return 0;
    while (is(this.#code(end), IN_KEY)) end++;
    if (this.#code(end) !== COLON || end - at > longestKey) return 0;
    return is(this.#code(end + 1), ENDS) ? end : 0;
  }

  /** Reads a key and its colon; `undefined` if the key is a duplicate or not a plain word. */
  #key(entries: readonly Entry[]): string | undefined {
    const from = this.#at;
    const to = this.#keyEnd(from);
    if (to === 0 || entries.length >= maxKeys) return undefined;
    // As in the library, `True:` is the key `true`.
    const key = String(wordValue(this.source.slice(from, to)));
    for (const entry of entries) if (entry.key === key) return undefined;
    this.#at = to + 1;
    return key;
  }

  /** A value within a line. */
  #inline(depth: number, inFlow: boolean): AnyNode | undefined {
    if (!this.#counts(depth)) return undefined;
    switch (this.#code(this.#at)) {
      case BRACKET:
        return this.#flowList(depth);
      case BRACE:
        return this.#flowMap(depth);
      case DOUBLE:
        return this.#doubleQuoted();
      case SINGLE:
        return this.#singleQuoted();
      default:
        return this.#plain(inFlow);
    }
  }

  #flowList(depth: number): AnyNode | undefined {
    const from = this.#at;
    const items: AnyNode[] = [];
    this.#at = this.#afterSpaces(from + 1);
    if (this.#code(this.#at) !== BRACKET_END) {
      for (;;) {
        const item = this.#inline(depth + 1, true);
        if (!item || items.length >= this.limits.entries) return undefined;
        items.push(item);
        this.#at = this.#afterSpaces(this.#at);
        if (this.#code(this.#at) !== COMMA) break;
        this.#at = this.#afterSpaces(this.#at + 1);
      }
    }
    return this.#code(this.#at) === BRACKET_END
      ? list(items, true, this.origin, from, ++this.#at)
      : undefined;
  }

  #flowMap(depth: number): AnyNode | undefined {
    const from = this.#at;
    const entries: Entry[] = [];
    this.#at = this.#afterSpaces(from + 1);
    if (this.#code(this.#at) !== BRACE_END) {
      for (;;) {
        const start = this.#at;
        const key = this.#key(entries);
        if (key === undefined) return undefined;
        const end = this.#at - 1;
        this.#at = this.#afterSpaces(this.#at);
        const value = this.#inline(depth + 1, true);
        if (!value) return undefined;
        entries.push(new LocatedEntry(key, value, this.origin, start, end));
        this.#at = this.#afterSpaces(this.#at);
        if (this.#code(this.#at) !== COMMA) break;
        this.#at = this.#afterSpaces(this.#at + 1);
      }
    }
    return this.#code(this.#at) === BRACE_END
      ? new LocatedMap(entries, true, this.origin, from, ++this.#at)
      : undefined;
  }

  #doubleQuoted(): AnyNode | undefined {
    const from = this.#at;
    let to = from + 1;
    for (; this.#code(to) !== DOUBLE; to++) {
      const next = this.#code(to);
      if (next === BACKSLASH || isBreak(next)) return undefined;
    }
    this.#at = to + 1;
    return scalar(this.source.slice(from + 1, to), this.origin, from, to + 1);
  }

  #singleQuoted(): AnyNode | undefined {
    const from = this.#at;
    let to = from + 1;
    for (; this.#code(to) !== SINGLE || this.#code(to + 1) === SINGLE; to++) {
      if (isBreak(this.#code(to))) return undefined;
      if (this.#code(to) === SINGLE) to++;
    }
    this.#at = to + 1;
    return scalar(this.source.slice(from + 1, to).replaceAll("''", "'"), this.origin, from, to + 1);
  }

  #plain(inFlow: boolean): AnyNode | undefined {
    const from = this.#at;
    const end = inFlow ? ENDS_IN_FLOW : ENDS;
    const first = this.#code(from);
    if (is(first, NO_START) || (first === DASH && is(this.#code(from + 1), end))) return undefined;
    let to = from;
    for (let at = from; ; at++) {
      const next = this.#code(at);
      if (next === SPACE) {
        if (this.#code(at + 1) === HASH) break;
      } else if (is(next, end)) break;
      // A key, where a value was expected.
      else if (next === COLON && is(this.#code(at + 1), end)) return undefined;
      else to = at + 1;
    }
    const value = wordValue(this.source.slice(from, to));
    if (value === undefined) return undefined;
    this.#at = to;
    return scalar(value, this.origin, from, to);
  }
}

const isBreak = (next: number): boolean => next === LF || next === CR;

const isLetter = (next: number): boolean => (next | 0x20) >= 0x61 && (next | 0x20) <= 0x7a;

const is = (next: number, role: number): boolean => next < 128 && (ROLES[next]! & role) !== 0;

type Meaning = string | number | boolean | null;
const WORDS: ReadonlyMap<string, boolean | null> = new Map([
  ...['~', 'null', 'Null', 'NULL'].map((word) => [word, null] as const),
  ...['true', 'True', 'TRUE'].map((word) => [word, true] as const),
  ...['false', 'False', 'FALSE'].map((word) => [word, false] as const),
]);
const INTEGER = /^[-+]?[0-9]+$/;
const DECIMAL = /^[-+]?(?:\.[0-9]+|[0-9]+\.[0-9]*)$/;
/** Octal, hexadecimal, exponent, infinity and NaN notations, and lookalikes. */
const OTHER_NUMBER = /^0[ox]|^[-+]?\.(?:inf|nan)$|^[-+]?[0-9.]+e[-+]?[0-9]+$/i;

/** Plans repeat the same words; resolve and intern each only once. */
const maxKnown = 20_000;
const longestKnown = 40;
let known = new Map<string, Meaning>(WORDS);

/** The value of a plain word in YAML's core schema; `undefined` if it may be a number in a rare notation. */
export function wordValue(word: string): Meaning | undefined {
  let meant = known.get(word);
  if (meant !== undefined) return meant;
  meant = understood(word);
  if (meant !== undefined && word.length <= longestKnown) {
    if (known.size >= maxKnown) known = new Map(WORDS);
    known.set(word, meant);
  }
  return meant;
}

function understood(word: string): Meaning | undefined {
  const first = word.charCodeAt(0);
  const likeNumber = first >= 0x2b && first <= 0x39;
  if (!likeNumber) return word;
  if (INTEGER.test(word)) return parseInt(word, 10);
  if (DECIMAL.test(word)) return parseFloat(word);
  return OTHER_NUMBER.test(word) ? undefined : word;
}
