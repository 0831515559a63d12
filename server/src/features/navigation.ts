import { rangeOf } from '../text/span.ts';
import type { Range } from '../text/span.ts';
import type { Plan } from '../plan/plan.ts';
import type { SymbolKind } from '../plan/symbols.ts';
import type { Workspace } from '../workspace/workspace.ts';
import { nameAt, namesIn } from './names.ts';
import type { Name } from './names.ts';

/** A name with one meaning, and all its occurrences. */
export interface Occurrences {
  readonly kind: SymbolKind;
  readonly id: string;
  /** The occurrence at the requested offset. */
  readonly here: Range;
  readonly definitions: readonly Range[];
  readonly references: readonly Range[];
  /** The files in which the name means this thing, read as plans. */
  readonly plans: readonly Plan[];
  /** Whether a name of the same kind, in one of these files, belongs to the same owner. */
  matches(name: Name, plan: Plan): boolean;
}

/** The occurrences of the name at `offset`, in every loaded file in which it has the same meaning. */
export function occurrencesAt(workspace: Workspace, uri: string, offset: number): Occurrences | undefined {
  const plan = workspace.plan(uri);
  const name = plan && nameAt(plan, offset);
  if (!plan || !name) return undefined;
  const { id, kind, span } = name;
  const found = reachOf(workspace, plan, name);
  if (!found) return undefined;
  const definitions: Range[] = [];
  const references: Range[] = [];
  for (const one of found.plans) {
    for (const other of namesIn(one)) {
      if (other.id !== id || other.kind !== kind || !found.matches(other, one)) continue;
      (other.role === 'definition' ? definitions : references).push(rangeOf(other.span));
    }
  }
  return { kind, id, here: rangeOf(span), definitions, references, ...found };
}

interface SymbolReach {
  readonly plans: readonly Plan[];
  matches(name: Name, plan: Plan): boolean;
}

function reachOf(workspace: Workspace, plan: Plan, name: Name): SymbolReach | undefined {
  const matches = (): boolean => true;
  switch (name.kind) {
    case 'operation': {
      const home = 'home' in name ? workspace.plan(name.home) : plan;
      const plans = home && (home.document.kind === 'shop-procedure' ? knowing(workspace, home) : [home]);
      return plans && { plans, matches: ofStep(home.document.uri) };
    }
    case 'parameter': {
      const home = homeOf(workspace, plan, name);
      return home && { plans: knowing(workspace, home), matches: ofParameter(home) };
    }
    case 'source': {
      const home = firstHome(plan, name);
      const plans = workspace.plan(home) ? knowing(workspace, workspace.plan(home)!) : [plan];
      return { plans: plans.filter((one) => firstHome(one, name) === home), matches };
    }
    default:
      return { plans: connectedFiles(workspace, plan, name), matches };
  }
}

/** The procedure whose parameter it is. */
function homeOf(workspace: Workspace, plan: Plan, name: Name): Plan | undefined {
  if (!('procedure' in name)) return plan;
  const procedure = plan.scope.procedures.get(name.procedure);
  return procedure && workspace.plan(procedure.uri);
}

/** A step is its file's own; elsewhere it is named through those that follow the procedure. */
const ofStep =
  (home: string): SymbolReach['matches'] =>
  (name, plan) =>
    ('home' in name ? name.home : plan.document.uri) === home;

/** A parameter is its procedure's own; elsewhere it is filled in where that procedure is followed. */
const ofParameter =
  (home: Plan): SymbolReach['matches'] =>
  (name, plan) =>
    'procedure' in name ? plan.scope.procedures.get(name.procedure) === home.document : plan === home;

/** A source resolves to the file's own definition, else to the first one in the files it uses. */
const firstHome = ({ document, scope }: Plan, { id }: Name): string =>
  scope.definition('source', id)?.span.origin.uri ?? document.uri;

/** A file and those that use it, directly and through others. */
const knowing = (workspace: Workspace, { document }: Plan): Plan[] =>
  workspace.dependents(document.uri).flatMap((uri) => workspace.plan(uri) ?? []);

/**
 * The connected files that contain a shared name. A name that one of them does not define, like a rate
 * sheet's connectors that a dummy plug fits, is settled by those that use it.
 */
function connectedFiles(workspace: Workspace, from: Plan, { kind, id }: Name): Plan[] {
  const holds = (plan: Plan): boolean => namesIn(plan).some((one) => one.kind === kind && one.id === id);
  const found = new Set<Plan>([from]);
  for (const plan of found) {
    const used = plan.scope.used.flatMap(({ uri }) => workspace.plan(uri) ?? []);
    for (const other of [...used, ...knowing(workspace, plan)]) if (holds(other)) found.add(other);
    // Files connected only through a third file count as connected even if the third does not contain the
    // name.
    for (const user of knowing(workspace, plan)) {
      for (const { uri } of user.scope.used) {
        const other = workspace.plan(uri);
        if (other && holds(other)) found.add(other);
      }
    }
  }
  return [...found];
}

/** Where the name at `offset` is defined: each of the entries that together describe a connector. */
export function definitionsAt(workspace: Workspace, uri: string, offset: number): Range[] {
  const plan = workspace.plan(uri);
  const name = plan && nameAt(plan, offset);
  if (!plan || !name) return [];
  const all = occurrencesAt(workspace, uri, offset)?.definitions ?? [];
  // A plan's own refinement of a connector says nothing about another plan's.
  const seen = new Set([uri, ...plan.scope.used.map((one) => one.uri)]);
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
