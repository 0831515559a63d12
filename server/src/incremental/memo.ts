/**
 * Memoises a function on the identity of its first argument, an object that never changes its meaning (a node,
 * a list, a step; not a plan or a snapshot). Edits keep the nodes of untouched pieces, so only touched ones are
 * recomputed. `compute` must not read anything that can change while the object stays the same. For queries
 * over a state see `query.ts`.
 * @param compute declares each of its parameters, none with a default: their number is looked at
 * @param same whether the result for new extra arguments equals the previous result, which is then kept
 */
export function memoByIdentity<N extends object, A extends readonly unknown[], T>(
  compute: (object: N, ...more: A) => T,
  same?: (before: T, now: T) => boolean,
): (object: N, ...more: A) => T {
  return compute.length < 2
    ? (memoOfOne(compute as unknown as (object: N) => T) as unknown as (object: N, ...more: A) => T)
    : memoOfMore(compute, same);
}

/** A class is made for each function, so only one of the two kinds. */
function memoOfOne<N extends object, T>(compute: (object: N) => T): (object: N) => T {
  class Known extends ReturnOverride {
    #value: T;

    constructor(object: N, value: T) {
      super(object);
      this.#value = value;
    }

    static of(object: N | Known): T {
      if (#value in object) return object.#value;
      const value = compute(object);
      new Known(object, value);
      return value;
    }
  }
  return Known.of;
}

function memoOfMore<N extends object, A extends readonly unknown[], T>(
  compute: (object: N, ...more: A) => T,
  same: ((before: T, now: T) => boolean) | undefined,
): (object: N, ...more: A) => T {
  // Many objects are asked with the same extra arguments in turn. Share one array between them; one per
  // object would outweigh the results.
  let latest: A | undefined;
  const shared = (more: A): A => (latest && alike(latest, more) ? latest : (latest = more));

  class KnownWith extends ReturnOverride {
    #value: T;
    #more: A;

    constructor(object: N, value: T, more: A) {
      super(object);
      this.#value = value;
      this.#more = shared(more);
    }

    static of(object: N | KnownWith, more: A): T {
      if (!(#value in object)) {
        const value = compute(object, ...more);
        new KnownWith(object, value, more);
        return value;
      }
      // A node reached through an alias occurs with different extra arguments; only the latest result is
      // kept.
      if (!alike(object.#more, more)) {
        const value = compute(object as N, ...more);
        if (!same?.(object.#value, value)) object.#value = value;
        object.#more = shared(more);
      }
      return object.#value;
    }
  }
  return (object, ...more) => KnownWith.of(object, more);
}

/**
 * Remembers what a function makes of the last texts: shared files come again with every plan. It must not read anything else
 * that can change.
 */
export function memoOfLastTexts<T>(compute: (text: string) => T, max = 64): (text: string) => T {
  const values = new Map<string, T>();
  return (text) => {
    if (values.has(text)) return values.get(text)!;
    if (values.size >= max) values.clear();
    const value = compute(text);
    values.set(text, value);
    return value;
  };
}

/** A value attached to an object for that object's lifetime. */
export interface Slot<N extends object, T> {
  get(object: N): T | undefined;
  set(object: N, value: T): void;
}

export function slot<N extends object, T>(): Slot<N, T> {
  return class Held extends ReturnOverride {
    #value: T;

    constructor(object: N, value: T) {
      super(object);
      this.#value = value;
    }

    static get(object: N | Held): T | undefined {
      return #value in object ? object.#value : undefined;
    }

    static set(object: N | Held, value: T): void {
      if (#value in object) object.#value = value;
      else new Held(object, value);
    }
  };
}

/**
 * Base class whose constructor returns the object it is given, so that a subclass adds private fields to an
 * existing object (the return-override trick). Other code, copies and comparisons do not see the fields, and
 * they die with the object. A `WeakMap` would also work, but once the map itself is old, minor collections
 * treat its entries as live, so everything ever stored in it, and what that refers to, survives until a major
 * collection.
 */
// eslint-disable-next-line @typescript-eslint/no-extraneous-class -- its constructor is all there is to it
export class ReturnOverride {
  constructor(object: object) {
    return object;
  }
}

function alike(before: readonly unknown[], now: readonly unknown[]): boolean {
  if (before.length !== now.length) return false;
  for (let i = 0; i < now.length; i++) if (before[i] !== now[i]) return false;
  return true;
}
