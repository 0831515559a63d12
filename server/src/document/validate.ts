import type { ErrorObject } from 'ajv';
import { validate as validators } from '../generated/validate.ts';
import { fastFlatMap, emptyList, own } from '../base/collections.ts';
import type { Kind } from './kind.ts';
import type { AnyNode, Entry, ListNode, MapNode } from './node.ts';
import { memoByIdentity } from '../incremental/memo.ts';
import { chunker } from '../incremental/chunks.ts';
import type { Span } from '../text/span.ts';

/** One place where a document breaks its schema. */
export interface SchemaViolation {
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

/** The plain value of a located tree, for the validator. */
export function valueOf(node: AnyNode): unknown {
  if (node.kind === 'scalar') return node.value;
  if (node.kind === 'list') return (node.items as readonly AnyNode[]).map(valueOf);
  const value: Record<string, unknown> = {};
  for (const { key, value: inner } of node.entries) {
    // Plain assignment to `__proto__` would change the object's prototype.
    if (key === '__proto__')
      return Object.fromEntries(node.entries.map((entry) => [entry.key, valueOf(entry.value)]));
    // eslint-disable-next-line plugward/own-keys -- a new own key; `Object.fromEntries` for every group is slower
    value[key] = valueOf(inner);
  }
  return value;
}

/**
 * Maximum number of violations kept per file. A file can have hundreds of thousands; nobody reads more than
 * these.
 */
export const mistakeLimit = 1_000;

/** Keywords that say a key is missing or not known; the value itself stays readable. */
const aboutKeys = new Set(['required', 'additionalProperties', 'unevaluatedProperties', 'oneOf', 'if']);

/**
 * Validates the entries of each top-level list on their own, once for each entry, and then the rest without
 * them.
 * @returns the violations to report, plus one if there are more; rejected values are marked
 * `rejectedBySchema` in the tree
 */
export function validateAndMark(kind: Kind, root: MapNode<Record<string, unknown>>): SchemaViolation[] {
  const { around, items } = validators[kind];
  const mistakes: SchemaViolation[] = [];
  const rest: [string, unknown][] = [];
  for (const { key, value } of root.entries) {
    // The key may have the name of an `Object.prototype` member, such as `constructor`.
    const validator = own<Validator>(items, key);
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

/** Appends violations up to `mistakeLimit` + 1. */
function take(mistakes: SchemaViolation[], more: readonly SchemaViolation[]): void {
  for (const schemaViolation of more) {
    if (mistakes.length > mistakeLimit) return;
    mistakes.push(schemaViolation);
  }
}

type Validator = (typeof validators)[Kind]['around'];

const mistakesOfList = memoByIdentity(
  (list: ListNode<unknown>, key: string, validator: Validator): readonly SchemaViolation[] => {
    const mistakes: SchemaViolation[] = [];
    let first = 0;
    for (const run of runsOf(list.items as readonly AnyNode[])) {
      // Validate every item, even beyond the limit: validation is what marks rejected values.
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

const runsOf = chunker<AnyNode>();
const mistakesOfRun = memoByIdentity((run: readonly AnyNode[], validator: Validator) =>
  fastFlatMap(run, (item, at) => {
    const own = mistakesOfItem(item, validator);
    return own.length > 0 ? [{ at, own }] : [];
  }),
);

const mistakesOfItem = memoByIdentity((item: AnyNode, validator: Validator) =>
  mistakesIn(item, valueOf(item), validator),
);

/** Runs a validator on `value`, the plain value of `node`, and marks what it rejects. */
function mistakesIn(node: AnyNode, value: unknown, validator: Validator): readonly SchemaViolation[] {
  if (validator(value)) return emptyList;
  const mistakes: SchemaViolation[] = [];
  const refused = new Set<string>();
  const isChoice = (error: ErrorObject): boolean => /\/oneOf\/\d+\//.test(error.schemaPath);
  for (const error of validator.errors ?? []) {
    // `oneOf` reports its own error; skip the errors of its branches.
    if (isChoice(error) || error.keyword === 'if') continue;
    // Beyond the limit, only errors that reject a value still matter.
    if (mistakes.length > mistakeLimit && aboutKeys.has(error.keyword)) continue;
    const path = error.instancePath
      .split('/')
      .slice(1)
      .map((part) => part.replaceAll('~1', '/').replaceAll('~0', '~'));
    const found = follow(node, path);
    if (!found) continue;
    if (!aboutKeys.has(error.keyword)) {
      // Report one violation per value; the first wins, so a type error hides a pattern error.
      if (refused.has(error.instancePath)) continue;
      refused.add(error.instancePath);
      found.node.rejectedBySchema = true;
    }
    const params = error.params as Record<string, unknown>;
    const schema = (error.parentSchema ?? {}) as Record<string, unknown>;
    mistakes.push({ keyword: error.keyword, params, schema, ...found });
  }
  return mistakes;
}

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

/** The span to report for an unknown key or a rejected value. */
export function spanOfMistake(mistake: SchemaViolation): Span {
  const named = mistake.params['additionalProperty'];
  if (typeof named === 'string' && mistake.node.kind === 'map') {
    const entry = mistake.node.entry(named);
    if (entry) return entry.keySpan;
  }
  return mistake.node.span;
}
