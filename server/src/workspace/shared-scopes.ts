import { readDocument } from '../document/document.ts';
import type { Document } from '../document/document.ts';
import { QueryCache, sameMembers } from '../incremental/query.ts';
import { SnapshotScope } from '../plan/scope.ts';
import type { Scope } from '../plan/scope.ts';
import { createSnapshot } from '../plan/snapshot.ts';

interface Known {
  readonly used: readonly Document[];
  readonly scope: SnapshotScope;
}

/** To make one anew costs little. */
const maxScopes = 200;

/** What names mean to a plan by the files it uses. Many plans use the same ones. */
export class SharedScopes {
  readonly #known = new Map<string, Known>();

  of(used: readonly Document[]): Scope {
    const key = used.map((document) => document.uri).join('\n');
    const known = this.#known.get(key);
    if (known && sameMembers(known.used, used)) return known.scope;
    if (this.#known.size >= maxScopes) this.#known.clear();
    const nothing = readDocument('none:', 'repair-plan', '');
    const memory = known?.scope.reading.memory ?? new QueryCache();
    const scope = new SnapshotScope(createSnapshot(nothing, used, [], [], [], {}, memory));
    this.#known.set(key, { used, scope });
    return scope;
  }
}
