import { flatMapped } from './gather.ts';
import type { ErrorObject } from 'ajv';
import type { ConnectorList } from '../generated/connector-list.ts';
import type { RateSheet } from '../generated/rate-sheet.ts';
import type { RepairPlan } from '../generated/repair-plan.ts';
import type { ShopProcedure } from '../generated/shop-procedure.ts';
import { validate as validators } from '../generated/validate.ts';
import type { Kind } from './kind.ts';
import type { AnyNode, Entry, ListNode, Located, MapNode } from './node.ts';
import { parse } from './parse.ts';
import type { Parsed, Problem } from './parse.ts';
import { once } from './once.ts';
import { cutter } from './runs.ts';
import { LineIndex } from './lines.ts';
import type { Rope } from './rope.ts';
import type { Span } from './text.ts';

/** One place where a document breaks its schema. */
export interface Mistake {
  readonly keyword: string;
  readonly params: Readonly<Record<string, unknown>>;
  /** The schema that was broken, for its `x-quantity`, `enum`, `examples`, `description`. */
  readonly schema: Readonly<Record<string, unknown>>;
  /** The value that breaks it. */
  readonly node: AnyNode;
  /** The entry whose value it is, when it is one. */
  readonly entry: Entry | undefined;
  /** Keys from the root, indices as numbers. */
  readonly path: readonly (string | number)[];
}

interface Roots {
  'repair-plan': RepairPlan;
  'shop-procedure': ShopProcedure;
  'connector-list': ConnectorList;
  'rate-sheet': RateSheet;
}

/** A parsed and validated text. Values that broke the schema are `bad` in the tree and read as absent. */
export interface Document<K extends Kind = Kind> {
  readonly uri: string;
  readonly kind: K;
  /** The whole text. It is put together when it is asked for: who wants a part of it takes `slice`. */
  readonly text: string;
  /** The characters of `[start, end)`. */
  slice(start: number, end: number): string;
  readonly lines: LineIndex;
  readonly root: Located<Roots[K]> | undefined;
  readonly problems: readonly Problem[];
  /** The first of them, `mistakeLimit` at most; what the others refuse is refused all the same. */
  readonly mistakes: readonly Mistake[];
  /** The first that is left out. */
  readonly nextMistake: Mistake | undefined;
  /** How it was read, for reading its next text; and the text in stretches. */
  readonly parsed: Parsed;
}

/**
 * Reads a text of a known kind. Never throws. With `earlier`, the document of an earlier text of the same file, only
 * what changed is read again; `earlier` must not be used afterwards. Where nothing but prose, comments and white space
 * changed, the answer is `earlier` itself with its new text: what was concluded from it holds.
 */
export function readDocument<K extends Kind>(
  uri: string,
  kind: K,
  text: string | Rope,
  earlier?: Document,
): Document<K> {
  const known = earlier?.kind === kind ? (earlier as ReadText<K>) : undefined;
  const parsed = parse(uri, text, known?.parsed);
  if (known && parsed.root && parsed.root === known.parsed.root) return known.with(parsed);
  return new ReadText(uri, kind, parsed, known);
}

class ReadText<K extends Kind> implements Document<K> {
  readonly root: Located<Roots[K]> | undefined;
  readonly problems: readonly Problem[];
  readonly mistakes: readonly Mistake[];
  readonly nextMistake: Mistake | undefined;
  #lines: LineIndex | undefined;

  constructor(
    readonly uri: string,
    readonly kind: K,
    public parsed: Parsed,
    earlier?: ReadText<K>,
  ) {
    const { root, problems } = parsed;
    this.#lines = earlier && earlier.#linesOf(parsed);
    this.root = root as Located<Roots[K]> | undefined;
    this.problems = problems;
    const mistakes = root ? validate(kind, root) : [];
    this.mistakes = mistakes.slice(0, mistakeLimit);
    this.nextMistake = mistakes[mistakeLimit];
  }

  get text(): string {
    return String(this.parsed.text);
  }

  slice(start: number, end: number): string {
    return this.parsed.text.slice(start, end);
  }

  get lines(): LineIndex {
    return (this.#lines ??= new LineIndex(this.parsed.text));
  }

  /** The same document with another text that says the same. */
  with(parsed: Parsed): this {
    this.parsed = parsed;
    this.#lines = this.#linesOf(parsed);
    return this;
  }

  /** The lines of a later text, where those of this one are known. */
  #linesOf({ text, change }: Parsed): LineIndex | undefined {
    const before = this.#lines;
    return before && change && new LineIndex(text, { before, change });
  }
}

/** The plain value of a located tree, for the validator. */
export function valueOf(node: AnyNode): unknown {
  if (node.kind === 'scalar') return node.value;
  if (node.kind === 'list') return (node.items as readonly AnyNode[]).map(valueOf);
  const value: Record<string, unknown> = {};
  for (const { key, value: inner } of node.entries) {
    // Set as any other key, this one would change what the group is.
    if (key === '__proto__')
      return Object.fromEntries(node.entries.map((one) => [one.key, valueOf(one.value)]));
    value[key] = valueOf(inner);
  }
  return value;
}

/** Nobody reads more of them, and a text can hold hundreds of thousands. */
export const mistakeLimit = 1_000;

/** Keywords that say a key is missing or not known; the value itself stays readable. */
const aboutKeys = new Set(['required', 'additionalProperties', 'unevaluatedProperties', 'oneOf', 'if']);

/**
 * Validates the entries of each top-level list on their own, once for each entry, and then the rest without them.
 * @returns the mistakes that are told, and the next one
 */
function validate(kind: Kind, root: MapNode<Record<string, unknown>>): Mistake[] {
  const { around, items } = validators[kind];
  const mistakes: Mistake[] = [];
  const rest: [string, unknown][] = [];
  for (const { key, value } of root.entries) {
    // A key may be called as what every object has.
    const validator = Object.hasOwn(items, key)
      ? (items as Readonly<Record<string, Validator>>)[key]
      : undefined;
    if (value.kind !== 'list' || !validator) {
      rest.push([key, valueOf(value)]);
      continue;
    }
    rest.push([key, []]);
    take(mistakes, mistakesOfList(value as ListNode<unknown>, key, validator));
  }
  take(mistakes, mistakesIn(root, Object.fromEntries(rest), around));
  return mistakes;
}

/** Puts in as many as are told, and one more. */
function take(mistakes: Mistake[], more: readonly Mistake[]): void {
  for (const one of more) {
    if (mistakes.length > mistakeLimit) return;
    mistakes.push(one);
  }
}

type Validator = (typeof validators)[Kind]['around'];

const mistakesOfList = once(
  (list: ListNode<unknown>, key: string, validator: Validator): readonly Mistake[] => {
    const mistakes: Mistake[] = [];
    let first = 0;
    for (const run of runsOf(list.items as readonly AnyNode[])) {
      // All are asked, for what they refuse is marked thereby.
      for (const { at, own } of mistakesOfRun(run, validator)) {
        if (mistakes.length > mistakeLimit) break;
        take(
          mistakes,
          own.map((mistake) => ({ ...mistake, path: [key, first + at, ...mistake.path] })),
        );
      }
      first += run.length;
    }
    return mistakes;
  },
);

const runsOf = cutter<AnyNode>();
const mistakesOfRun = once((run: readonly AnyNode[], validator: Validator) =>
  flatMapped(run, (item, at) => {
    const own = mistakesOfItem(item, validator);
    return own.length > 0 ? [{ at, own }] : [];
  }),
);

const mistakesOfItem = once((item: AnyNode, validator: Validator) =>
  mistakesIn(item, valueOf(item), validator),
);

/** Runs a validator over `value`, the plain value of `node`, and marks what it refuses. */
function mistakesIn(node: AnyNode, value: unknown, validator: Validator): readonly Mistake[] {
  if (validator(value)) return none;
  const mistakes: Mistake[] = [];
  const refused = new Set<string>();
  const isChoice = (error: ErrorObject): boolean => /\/oneOf\/\d+\//.test(error.schemaPath);
  for (const error of validator.errors ?? []) {
    // A choice reports itself; the branches it tried are no mistakes of their own.
    if (isChoice(error) || error.keyword === 'if') continue;
    // Beyond what is told only what is refused counts.
    if (mistakes.length > mistakeLimit && aboutKeys.has(error.keyword)) continue;
    const path = error.instancePath
      .split('/')
      .slice(1)
      .map((part) => part.replaceAll('~1', '/').replaceAll('~0', '~'));
    const found = follow(node, path);
    if (!found) continue;
    if (!aboutKeys.has(error.keyword)) {
      // One value, one mistake: its type goes before its pattern.
      if (refused.has(error.instancePath)) continue;
      refused.add(error.instancePath);
      found.node.bad = true;
    }
    const params = error.params as Record<string, unknown>;
    const schema = (error.parentSchema ?? {}) as Record<string, unknown>;
    mistakes.push({ keyword: error.keyword, params, schema, ...found });
  }
  return mistakes;
}

const none: readonly never[] = [];

function follow(
  root: AnyNode,
  path: readonly string[],
): { node: AnyNode; entry: Entry | undefined; path: (string | number)[] } | undefined {
  let node: AnyNode = root;
  let entry: Entry | undefined;
  const walked: (string | number)[] = [];
  for (const part of path) {
    if (node.kind === 'map') {
      entry = node.entry(part);
      if (!entry) return undefined;
      node = entry.value;
      walked.push(part);
    } else if (node.kind === 'list') {
      const item = (node.items as readonly AnyNode[])[Number(part)];
      if (!item) return undefined;
      node = item;
      entry = undefined;
      walked.push(Number(part));
    } else return undefined;
  }
  return { node, entry, path: walked };
}

/** Where to point when a key is unknown or a value is refused. */
export function spanOfMistake(mistake: Mistake): Span {
  const named = mistake.params['additionalProperty'];
  if (typeof named === 'string' && mistake.node.kind === 'map') {
    const entry = mistake.node.entry(named);
    if (entry) return entry.keySpan;
  }
  return mistake.node.span;
}
