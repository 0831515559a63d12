import { LocatedEntry, LocatedMap, list, scalar, trimmed } from './located.ts';
import type { AnyMap } from './located.ts';
import type { AnyNode, Entry } from './node.ts';
import { wordValue } from './plain.ts';
import type { Origin } from '../text/span.ts';

interface Recovered {
  /** The list of one entry. */
  readonly top: AnyNode;
  /** The keys that were read. */
  readonly keys: number;
  /** Values in it. */
  readonly nodeCount: number;
}

/**
 * Reads an entry of a list that is no YAML because a bracket, a brace or a quote is missing or too many, or that begins with
 * more than one dash: the keys around the slip keep their values, so that while a person types, it costs one value and not the
 * entry. The slip itself is told by the library, dashes too many by `surplusDash`. What ends an open list or quote is the next
 * key.
 * @returns `undefined` if the entry spreads a value over lines, or is none
 */
export function recoverEntry(source: string, origin: Origin): Recovered | undefined {
  const [head, dash, surplus, brace] = ENTRY.exec(source) ?? [];
  if (head === undefined) return undefined;
  const reader = new LenientReader(source, origin);
  const map = brace
    ? reader.braces(head.length)
    : // The keys below stand where they stood before the dash came, or moved with it.
      (reader.block(head.length, head.length - surplus!.length) ?? reader.block(head.length, head.length));
  if (!map || map.entries.length === 0) return undefined;
  const top = list([map as AnyNode], false, origin, dash!.length - 1, map.span.to);
  return { top, keys: map.entries.length, nodeCount: reader.nodeCount + 1 };
}

const ENTRY = /^( *-) +((?:- +)*)(?:(\{)|(?=[A-Za-z]))/;
const SURPLUS = /^ *- +(?=- )/;

const KEY = /([A-Za-z0-9][\w.-]*):(?=\s|$)/y;
const NEXT_KEY = /[,\]}\s][A-Za-z0-9][\w.-]*:(?=\s|$)/g;
/** Whether nothing but comments and empty lines follow. */
const ONLY_REMARKS = /^(?:[^\S\n]*(?:#.*)?(?:\n|$))*$/;
/** More than an entry of a plan has; bounds what a line of nothing but signs can cost. */
const deepest = 8;
const maxMembers = 64;

/** Where the second dash of an entry stands, in its text: a list of plans holds no lists. */
export const surplusDash = (source: string): number | undefined => SURPLUS.exec(source)?.[0].length;

class LenientReader {
  nodeCount = 0;
  #at = 0;
  /** Where the line, or the value that is read, ends. */
  #end = 0;
  #keyAhead = -1;

  constructor(
    readonly source: string,
    readonly origin: Origin,
  ) {}

  /** A group in braces on one line, from behind its brace. */
  braces(from: number): AnyMap | undefined {
    this.#end = this.#lineEnd(from);
    if (!ONLY_REMARKS.test(this.source.slice(this.#end))) return undefined;
    this.#at = from;
    return this.#pairs(from - 1, 0);
  }

  /** Keys below each other at one indentation, each with its value on its line. */
  block(from: number, indent: number): AnyMap | undefined {
    const entries: Entry[] = [];
    for (let line = from; line < this.source.length;) {
      const end = this.#lineEnd(line);
      const start = Math.min(end, line + (line === from ? 0 : indent));
      if (/\S/.test(this.source.slice(line, start)) && !/^\s*#/.test(this.source.slice(line, end)))
        return undefined;
      const key = this.#keyAt(start);
      if (key !== undefined) {
        this.#at = start + key.length + 1;
        this.#end = end;
        this.#skip(' ');
        if (this.#at >= end || this.#code() === '#') return undefined;
        this.#take(entries, key, start, this.#value(0, false));
      } else if (!ONLY_REMARKS.test(this.source.slice(start, end))) return undefined;
      line = end + 1;
    }
    this.nodeCount++;
    return this.#map(entries, false, from, this.source.length);
  }

  #lineEnd(from: number): number {
    const end = this.source.indexOf('\n', from);
    return end < 0 ? this.source.length : end;
  }

  #code(): string {
    return this.#at < this.#end ? this.source[this.#at]! : '';
  }

  #skip(these: string): void {
    while (this.#at < this.#end && these.includes(this.source[this.#at]!)) this.#at++;
  }

  #keyAt(at: number): string | undefined {
    KEY.lastIndex = at;
    return KEY.exec(this.source)?.[1];
  }

  #map(entries: readonly Entry[], flow: boolean, from: number, to: number): AnyMap {
    return new LocatedMap(entries, flow, this.origin, from, trimmed(this.source, from, to));
  }

  /** The pairs up to a closing brace after which no key comes, or to the end of the line. */
  #pairs(from: number, depth: number): AnyMap {
    const entries: Entry[] = [];
    this.nodeCount++;
    for (;;) {
      this.#skip(' ,');
      const next = this.#code();
      if (next === '' || this.#isRemark()) break;
      if (next === '}' && (depth > 0 || this.#beforeNextKey(this.#at) === this.#end)) {
        this.#at++;
        break;
      }
      const start = this.#at;
      const key = this.#keyAt(start);
      if (key !== undefined) {
        this.#at = start + key.length + 1;
        this.#skip(' ');
        this.#take(entries, key, start, this.#value(depth, true));
      } else if ('[]{}'.includes(next)) this.#at++;
      else this.#join(entries, this.#scalar(true));
    }
    return this.#map(entries, true, from, this.#at);
  }

  #isRemark(): boolean {
    return this.#code() === '#' && this.source[this.#at - 1] === ' ';
  }

  /** What stands before the next key of the line; its end if there is none. */
  #beforeNextKey(from: number): number {
    if (this.#keyAhead < from) {
      NEXT_KEY.lastIndex = from;
      this.#keyAhead = NEXT_KEY.exec(this.source)?.index ?? this.source.length;
    }
    return Math.min(this.#keyAhead, this.#end);
  }

  #take(entries: Entry[], key: string, start: number, value: AnyNode): void {
    if (entries.length >= maxMembers || entries.some((entry) => entry.key === key)) return;
    entries.push(new LocatedEntry(key, value, this.origin, start, start + key.length));
  }

  /** A value without a key belongs to the list before it, which lacks its bracket. */
  #join(entries: Entry[], more: AnyNode): void {
    const last = entries.at(-1);
    if (!last) return;
    const { from, to } = last.keySpan;
    const items = last.value.kind === 'list' ? (last.value.items as readonly AnyNode[]) : [last.value];
    if (items.length >= maxMembers) return;
    entries.pop();
    const joined = list(
      [...items, more],
      true,
      this.origin,
      items[0]?.span.from ?? more.span.from,
      more.span.to,
    );
    entries.push(new LocatedEntry(last.key, joined as AnyNode, this.origin, from, to));
  }

  #value(depth: number, inFlow: boolean): AnyNode {
    const from = this.#at;
    const next = this.#code();
    if (next === '{' && depth < deepest) {
      this.#at++;
      return this.#pairs(from, depth + 1) as AnyNode;
    }
    return next === '[' ? this.#list() : this.#scalar(inFlow);
  }

  #list(): AnyNode {
    const from = this.#at++;
    const items: AnyNode[] = [];
    for (;;) {
      this.#skip(' ,');
      const next = this.#code();
      if (next === '' || next === '}' || this.#isRemark() || this.#keyAt(this.#at) !== undefined) break;
      if (next === ']') {
        this.#at++;
        break;
      }
      if ('[{'.includes(next)) this.#at++;
      else items.push(this.#scalar(true));
    }
    this.nodeCount++;
    return list(items, true, this.origin, from, trimmed(this.source, from, this.#at));
  }

  #scalar(inFlow: boolean): AnyNode {
    this.nodeCount++;
    const from = this.#at;
    const quote = this.#code();
    if (quote === '"' || quote === "'") return this.#quoted(quote, from);
    const ends = inFlow ? /[,[\]{}]|\s#/g : /\s#/g;
    ends.lastIndex = from;
    const found = ends.exec(this.source);
    const end = found && found.index < this.#end ? found.index : this.#end;
    const to = trimmed(this.source, from, end);
    this.#at = Math.min(Math.max(end, from + 1), this.#end);
    const word = this.source.slice(from, to);
    return scalar(word === '' ? null : (wordValue(word) ?? word), this.origin, from, to);
  }

  /** A text in quotes; one that stays open ends before the next key. */
  #quoted(quote: string, from: number): AnyNode {
    const close = this.#closing(quote, from);
    if (close !== undefined) {
      this.#at = close + 1;
      const inside = this.source.slice(from + 1, close);
      return scalar(quote === "'" ? inside.replaceAll("''", "'") : inside, this.origin, from, close + 1);
    }
    const key = this.#beforeNextKey(from);
    const brace = this.source.lastIndexOf('}', this.#end - 1);
    const end = key < this.#end ? key : brace > from ? brace : this.#end;
    this.#at = end;
    let to = trimmed(this.source, from, end);
    if (to > from + 1 && this.source[to - 1] === ',') to = trimmed(this.source, from, to - 1);
    return scalar(this.source.slice(from + 1, to), this.origin, from, to);
  }

  /** The quote that closes a text: a line can go on after it. One behind a key opens the next text, so this one stays open. */
  #closing(quote: string, from: number): number | undefined {
    const sign = quote === "'" ? /''|'/g : /\\.|"/g;
    sign.lastIndex = from + 1;
    for (
      let found = sign.exec(this.source);
      found && found.index < this.#end;
      found = sign.exec(this.source)
    ) {
      if (found[0] !== quote) continue;
      if (this.source.slice(found.index - 2, found.index) === ': ') return undefined;
      if (/^\s*(?:[,\]}#]|$)/.test(this.source.slice(found.index + 1, this.#end))) return found.index;
    }
    return undefined;
  }
}
