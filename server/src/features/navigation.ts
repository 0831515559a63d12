import { rangeOf } from '../text/span.ts';
import type { Range } from '../text/span.ts';
import type { SymbolKind } from '../plan/symbols.ts';
import type { Workspace } from '../workspace/workspace.ts';
import type { Name } from './names.ts';
import { viewOf } from './view.ts';
import type { View } from './view.ts';

/** A name with one meaning, and all its occurrences. */
export interface Occurrences {
  readonly kind: SymbolKind;
  readonly id: string;
  /** The occurrence at the requested offset. */
  readonly here: Range;
  readonly definitions: readonly Range[];
  readonly references: readonly Range[];
  /** The files in which the name means this thing. */
  readonly views: readonly View[];
  /** Whether a name of the same kind, in one of these files, belongs to the same owner. */
  matches(name: Name, view: View): boolean;
}

/** The occurrences of the name at `offset`, in every loaded file in which it has the same meaning. */
export function occurrencesAt(workspace: Workspace, uri: string, offset: number): Occurrences | undefined {
  const view = viewOf(workspace, uri);
  const name = view?.nameAt(offset);
  if (!view || !name) return undefined;
  const { id, kind, span } = name;
  const found = reachOf(workspace, view, name);
  if (!found) return undefined;
  const definitions: Range[] = [];
  const references: Range[] = [];
  for (const one of found.views) {
    for (const other of one.named(id)) {
      if (other.kind !== kind || !found.matches(other, one)) continue;
      (other.role === 'definition' ? definitions : references).push(rangeOf(other.span));
    }
  }
  return { kind, id, here: rangeOf(span), definitions, references, ...found };
}

type SymbolReach = Pick<Occurrences, 'views' | 'matches'>;

function reachOf(workspace: Workspace, view: View, name: Name): SymbolReach | undefined {
  const matches = (): boolean => true;
  switch (name.kind) {
    case 'operation': {
      const home = 'home' in name ? viewOf(workspace, name.home) : view;
      const views = home && (home.kind === 'shop-procedure' ? knowing(workspace, home) : [home]);
      return views && { views, matches: ofStep(home.uri) };
    }
    case 'parameter': {
      const home = homeOf(view, name);
      const owner = home === undefined ? undefined : viewOf(workspace, home);
      return owner && { views: knowing(workspace, owner), matches: ofParameter(owner.uri) };
    }
    case 'source': {
      const home = view.sourceHome(name.id);
      const owner = viewOf(workspace, home);
      const views = owner ? knowing(workspace, owner) : [view];
      return { views: views.filter((one) => one.sourceHome(name.id) === home), matches };
    }
    default:
      return { views: connectedFiles(workspace, view, name), matches };
  }
}

/** The file of the procedure whose parameter it is. */
const homeOf = (view: View, name: Name): string | undefined =>
  'procedure' in name && name.procedure !== undefined ? view.procedureHome(name.procedure) : view.uri;

/** A step is its file's own; elsewhere it is named through those that follow the procedure. */
const ofStep =
  (home: string): SymbolReach['matches'] =>
  (name, view) =>
    ('home' in name ? name.home : view.uri) === home;

/** A parameter is its procedure's own; elsewhere it is filled in where that procedure is followed. */
const ofParameter =
  (home: string): SymbolReach['matches'] =>
  (name, view) =>
    homeOf(view, name) === home;

/** A file and those that use it, directly and through others. */
const knowing = (workspace: Workspace, { uri }: View): View[] =>
  workspace.dependents(uri).flatMap((one) => viewOf(workspace, one) ?? []);

/**
 * The connected files that contain a shared name. A name that one of them does not define, like a rate
 * sheet's connectors that a dummy plug fits, is settled by those that use it.
 */
function connectedFiles(workspace: Workspace, from: View, { kind, id }: Name): View[] {
  const seen = new Map<string, { readonly view: View; readonly holds: boolean } | undefined>();
  /** A file, and whether it contains the name. Many files use the same ones. */
  const look = (uri: string): { readonly view: View; readonly holds: boolean } | undefined => {
    if (!seen.has(uri)) {
      const view = uri === from.uri ? from : viewOf(workspace, uri);
      const holds = view?.named(id).some((name) => name.kind === kind) ?? false;
      seen.set(uri, view && { view, holds });
    }
    return seen.get(uri);
  };
  const found = new Map([[from.uri, from]]);
  const add = (uri: string): void => {
    if (found.has(uri)) return;
    const looked = look(uri);
    if (looked?.holds) found.set(uri, looked.view);
  };
  for (const { uri, used } of found.values()) {
    const users = workspace.dependents(uri);
    used.forEach(add);
    users.forEach(add);
    // Files connected only through a third file count as connected even if the third does not contain the
    // name.
    for (const user of users) if (user !== uri) look(user)?.view.used.forEach(add);
  }
  return [...found.values()];
}

/** Where the name at `offset` is defined: each of the entries that together describe a connector. */
export function definitionsAt(workspace: Workspace, uri: string, offset: number): Range[] {
  const view = viewOf(workspace, uri);
  if (!view) return [];
  const all = occurrencesAt(workspace, uri, offset)?.definitions ?? [];
  // A plan's own refinement of a connector says nothing about another plan's.
  const seen = new Set([uri, ...view.used]);
  const near = all.filter((range) => seen.has(range.uri));
  return near.length > 0 ? near : [...all];
}

/** All occurrences in the file itself of the name at `offset`. */
export function highlightsAt(
  workspace: Workspace,
  uri: string,
  offset: number,
): { range: Range; defines: boolean }[] {
  const found = occurrencesAt(workspace, uri, offset);
  if (!found) return [];
  return [
    ...found.definitions.map((range) => ({ range, defines: true })),
    ...found.references.map((range) => ({ range, defines: false })),
  ]
    .filter(({ range }) => range.uri === uri)
    .sort((a, b) => a.range.start - b.range.start);
}
