/**
 * Changes that bring a text to where the program compares or counts: a value that is equal to another or a step beside it, one
 * entry of a list or one twice, a plan that ends or begins elsewhere, one step more or less to wait for.
 */
import { isMap, isScalar, isSeq, parse, parseDocument } from 'yaml';
import type { Node, YAMLMap, YAMLSeq } from 'yaml';
import type { Kind } from '../../server/src/document/kind.ts';
import { schemaAt } from '../../server/src/features/schema.ts';
import type { Path, Schema } from '../../server/src/features/schema.ts';
import { Changes, some, someOf } from './variants.ts';
import type { Change, Names, Variant } from './variants.ts';

/** Values that texts give: by the quantity, as dates, or by the key of a plain number. */
export type Values = ReadonlyMap<string, ReadonlySet<string>>;

/** Values with which rules compare, beside those that the texts give. */
const compared: readonly (readonly [group: string, values: readonly string[]])[] = [
  ['voltage', ['30 V', '60 V', '1000 V', '1500 V']],
  ['resistance', ['0.1 Ω', '100 mΩ']],
  ['temperature', ['60 °C', '120 °C']],
  ['time', ['0 s', '30 s']],
];
/** Ω per volt of the least insulation. */
const perVolt = [100, 500];
const day = 86_400_000;

/** What a value is: the quantity or `date`, else its key where it is a number. */
function groupOf(schema: Schema | undefined, value: unknown, path: Path): string | undefined {
  if (schema?.['x-quantity']) return schema['x-quantity'];
  if (schema?.format === 'date') return 'date';
  return /^-?\d+(?:\.\d+)?$/.test(String(value)) ? path.at(-1) : undefined;
}

const known = new Map<string, unknown>();
/** What a text says, undefined where it has a syntax error; many texts use the same files. */
export function parsed(text: string): unknown {
  if (!known.has(text)) {
    let said: unknown;
    try {
      said = parse(text, { logLevel: 'silent' });
    } catch {
      said = undefined;
    }
    known.set(text, said);
  }
  return known.get(text);
}

/** The values of texts. */
export function valuesIn(texts: readonly (readonly [kind: Kind, text: string])[], today: string): Values {
  const values = new Map<string, Set<string>>(compared.map(([group, list]) => [group, new Set(list)]));
  const add = (group: string, value: string): void =>
    void values.set(group, (values.get(group) ?? new Set()).add(value));
  const visit = (kind: Kind, value: unknown, path: Path): void => {
    if (Array.isArray(value)) for (const one of value) visit(kind, one, [...path, undefined]);
    else if (typeof value === 'object' && value !== null)
      for (const [key, one] of Object.entries(value)) visit(kind, one, [...path, key]);
    else {
      const group = groupOf(schemaAt(kind, path), value, path);
      if (group !== undefined && value !== undefined) add(group, String(value));
    }
  };
  for (const [kind, text] of texts) visit(kind, parsed(text), []);
  // Hours of a line of labour are compared with the time of its steps, insulation with the voltage, days with how long.
  for (const hours of values.get('hours') ?? []) add('time', `${hours} h`);
  for (const [, hours] of matches(values.get('time'), / h$/)) add('hours', hours);
  for (const [, volts] of matches(values.get('voltage'), / V$/))
    for (const ohms of perVolt) add('resistance', `${(Number(volts) * ohms) / 1000} kΩ`);
  add('date', today);
  for (const [, days] of matches(values.get('time'), / d$/)) add('date', dayAfter(today, -Number(days)));
  return values;
}

/** The number before a unit, of the values that have it. */
const matches = (values: ReadonlySet<string> | undefined, unit: RegExp): [string, string][] =>
  [...(values ?? [])].filter((one) => unit.test(one)).map((one) => [one, one.replace(unit, '')]);

const dayAfter = (date: string, days: number): string =>
  new Date(Date.parse(date) + days * day).toISOString().slice(0, 10);

/** Some of the changes to such places, always the same ones. */
export function edgesOf(
  kind: Kind,
  text: string,
  { names, values }: { readonly names: Names; readonly values: Values },
  count: number,
  seed: string,
): Variant[] {
  const { contents } = parseDocument(text);
  return isMap(contents)
    ? someOf(new Edges(kind, text, names, values).ofMap(contents, [], ''), count, seed)
    : [];
}

class Edges extends Changes {
  constructor(
    kind: Kind,
    text: string,
    names: Names,
    readonly given: Values,
  ) {
    super(kind, text, names);
  }

  override *ofMap(map: YAMLMap, path: Path, label: string): Generator<Change> {
    if (path.length === 2 && path[0] === 'operations') yield* this.waiting(map, path, label);
    for (const { key, value } of map.items) {
      if (!isScalar(key) || typeof key.value !== 'string') continue;
      const named = label === '' ? key.value : `${label} ${key.value}`;
      const node = value as Node | null;
      yield* this.of(node, [...path, key.value], named);
      if (key.value === 'value') yield* this.uncertain(map, node, path, named);
    }
  }

  override *ofList(list: YAMLSeq, path: Path, label: string): Generator<Change> {
    const items = list.items as Node[];
    const extents = items.map((item) => this.extent(list, item));
    for (const [place, item] of items.entries()) {
      const named = this.labelOf(item, place, label);
      const [from, to] = extents[place]!;
      const [begin, end] = [extents[0]![0], extents.at(-1)![1]];
      const written = this.text.slice(from, to);
      if (isMap(item) && !list.flow) {
        yield this.change(path, 'as it is again', `${named} as it is again`, to, to, written);
        if (place > 0) yield this.change(path, 'from', `${path.at(-1)} from ${named}`, begin, from, '');
        if (place + 1 < items.length)
          yield this.change(path, 'until', `${path.at(-1)} until ${named}`, to, end, '');
      } else if (list.flow && list.range && isScalar(item)) {
        const [open, close] = [list.range[0] + 1, list.range[1] - 1];
        const word = this.text.slice(item.range![0], item.range![1]);
        if (items.length > 1) yield this.change(path, 'only', `${named} only`, open, close, word);
        yield this.change(path, 'twice', `${named} twice`, close, close, `, ${word}`);
        for (const two of this.twoOf(path, label))
          yield this.change(path, 'two more', `${label} + ${two}`, close, close, `, ${two}`);
      }
      yield* this.of(item, [...path, undefined], named);
    }
  }

  /** The same value as another, and the days beside it. */
  override others(value: unknown, written: string, path: Path): string[] {
    const schema = schemaAt(this.kind, path);
    const group = groupOf(schema, value, path);
    if (group === undefined) return [];
    const all = [...(this.given.get(group) ?? [])];
    const found = group === 'date' ? all.flatMap((one) => daysAround(one)) : all;
    const quoted = schema?.type === 'string' && /^[\d.-]+$/.test(written) ? "'" : '';
    return some(
      found.filter((one) => one !== written),
      4,
      `${path.join()} ${written}`,
    ).map((one) => quoted + one + quoted);
  }

  override change(path: Path, what: string, name: string, from: number, to: number, text: string): Change {
    const key = path.findLast((one) => one !== undefined) ?? '';
    return { ...super.change(path, what, name, from, to, text), sort: `${path[0]} ${key} ${what}` };
  }

  /** Also zones of the battery, and words that the schema lists. */
  override pool(path: Path): readonly string[] {
    const words = schemaAt(this.kind, path)?.items?.enum ?? [];
    const zones = path.includes('put-down') ? ['battery-store', 'underbody', 'quarter-left'] : [];
    return [...super.pool(path), ...words.map(String), ...zones];
  }

  /** A reading whose uncertainty reaches just to another value. */
  *uncertain(map: YAMLMap, node: Node | null, path: Path, label: string): Generator<Change> {
    const [, amount, unit] = /^(\d+(?:\.\d+)?)( .+)$/.exec(String(map.get('uncertainty'))) ?? [];
    const group = groupOf(schemaAt(this.kind, [...path, 'value']), 0, path);
    if (amount === undefined || !node?.range || group === undefined) return;
    for (const one of this.given.get(group) ?? []) {
      if (!one.endsWith(unit!) || !/^\d/.test(one)) continue;
      for (const sign of [-1, 1]) {
        const value = Number((Number.parseFloat(one) + sign * Number(amount)).toPrecision(9));
        const other = `${value}${unit}`;
        yield this.change(path, 'reaches', `${label}: ${other}`, node.range[0], node.range[1], other);
      }
    }
  }

  /** A step that waits for no other, for the one before the last, or for all that stand before it. */
  *waiting(map: YAMLMap, path: Path, label: string): Generator<Change> {
    const steps = this.names['operations'] ?? [];
    const before = steps.slice(0, steps.indexOf(String(map.get('id'))));
    const pair = map.items.find(({ key }) => isScalar(key) && key.value === 'after');
    const value = pair?.value as Node | null | undefined;
    if (pair && !(isSeq(value) && value.flow)) return;
    for (const ids of [[], before.slice(-2, -1), before.slice(-3, -2), before]) {
      const list = `[${ids.join(', ')}]`;
      const name = `${label} after: ${ids.length > 1 ? 'all before' : list}`;
      if (value?.range) yield this.change(path, 'waits', name, value.range[0], value.range[1], list);
      else yield { ...this.added(map, path, name, 'after', list), sort: 'operations after waits' };
    }
  }

  /** Two more names for a list. */
  twoOf(path: Path, label: string): string[] {
    const two = some(this.pool(path), 2, `${label} two`);
    return two.length === 2 ? [two.join(', ')] : [];
  }
}

const daysAround = (date: string): string[] =>
  Number.isNaN(Date.parse(date)) ? [] : [date, dayAfter(date, -1), dayAfter(date, 1)];
