import type { Range } from '../text/span.ts';
import type { Kind } from '../document/kind.ts';
import type { Plan } from '../plan/plan.ts';
import type { Summary } from '../workspace/summary.ts';
import type { Workspace } from '../workspace/workspace.ts';
import { meant, nameAt, namesIn } from './names.ts';
import type { Name } from './names.ts';

/**
 * A file as the others see it, whether its tree is kept or only a summary: its names, and what they mean there. It holds until
 * the workspace changes.
 */
export interface View {
  readonly uri: string;
  readonly kind: Kind;
  /** Whether a part of its text could not be read, so that a name may stand there. */
  readonly isBroken: boolean;
  /** Whether the files that it uses are all there. */
  readonly isWhole: boolean;
  /** The files it uses, directly and through others. */
  readonly used: readonly string[];
  /** The occurrences of an id, whatever it names. */
  named(id: string): readonly Name[];
  nameAt(offset: number): Name | undefined;
  /** The file of a procedure that it can follow. */
  procedureHome(id: string): string | undefined;
  /** The file whose source an id means: its own definition, else the first one in the files it uses, else itself. */
  sourceHome(id: string): string;
  /** The part of an occurrence that is the id itself, without quotes or the sign of a parameter, if it can be replaced. */
  exact(occurrence: Range, id: string): Range | undefined;
}

/** Undefined for a file that is not there, or is of another kind. */
export function viewOf(workspace: Workspace, uri: string): View | undefined {
  const summary = workspace.summary(uri);
  if (summary) return viewOfSummary(workspace, uri, summary);
  const plan = workspace.plan(uri);
  return plan && viewOfPlan(workspace, uri, plan);
}

function viewOfPlan(workspace: Workspace, uri: string, plan: Plan): View {
  const { document, scope } = plan;
  return {
    uri,
    kind: document.kind,
    get isBroken() {
      return isBroken(plan);
    },
    get isWhole() {
      return workspace.usedBy(uri).isWhole;
    },
    get used() {
      return scope.used.map((one) => one.uri);
    },
    named: (id) => namesIn(plan).filter((name) => name.id === id),
    nameAt: (offset) => nameAt(plan, offset),
    procedureHome: (id) => scope.procedures.get(id)?.uri,
    sourceHome: (id) => scope.definition('source', id)?.span.origin.uri ?? uri,
    exact({ start, end }, id) {
      const from = exactStart(document.slice(start, end), id);
      return from === undefined ? undefined : { uri, start: start + from, end: start + from + id.length };
    },
  };
}

function viewOfSummary(workspace: Workspace, uri: string, summary: Summary): View {
  const { kind, names } = summary;
  /** As a rule a view is asked about one name, more than once. */
  let last: { readonly id: string; readonly names: readonly Name[] } | undefined;
  let reach: ReturnType<Workspace['usedBy']> | undefined;
  const usedBy = () => (reach ??= workspace.usedBy(uri));
  const scope = () => workspace.sharedScope(usedBy().used);
  return {
    uri,
    kind,
    isBroken: summary.isBroken,
    get isWhole() {
      return usedBy().isWhole;
    },
    get used() {
      return usedBy().used.map((document) => document.uri);
    },
    named(id) {
      if (last?.id === id) return last.names;
      const written = names.named(uri, id);
      const found = written.length === 0 ? written : meant(scope(), written);
      last = { id, names: found };
      return found;
    },
    nameAt: (offset) => meant(scope(), names.at(uri, offset))[0],
    procedureHome: (id) => scope().procedures.get(id)?.uri,
    sourceHome: (id) =>
      (names.defines('source', id) ? undefined : scope().definition('source', id)?.span.origin.uri) ?? uri,
    exact: ({ start }, id) => names.exact(uri, id, start),
  };
}

/** Whether a part of a file could not be read, so that a name may stand there. A key written twice hides nothing. */
export const isBroken = ({ document }: Plan): boolean =>
  document.problems.some(({ kind }) => kind !== 'key-twice');

/** Where in the text of a scalar its id starts; undefined where more stands there than quotes or the sign of a parameter. */
export function exactStart(raw: string, id: string): number | undefined {
  if (raw === id) return 0;
  const at = raw.indexOf(id);
  const around = raw.slice(0, at) + raw.slice(at + id.length);
  return at >= 0 && /^(|\$|""|''|"\$"|'\$'|\/[a-z0-9/-]+)$/.test(around) ? at : undefined;
}
