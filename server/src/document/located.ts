import type { AnyNode, Entry, ListNode, MapNode, ScalarNode } from './node.ts';
import type { Span } from './text.ts';

export type AnyMap = MapNode<Record<string, unknown>>;

export class LocatedMap implements AnyMap {
  readonly kind = 'map';
  readonly entries: readonly Entry[];
  bad = false;
  broken?: boolean;
  constructor(
    readonly span: Span,
    readonly flow: boolean,
    entries: readonly Entry[],
  ) {
    this.entries = fitted(entries);
  }
  entry(key: string): Entry | undefined {
    return this.entries.find((entry) => entry.key === key);
  }
  get(key: string): never {
    const value = this.entry(key)?.value;
    const absent = value === undefined || value.bad || (value.kind === 'scalar' && value.value === null);
    return (absent ? undefined : value) as never;
  }
}

export const scalar = (value: unknown, span: Span): ScalarNode<unknown> => ({
  kind: 'scalar',
  flow: false,
  bad: false,
  value,
  span,
});

/** The same without the room that an array has taken for more while it grew. */
const fitted = <T>(array: readonly T[]): readonly T[] => array.slice();

export const list = (items: readonly AnyNode[], flow: boolean, span: Span): ListNode<unknown> => ({
  kind: 'list',
  flow,
  bad: false,
  span,
  items: fitted(items) as never,
});

/** Block collections end where their last value ends, not after the blank lines that follow. */
export function trimmed(text: string, from: number, to: number): number {
  let end = to;
  while (end > from && /\s/.test(text[end - 1]!)) end--;
  return end;
}
