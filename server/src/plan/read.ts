import { emptyList, fastFlatMap } from '../base/collections.ts';
import { toSI } from '../document/quantity.ts';
import type { QuantityName } from '../document/quantity.ts';
import type { ListNode, ScalarNode } from '../document/node.ts';
import type { Span } from '../text/span.ts';

/** A value and the place it was read from. */
export interface WithSpan<T> {
  readonly value: T;
  readonly span: Span;
}

/** A physical quantity: its value in SI units, and what the person wrote. */
export interface Quantity {
  readonly si: number;
  readonly text: string;
  readonly span: Span;
}

/** Parameter values of a procedure call, by name; empty outside procedures. */
export type Bindings = ReadonlyMap<string, readonly WithSpan<unknown>[]>;

/** Outside procedures. */
export const noBindings: Bindings = new Map();

type Scalarish = ScalarNode<unknown> | undefined;

const isParameter = (value: unknown): value is string => typeof value === 'string' && value.startsWith('$');

const bound = (value: unknown, bindings: Bindings): readonly WithSpan<unknown>[] | undefined =>
  isParameter(value) ? (bindings.get(value.slice(1)) ?? []) : undefined;

/** A text value, with a parameter replaced by what the plan fills in. */
export function readText(node: Scalarish, bindings = noBindings): WithSpan<string> | undefined {
  if (!node || node.rejectedBySchema || node.value === null) return undefined;
  const values = bound(node.value, bindings);
  if (values) return values[0] ? { value: String(values[0].value), span: values[0].span } : undefined;
  return asText(node);
}

/** Words for people, with each parameter in them replaced by what the plan fills in. */
export const readWords = (node: Scalarish, bindings: Bindings): string | undefined =>
  readText(node, bindings)?.value.replaceAll(/\$([a-z][a-z0-9-]*)/g, (whole, name: string) => {
    const values = bindings.get(name);
    return values && values.length > 0 ? values.map(({ value }) => String(value)).join(', ') : whole;
  });

/** A quantity in SI units. Of a voltage its magnitude: the sign says only which pole comes first. */
export function readQuantity(
  name: QuantityName,
  node: Scalarish,
  bindings = noBindings,
): Quantity | undefined {
  const text = readText(node, bindings);
  const si = text && toSI(name, text.value);
  if (!text || si === undefined) return undefined;
  return { si: name === 'voltage' ? Math.abs(si) : si, text: text.value, span: text.span };
}

/** One id or a list of ids, each with its place. */
export function readIds(
  node: ScalarNode<string> | ListNode<string> | undefined,
  bindings = noBindings,
): readonly WithSpan<string>[] {
  if (!node || node.rejectedBySchema) return emptyList;
  if (node.kind !== 'list') return readId(node, bindings);
  const items = node.items as readonly ScalarNode<unknown>[];
  return items.length === 1
    ? readId(items[0]!, bindings)
    : fastFlatMap(items, (item) => readId(item, bindings));
}

function readId(node: ScalarNode<unknown>, bindings: Bindings): readonly WithSpan<string>[] {
  if (node.rejectedBySchema || node.kind !== 'scalar' || node.value === null) return emptyList;
  return bound(node.value, bindings)?.map(asText) ?? [asText(node)];
}

/** Converts the value to text; returns the same object if it already is text. */
const asText = (withSpan: WithSpan<unknown>): WithSpan<string> =>
  typeof withSpan.value === 'string'
    ? (withSpan as WithSpan<string>)
    : { value: String(withSpan.value), span: withSpan.span };
