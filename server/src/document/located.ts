import type { AnyNode, Entry, ListNode, MapNode, ScalarNode } from './node.ts';
import type { Origin, Span } from '../text/span.ts';

export type AnyMap = MapNode<Record<string, unknown>>;

/** Implements `Span` itself: separate span objects would take as much memory as the rest of the plan. */
class LocatedNode implements Span {
  rejectedBySchema = false;
  declare broken?: boolean;
  constructor(
    readonly origin: Origin,
    readonly from: number,
    readonly to: number,
  ) {}
  get span(): Span {
    return this;
  }
}

class LocatedScalar extends LocatedNode implements ScalarNode<unknown> {
  constructor(
    readonly value: unknown,
    origin: Origin,
    from: number,
    to: number,
  ) {
    super(origin, from, to);
  }
  get kind(): 'scalar' {
    return 'scalar';
  }
  get flow(): boolean {
    return false;
  }
}

class LocatedList extends LocatedNode implements ListNode<unknown> {
  readonly items: readonly never[];
  constructor(
    items: readonly AnyNode[],
    readonly flow: boolean,
    origin: Origin,
    from: number,
    to: number,
  ) {
    super(origin, from, to);
    this.items = fitted(items) as never;
  }
  get kind(): 'list' {
    return 'list';
  }
}

export class LocatedMap extends LocatedNode implements AnyMap {
  readonly entries: readonly Entry[];
  constructor(
    entries: readonly Entry[],
    readonly flow: boolean,
    origin: Origin,
    from: number,
    to: number,
  ) {
    super(origin, from, to);
    this.entries = fitted(entries);
  }
  get kind(): 'map' {
    return 'map';
  }
  entry(key: string): Entry | undefined {
    return this.entries.find((entry) => entry.key === key);
  }
  get(key: string): never {
    const value = this.entry(key)?.value;
    const absent =
      value === undefined || value.rejectedBySchema || (value.kind === 'scalar' && value.value === null);
    return (absent ? undefined : value) as never;
  }
}

/** The entry itself is the span of its key. */
export class LocatedEntry implements Entry, Span {
  constructor(
    readonly key: string,
    readonly value: AnyNode,
    readonly origin: Origin,
    readonly from: number,
    readonly to: number,
  ) {}
  get keySpan(): Span {
    return this;
  }
}

export const scalar = (value: unknown, origin: Origin, from: number, to: number): ScalarNode<unknown> =>
  new LocatedScalar(value, origin, from, to);

export const list = (
  items: readonly AnyNode[],
  flow: boolean,
  origin: Origin,
  from: number,
  to: number,
): ListNode<unknown> => new LocatedList(items, flow, origin, from, to);

/** A copy of exact length, without the spare capacity left by `push`. */
const fitted = <T>(array: readonly T[]): readonly T[] => array.slice();

/** Block collections end where their last value ends, not after the blank lines that follow. */
export function trimmed(text: string, from: number, to: number): number {
  let end = to;
  while (end > from && /\s/.test(text[end - 1]!)) end--;
  return end;
}
