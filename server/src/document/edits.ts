import type { Document } from './document.ts';
import type { AnyNode, Entry, ListNode, MapNode } from './node.ts';
import { rangeOf } from '../text/span.ts';
import type { Edit } from '../text/span.ts';

/**
 * Surgical edits. Each touches only what it must: comments, order, indentation and quoting of everything else
 * survive byte for byte. The tree is never serialised back to text.
 */

/** Keys and values of a new entry, in order. Values are YAML source. */
export type Fields = readonly (readonly [key: string, value: string])[];

type AnyMap = MapNode<never> | MapNode<Record<string, unknown>>;
type AnyList = ListNode<never> | ListNode<unknown>;

const lineBreak = (text: string): string => (text.includes('\r\n') ? '\r\n' : '\n');
const lineStart = (text: string, offset: number): number => text.lastIndexOf('\n', offset - 1) + 1;

/** Offset just after the line break that ends the line of `offset`, or the end of the text. */
function lineEnd(text: string, offset: number): number {
  const end = text.indexOf('\n', offset);
  return end < 0 ? text.length : end + 1;
}

const insert = (document: Document, at: number, text: string): Edit => ({
  uri: document.uri,
  start: at,
  end: at,
  text,
});

const replace = (node: AnyNode, text: string): Edit => ({ ...rangeOf(node.span), text });

const inBraces = (fields: Fields): string =>
  `{ ${fields.map(([key, value]) => `${key}: ${value}`).join(', ')} }`;

/** The dash of a block item. */
function dashOf(text: string, item: AnyNode): number {
  return text.lastIndexOf('-', rangeOf(item.span).start - 1);
}

/** The whole lines of a block item, with a comment after its last value but not the comments above it. */
function itemLines(document: Document, item: AnyNode): { start: number; end: number } {
  const { text } = document;
  return { start: lineStart(text, dashOf(text, item)), end: lineEnd(text, rangeOf(item.span).end) };
}

function renderItem(document: Document, list: AnyList, fields: Fields): string {
  const { text } = document;
  const items = list.items as readonly AnyNode[];
  const eol = lineBreak(text);
  const dash = dashOf(text, items[0]!);
  const indent = ' '.repeat(dash - lineStart(text, dash));
  if (items.some((item) => item.flow)) return `${indent}- ${inBraces(fields)}${eol}`;
  return fields.map(([key, value], i) => `${indent}${i === 0 ? '- ' : '  '}${key}: ${value}${eol}`).join('');
}

/**
 * Inserts a new entry into a list, before the item at `position` (the end of the list for its length),
 * formatted like its neighbours.
 * @returns undefined if the list is empty; use `addToSection` then.
 */
export function insertItem(
  document: Document,
  list: AnyList,
  position: number,
  fields: Fields,
): Edit | undefined {
  const { text } = document;
  const items = list.items as readonly AnyNode[];
  if (items.length === 0) return undefined;
  if (list.flow) {
    const after = items[position - 1];
    if (after) return insert(document, rangeOf(after.span).end, `, ${inBraces(fields)}`);
    return insert(document, rangeOf(items[0]!.span).start, `${inBraces(fields)}, `);
  }
  const entry = renderItem(document, list, fields);
  const after = items[position - 1];
  if (!after) return insert(document, itemLines(document, items[0]!).start, entry);
  const at = itemLines(document, after).end;
  const unfinished = at > 0 && text[at - 1] !== '\n';
  return insert(document, at, (unfinished ? lineBreak(text) : '') + entry);
}

/** Moves the item at `from` of a block list before the item at `to`. */
export function moveItem(document: Document, list: AnyList, from: number, to: number): Edit[] {
  const items = list.items as readonly AnyNode[];
  if (list.flow || to === from || to === from + 1) return [];
  const lines = itemLines(document, items[from]!);
  const body = document.text.slice(lines.start, lines.end);
  const text = body.endsWith('\n') ? body : body + lineBreak(document.text);
  const target = items[to - 1];
  const at = target ? itemLines(document, target).end : itemLines(document, items[0]!).start;
  return [
    { uri: document.uri, ...lines, text: '' },
    { uri: document.uri, start: at, end: at, text },
  ];
}

/** Removes an item from the top-level list `section`. Removing its only item also removes the key. */
export function removeItem(document: Document, section: string, item: AnyNode): Edit[] {
  const { text, uri } = document;
  const root = document.root as MapNode<Record<string, unknown>> | undefined;
  const entry = root?.entry(section);
  if (entry?.value.kind !== 'list') return [];
  const list = entry.value as AnyList;
  const items = list.items as readonly AnyNode[];
  const position = items.indexOf(item);
  if (position < 0) return [];
  const lines = list.flow ? [] : [{ uri, ...itemLines(document, item), text: '' }];
  if (items.length === 1) {
    const key = rangeOf(entry.keySpan).start;
    const end = list.flow ? lineEnd(text, rangeOf(list.span).end) : lineEnd(text, key);
    return [{ uri, start: lineStart(text, key), end, text: '' }, ...lines];
  }
  if (!list.flow) return lines;
  const { start, end } = rangeOf(item.span);
  const next = items[position + 1];
  if (next) return [{ uri, start, end: rangeOf(next.span).start, text: '' }];
  return [{ uri, start: rangeOf(items[position - 1]!.span).end, end, text: '' }];
}

/** Appends an entry to the top-level list `section`, creating the section if it is missing. */
export function addToSection(
  document: Document,
  section: string,
  fields: Fields,
  sectionOrder: readonly string[],
): Edit | undefined {
  const root = document.root as MapNode<Record<string, unknown>> | undefined;
  if (!root) return undefined;
  const entry = root.entry(section);
  const eol = lineBreak(document.text);
  const line = `  - ${inBraces(fields)}`;
  if (!entry) {
    const rank = sectionOrder.indexOf(section);
    const before = root.entries.filter(({ key }) => sectionOrder.indexOf(key) < rank).at(-1);
    const offset = before ? lineEnd(document.text, entryEnd(before)) : document.text.length;
    const unfinished = offset > 0 && document.text[offset - 1] !== '\n' ? eol : '';
    const spaced = /\n\r?\n[A-Za-z]/.test(document.text) ? eol : '';
    return insert(document, offset, `${unfinished}${spaced}${section}:${eol}${line}${eol}`);
  }
  const { value } = entry;
  if (value.kind === 'list') {
    const list = value as AnyList;
    if (list.items.length > 0) return insertItem(document, list, list.items.length, fields);
    return replace(value, `${eol}${line}`);
  }
  if (value.kind !== 'scalar' || value.value !== null) return undefined;
  const colon = document.text.indexOf(':', rangeOf(entry.keySpan).end - 1) + 1;
  return insert(document, colon, `${eol}${line}`);
}

const entryEnd = (entry: Entry): number =>
  Math.max(rangeOf(entry.keySpan).end, rangeOf(entry.value.span).end);

/** Sets `key` of a mapping to `value` (YAML source), replacing the old value or appending the key. */
export function setKey(document: Document, map: AnyMap, key: string, value: string): Edit {
  const entries = map.entries;
  const known = entries.find((entry) => entry.key === key);
  if (known) {
    const empty = known.value.kind === 'scalar' && known.value.value === null;
    if (!empty) return replace(known.value, value);
    const colon = document.text.indexOf(':', rangeOf(known.keySpan).end - 1) + 1;
    return {
      uri: document.uri,
      start: colon,
      end: Math.max(colon, rangeOf(known.value.span).end),
      text: ` ${value}`,
    };
  }
  const last = entries.at(-1)!;
  if (map.flow) return insert(document, entryEnd(last), `, ${key}: ${value}`);
  const { text } = document;
  const first = rangeOf(entries[0]!.keySpan).start;
  const indent = ' '.repeat(first - lineStart(text, first));
  const at = lineEnd(text, entryEnd(last));
  const unfinished = at > 0 && text[at - 1] !== '\n' ? lineBreak(text) : '';
  return insert(document, at, `${unfinished}${indent}${key}: ${value}${lineBreak(text)}`);
}

/** Adds ids to a key whose value is one id or a list of ids. */
export function addIds(document: Document, map: AnyMap, key: string, ids: readonly string[]): Edit {
  const value = map.entries.find((entry) => entry.key === key)?.value;
  const words = ids.join(', ');
  if (!value || (value.kind === 'scalar' && value.value === null))
    return setKey(document, map, key, `[${words}]`);
  if (value.kind === 'scalar') {
    const { start, end } = rangeOf(value.span);
    return replace(value, `[${document.text.slice(start, end)}, ${words}]`);
  }
  const items = (value as AnyList).items as readonly AnyNode[];
  const last = items.at(-1);
  if (!last) return replace(value, `[${words}]`);
  if (value.flow) return insert(document, rangeOf(last.span).end, `, ${words}`);
  const dash = dashOf(document.text, last);
  const indent = ' '.repeat(dash - lineStart(document.text, dash));
  const eol = lineBreak(document.text);
  return insert(
    document,
    lineEnd(document.text, rangeOf(last.span).end),
    ids.map((id) => `${indent}- ${id}${eol}`).join(''),
  );
}

/** Replaces the text of a scalar. */
export const rewrite = (node: AnyNode, text: string): Edit => replace(node, text);
