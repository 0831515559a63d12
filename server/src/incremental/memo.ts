/**
 * The one incremental mechanism: what follows from an object alone (a node of the tree, a plan) is computed once for
 * that object. An edit keeps the node objects of every piece it did not touch, so only what it touched is computed
 * again. The function may use nothing that can change while the object stays the same.
 * @param same when the answer to other questions about the object may count as the one before
 */
export function memoByIdentity<N extends object, A extends readonly unknown[], T>(
  compute: (object: N, ...more: A) => T,
  same?: (before: T, now: T) => boolean,
): (object: N, ...more: A) => T {
  // One and the same is asked of many objects in turn: a list of it for each would take more room than the answers.
  let latest: A | undefined;
  const shared = (more: A): A => (latest && alike(latest, more) ? latest : (latest = more));

  class Known extends ReturnOverride {
    #value: T;
    #more: A;

    constructor(object: N, value: T, more: A) {
      super(object);
      this.#value = value;
      this.#more = shared(more);
    }

    static of(object: N | Known, more: A): T {
      if (!(#value in object)) {
        const value = compute(object, ...more);
        new Known(object, value, more);
        return value;
      }
      // An aliased node stands in several places; it is kept for the one it was asked for last.
      if (!alike(object.#more, more)) {
        const value = compute(object as N, ...more);
        if (!same?.(object.#value, value)) object.#value = value;
        object.#more = shared(more);
      }
      return object.#value;
    }
  }
  return (object, ...more) => Known.of(object, more);
}

/** A value that is kept with an object, as long as that lives. */
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
 * Its heirs put private fields on an object that is there already. Nothing sees these, copies and comparisons neither,
 * and they go with the object. A `WeakMap` does the same for a price: to a quick collection what it holds counts as alive
 * once the map is old, so that all that was ever kept, and what refers to it, waits for a thorough one.
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
