import { isMap, isPair, isScalar, isSeq, parseDocument } from 'yaml';
import type { Node, Pair, YAMLMap, YAMLSeq } from 'yaml';
import type { Kind } from '../../server/src/document/kind.ts';
import { schemaAt } from '../../server/src/features/schema.ts';
import type { Path, Schema } from '../../server/src/features/schema.ts';

/** A text with one thing in it changed. */
export interface Variant {
  /** What is changed, in few words. */
  readonly name: string;
  readonly text: string;
}
export interface Change extends Variant {
  /** Changes that are alike: of the same sort, in the same section. */
  readonly sort: string;
}

/** The names that a text can use, for each kind of name. */
export type Names = Readonly<Record<string, readonly string[]>>;

/** Which kind of name a key holds. */
const namedBy: Readonly<Record<string, string>> = {
  connectors: 'connectors',
  connector: 'connectors',
  after: 'operations',
  for: 'operations',
  at: 'operations',
  do: 'tasks',
  task: 'tasks',
  by: 'people',
  using: 'consumables',
  item: 'consumables',
  zone: 'zones',
  'battery-zone': 'zones',
  'fuel-zone': 'zones',
  beside: 'zones',
  source: 'sources',
  reference: 'sources',
  'cable-route': 'sources',
  'battery-distance': 'sources',
  'fuel-distance': 'sources',
  follow: 'procedures',
};

/** On each side of the limits of high voltage, and usual ones. */
const voltages = [
  '12 V',
  '29 V',
  '30 V',
  '31 V',
  '48 V',
  '59 V',
  '60 V',
  '61 V',
  '800 V',
  '1000 V',
  '1001 V',
  '1501 V',
];

/** A number that depends on nothing but these words (FNV-1a, mixed once more). */
export function rank(words: string): number {
  let hash = 0x811c9dc5;
  for (let i = 0; i < words.length; i++) hash = Math.imul(hash ^ words.charCodeAt(i), 0x01000193);
  hash = Math.imul(hash ^ (hash >>> 16), 0x85ebca6b);
  hash = Math.imul(hash ^ (hash >>> 13), 0xc2b2ae35);
  return (hash ^ (hash >>> 16)) >>> 0;
}
/** The same members, always in the same order for a seed. */
const shuffled = <T>(all: readonly T[], seed: string, wordsOf: (one: T) => string): T[] =>
  all
    .map((one) => ({ one, at: rank(`${seed} ${wordsOf(one)}`) }))
    .sort((a, b) => a.at - b.at)
    .map(({ one }) => one);
/** Some members, always the same ones for a seed. */
export const some = (all: readonly string[], count: number, seed: string): string[] =>
  shuffled(all, seed, String).slice(0, count);

/** How often a sort of change is chosen, where others than 1 are: work and its order more often than what few tasks read. */
const weights: readonly (readonly [sort: RegExp, weight: number])[] = [
  [/^operations (?:out|moved|value do|out after)$/, 3],
  [/^operations (?:again|more|value|added (?:connectors|halves|after|by|zone)$|out)/, 2],
  [/^operations added/, 0.2],
  [/^connectors added (?!class|zone|lock|maker-cover|isolates|medium|calibrate|new-seal)/, 0.3],
  [/^(?:connectors|labour|materials|measurements|accepted|vehicle)/, 1.5],
  [/^(?:needed out|sections added)|(?:slip|shape)$/, 0.4],
];
const weightOf = (sort: string): number => weights.find(([pattern]) => pattern.test(sort))?.[1] ?? 1;

/**
 * Some of the changes of a text, always the same ones, of as many sorts as there are.
 * @param seed of what the choice depends beside the changes themselves
 */
export function variantsOf(kind: Kind, text: string, names: Names, count: number, seed: string): Variant[] {
  return someOf(changesOf(kind, text, names), count, seed);
}

/** Some changes, always the same ones, of as many sorts as there are. */
export function someOf(changes: Iterable<Change>, count: number, seed: string): Variant[] {
  const bySort = new Map<string, Change[]>();
  for (const one of changes) bySort.set(one.sort, [...(bySort.get(one.sort) ?? []), one]);
  const turns = [...bySort].flatMap(([sort, alike]) =>
    shuffled(alike, seed, ({ name }) => name).map((one, i) => ({
      one,
      turn: (i + rank(`${seed} ${one.name}`) / 2 ** 32) / weightOf(sort),
    })),
  );
  return turns
    .sort((a, b) => a.turn - b.turn)
    .slice(0, count)
    .map(({ one }) => one);
}

/** Every change of a text that the schema allows, or nearly. */
function* changesOf(kind: Kind, text: string, names: Names): Generator<Change> {
  const { contents } = parseDocument(text);
  if (isMap(contents)) yield* new Changes(kind, text, names).ofMap(contents, [], '');
}

export class Changes {
  constructor(
    readonly kind: Kind,
    readonly text: string,
    readonly names: Names,
  ) {}

  *of(node: Node | null | undefined, path: Path, label: string): Generator<Change> {
    if (isMap(node)) yield* this.ofMap(node, path, label);
    else if (isSeq(node)) yield* this.ofList(node, path, label);
    else if (isScalar(node) && node.range) {
      const [from, to] = node.range;
      for (const value of this.others(node.value, String(node.value), path))
        yield this.change(path, 'value', `${label}: ${value}`, from, to, value);
    }
  }

  *ofMap(map: YAMLMap, path: Path, label: string): Generator<Change> {
    const present = new Set<string>();
    for (const pair of map.items) {
      if (!isScalar(pair.key) || typeof pair.key.value !== 'string') continue;
      const key = pair.key.value;
      present.add(key);
      const named = label === '' ? key : `${label} ${key}`;
      const [from, to] = this.extent(map, pair);
      yield this.change([...path, key], 'out', `${named} out`, from, to, '');
      const [begin, end] = pair.key.range!;
      yield this.change([...path, key], 'slip', `${named} misspelt`, begin, end, slipped(key));
      yield* this.shapes(pair.value as Node | null, [...path, key], named);
      yield* this.of(pair.value as Node | null, [...path, key], named);
    }
    const schema = schemaAt(this.kind, path);
    for (const key of Object.keys(schema?.properties ?? {})) {
      if (present.has(key) || key === 'note') continue;
      for (const value of this.values([...path, key])) {
        const shown = value.length > 30 ? 'added' : value;
        yield this.added(map, path, `${label === '' ? '' : `${label} `}${key}: ${shown}`, key, value);
      }
    }
  }

  *ofList(list: YAMLSeq, path: Path, label: string): Generator<Change> {
    const items = list.items as Node[];
    const within = [...path, undefined];
    for (const [place, item] of items.entries()) {
      const named = this.labelOf(item, place, label);
      const [from, to] = this.extent(list, item);
      const written = this.text.slice(from, to);
      yield this.change(path, 'out', `${named} out`, from, to, '');
      if (isMap(item) && !list.flow) {
        const next = items[place + 1];
        if (next) {
          const [begin, end] = this.extent(list, next);
          const swapped = this.text.slice(begin, end) + this.text.slice(to, begin) + written;
          yield this.change(path, 'moved', `${named} down`, from, end, swapped);
          if (place + 2 < items.length) {
            const [, last] = this.extent(list, items.at(-1)!);
            yield this.change(
              path,
              'moved',
              `${named} last`,
              from,
              last,
              this.text.slice(to, last) + written,
            );
          }
        }
        const id = item.get('id');
        if (typeof id === 'string') {
          const [, last] = this.extent(list, items.at(-1)!);
          const again = written.replace(id, `${id}-2`);
          yield this.change(path, 'again', `${named} again`, last, last, again);
        }
      }
      yield* this.shapes(item, within, named);
      yield* this.of(item, within, named);
    }
    if (list.flow && list.range && items.every((item) => isScalar(item))) {
      const there = items.map((item) => String((item as { value?: unknown }).value));
      const end = list.range[1] - 1;
      for (const value of some(this.pool(path), 2, label).filter((one) => !there.includes(one)))
        yield this.change(
          path,
          'more',
          `${label} + ${value}`,
          end,
          end,
          items.length > 0 ? `, ${value}` : value,
        );
    }
  }

  /** Values of another shape: a word for what has parts, parts for a word. */
  *shapes(node: Node | null, path: Path, label: string): Generator<Change> {
    const { range } = node ?? {};
    if (!node || !range) return;
    const isWord = isScalar(node);
    const end = isWord || (node as YAMLMap).flow ? range[1] : range[2] - 1;
    for (const other of isWord ? ['[one, two]', '{ one: two }', 'null'] : ['word', 'null', '[]'])
      yield this.change(path, 'shape', `${label}: ${other}`, range[0], end, other);
  }

  labelOf(item: Node, place: number, label: string): string {
    if (isMap(item)) {
      const id = item.get('id');
      if (typeof id === 'string' || typeof id === 'number') return String(id);
      return `${label} ${place + 1}`;
    }
    return isScalar(item) ? `${label} ${String(item.value)}` : `${label} ${place + 1}`;
  }

  /** Where an entry stands, with what goes with it: its line, or its comma. */
  extent(parent: YAMLMap | YAMLSeq, entry: Node | Pair): [from: number, to: number] {
    const first = (isPair(entry) ? entry.key : entry) as Node;
    const last = (isPair(entry) ? (entry.value ?? entry.key) : entry) as Node;
    let from = first.range![0];
    let to = last.range![1];
    if (parent.flow) {
      const after = /^\s*,\s*/.exec(this.text.slice(to));
      if (after) return [from, to + after[0].length];
      const before = /,\s*$/.exec(this.text.slice(0, from));
      return [from - (before?.[0].length ?? 0), to];
    }
    const start = this.text.lastIndexOf('\n', from - 1) + 1;
    const lead = this.text.slice(start, from);
    const end = this.text.indexOf('\n', to - (this.text[to - 1] === '\n' ? 1 : 0));
    to = end < 0 ? this.text.length : end + 1;
    // The first key behind a dash: the next one takes its place.
    if (/^\s*- /.test(lead) && isPair(entry)) {
      const next = /^\s*/.exec(this.text.slice(to))![0];
      return [from, Math.min(this.text.length, to + next.length)];
    }
    from = start;
    return [from, to];
  }

  added(map: YAMLMap, path: Path, name: string, key: string, value: string): Change {
    const last = map.items.at(-1);
    if (map.flow) {
      const end = this.text.lastIndexOf('}', map.range![1]);
      const at = last ? ((last.value ?? last.key) as Node).range![1] : end;
      return this.change([...path, key], 'added', name, at, at, `${last ? ', ' : ''}${key}: ${value}`);
    }
    const [, at] = this.extent(map, last!);
    const from = (map.items[0]!.key as Node).range![0];
    const column = from - (this.text.lastIndexOf('\n', from - 1) + 1);
    const line = `${' '.repeat(column)}${key}: ${value}\n`;
    return this.change(
      [...path, key],
      'added',
      name,
      at,
      at,
      this.text[at - 1] === '\n' ? line : `\n${line}`,
    );
  }

  change(path: Path, what: string, name: string, from: number, to: number, text: string): Change {
    return { name, sort: sortOf(path, what), text: this.text.slice(0, from) + text + this.text.slice(to) };
  }

  /** Other values for the one that stands there. */
  others(value: unknown, written: string, path: Path): string[] {
    const schema = schemaAt(this.kind, path) ?? {};
    const found = new Set<string>();
    if (typeof value === 'boolean') found.add(String(!value));
    for (const one of some([...(schema.enum ?? []), ...this.pool(path)].map(String), 3, written))
      found.add(one);
    for (const one of schema['x-quantity'] === 'voltage' ? some(voltages, 2, written) : []) found.add(one);
    const [, number, unit] = /^(-?\d+(?:\.\d+)?)( [^ ]+)?$/.exec(written) ?? [];
    if (number !== undefined && !schema.format) {
      const quoted = schema.type === 'string' && unit === undefined ? "'" : '';
      for (const factor of [0, 0.5, 0.98, 1.02, 2, 10, -1])
        found.add(`${quoted}${Number((Number(number) * factor).toPrecision(6))}${unit ?? ''}${quoted}`);
    }
    const day = /^\d{4}-\d\d-\d\d$/.test(written) ? Date.parse(written) : NaN;
    for (const days of Number.isNaN(day) ? [] : [-400, -1, 1, 400])
      found.add(new Date(day + days * 86_400_000).toISOString().slice(0, 10));
    found.delete(written);
    return [...found];
  }

  /** Values for a key that is not there. */
  values(path: Path): string[] {
    const schema = schemaAt(this.kind, path);
    const example = (schema?.examples ?? []).slice(0, 1).map((one) => this.withSteps(inline(one)));
    if (!schema || schema.properties) return example;
    const isList = [schema.type ?? []].flat().includes('array');
    const single = some([...choices(schema), ...this.pool(path)], 3, path.join());
    if (single.length > 0) return isList ? single.map((one) => `[${one}]`) : single;
    return example;
  }

  /** An example of the schema with steps of this text. */
  withSteps(example: string): string {
    const [step] = some(this.names['operations'] ?? [], 1, example);
    return step === undefined ? example : example.replaceAll(/\bop\d+\b/g, step);
  }

  pool(path: Path): readonly string[] {
    const key = path.findLast((one) => one !== undefined);
    return this.names[namedBy[key ?? ''] ?? ''] ?? [];
  }
}

const choices = (schema: Schema): string[] =>
  schema.type === 'boolean' ? ['true', 'false'] : (schema.enum ?? schema.items?.enum ?? []).map(String);
/** A word as a hasty hand types it: the middle letter left out. */
const slipped = (word: string): string =>
  word.slice(0, Math.floor(word.length / 2)) + word.slice(Math.floor(word.length / 2) + 1);

/** Keys without which an entry says nothing. */
const needed: ReadonlySet<string> = new Set(['id', 'plan', 'vehicle', 'description', 'operations', 'uses']);

/** Changes are of one sort that do the same to the same key. */
function sortOf(path: Path, what: string): string {
  const [section, , key] = path;
  if (what === 'added' && path.length === 1) return 'sections added';
  if (what === 'slip' || what === 'shape') return `${path.length === 1 ? 'sections' : section} ${what}`;
  if (what === 'out' && needed.has(path.at(-1) ?? '')) return 'needed out';
  return [section, what, what === 'moved' || what === 'again' ? undefined : key].filter(Boolean).join(' ');
}
/** A value in flow style. */
const inline = (value: unknown): string =>
  typeof value === 'string' && /^[\p{L}\d][^:#{}[\],'"]*$/u.test(value) && !/^\d+(\.\d+)?$/.test(value)
    ? value
    : JSON.stringify(value);
