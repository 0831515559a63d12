import { memoByIdentity } from '../incremental/memo.ts';
import type { Span } from '../text/span.ts';

/**
 * The located tree: YAML with anchors resolved, every node with its span. No code above this module knows the
 * YAML library.
 *
 * `Located<T>` gives the tree the static type of a document kind (generated from its schema), so that a key the
 * schema does not have is a compile error. The text may still violate its schema: rejected values are marked
 * `rejectedBySchema` and read as absent, so `get` may always return `undefined`.
 */
export type Located<T> = T extends readonly (infer U)[]
  ? ListNode<U>
  : T extends object
    ? MapNode<T>
    : ScalarNode<T>;

interface NodeBase {
  readonly span: Span;
  /** Written inside brackets or braces rather than as an indented block. */
  readonly flow: boolean;
  /** Set if the schema rejected this value; readers must treat it as absent. */
  rejectedBySchema: boolean;
  /**
   * Set on a list item of which only part could be parsed. Do not infer anything from a key that is missing
   * here.
   */
  partlyParsed?: boolean;
}

export interface ScalarNode<T> extends NodeBase {
  readonly kind: 'scalar';
  readonly value: T;
}

export interface ListNode<T> extends NodeBase {
  readonly kind: 'list';
  readonly items: readonly Located<T>[];
}

export interface Entry {
  readonly key: string;
  readonly keySpan: Span;
  readonly value: AnyNode;
}

export interface MapNode<T> extends NodeBase {
  readonly kind: 'map';
  readonly entries: readonly Entry[];
  get<K extends keyof T & string>(key: K): Located<NonNullable<T[K]>> | undefined;
  entry(key: string): Entry | undefined;
}

/** The items of a list that are mappings. Any other item has its own finding. */
export function mapsIn<T>(list: { readonly items?: readonly Located<T>[] } | undefined): MapNode<T>[] {
  return ((list?.items ?? []) as readonly AnyNode[]).filter(
    (node) => node.kind === 'map' && !node.rejectedBySchema,
  ) as unknown as MapNode<T>[];
}

export type AnyNode = ScalarNode<unknown> | ListNode<unknown> | MapNode<Record<string, unknown>>;

/** The keys of a mapping; empty for any other node. */
export const keysOf = memoByIdentity(
  (node: AnyNode): ReadonlySet<string> =>
    new Set(node.kind === 'map' ? node.entries.map(({ key }) => key) : []),
);
