import type { ErrorObject } from 'ajv';
import type { ConnectorList } from '../generated/connector-list.ts';
import type { RateSheet } from '../generated/rate-sheet.ts';
import type { RepairPlan } from '../generated/repair-plan.ts';
import type { ShopProcedure } from '../generated/shop-procedure.ts';
import * as validators from '../generated/validators.js';
import type { Kind } from './kind.ts';
import type { AnyNode, Entry, Located, MapNode } from './node.ts';
import { parse } from './parse.ts';
import type { Problem } from './parse.ts';
import { LineIndex } from './text.ts';
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
  readonly text: string;
  readonly lines: LineIndex;
  readonly root: Located<Roots[K]> | undefined;
  readonly problems: readonly Problem[];
  readonly mistakes: readonly Mistake[];
}

const validatorOf = {
  'repair-plan': validators.repairPlan,
  'shop-procedure': validators.shopProcedure,
  'connector-list': validators.connectorList,
  'rate-sheet': validators.rateSheet,
} as const;

/** Reads a text of a known kind. Never throws. */
export function readDocument<K extends Kind>(uri: string, kind: K, text: string): Document<K> {
  const { root, problems } = parse(uri, text);
  const mistakes = root ? validate(kind, root) : [];
  let lines: LineIndex | undefined;
  return {
    uri,
    kind,
    text,
    get lines() {
      return (lines ??= new LineIndex(text));
    },
    root: root as Located<Roots[K]> | undefined,
    problems,
    mistakes,
  };
}

/** The plain value of a located tree, for the validator. */
export function valueOf(node: AnyNode): unknown {
  const values = new Map<AnyNode, unknown>();
  const visit = (from: AnyNode): unknown => {
    if (from.kind === 'scalar') return from.value;
    if (values.has(from)) return values.get(from);
    const value =
      from.kind === 'list'
        ? (from.items as readonly AnyNode[]).map(visit)
        : Object.fromEntries(from.entries.map((entry) => [entry.key, visit(entry.value)]));
    values.set(from, value);
    return value;
  };
  return visit(node);
}

/** Keywords that say a key is missing or not known; the value itself stays readable. */
const aboutKeys = new Set(['required', 'additionalProperties', 'unevaluatedProperties', 'oneOf', 'if']);

function validate(kind: Kind, root: MapNode<Record<string, unknown>>): Mistake[] {
  const validator = validatorOf[kind];
  if (validator(valueOf(root))) return [];
  const mistakes: Mistake[] = [];
  const refused = new Set<string>();
  const errors = validator.errors ?? [];
  const isChoice = (error: ErrorObject): boolean => /\/oneOf\/\d+\//.test(error.schemaPath);
  for (const error of errors) {
    // A choice reports itself; the branches it tried are no mistakes of their own.
    if (isChoice(error) || error.keyword === 'if') continue;
    const path = error.instancePath
      .split('/')
      .slice(1)
      .map((part) => part.replaceAll('~1', '/').replaceAll('~0', '~'));
    const found = follow(root, path);
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
