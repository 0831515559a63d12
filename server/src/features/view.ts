import type { Range } from '../text/span.ts';
import type { Kind } from '../document/kind.ts';
import type { Plan } from '../plan/plan.ts';
import type { Scope } from '../plan/scope.ts';
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
  if (summary) return new SummaryView(workspace, uri, summary);
  const plan = workspace.plan(uri);
  return plan && new PlanView(workspace, uri, plan);
}

class PlanView implements View {
  constructor(
    readonly workspace: Workspace,
    readonly uri: string,
    readonly plan: Plan,
  ) {}

  get kind(): Kind {
    return this.plan.document.kind;
  }
  get isBroken(): boolean {
    return isBroken(this.plan);
  }
  get isWhole(): boolean {
    return this.workspace.usedBy(this.uri).isWhole;
  }
  get used(): readonly string[] {
    return this.plan.scope.used.map((one) => one.uri);
  }
  named(id: string): readonly Name[] {
    return namesIn(this.plan).filter((name) => name.id === id);
  }
  nameAt(offset: number): Name | undefined {
    return nameAt(this.plan, offset);
  }
  procedureHome(id: string): string | undefined {
    return this.plan.scope.procedures.get(id)?.uri;
  }
  sourceHome(id: string): string {
    return this.plan.scope.definition('source', id)?.span.origin.uri ?? this.uri;
  }
  exact({ start, end }: Range, id: string): Range | undefined {
    const from = exactStart(this.plan.document.slice(start, end), id);
    if (from === undefined) return undefined;
    return { uri: this.uri, start: start + from, end: start + from + id.length };
  }
}

class SummaryView implements View {
  /** As a rule a view is asked about one name, more than once. */
  #last: { readonly id: string; readonly names: readonly Name[] } | undefined;
  #reach: ReturnType<Workspace['usedBy']> | undefined;

  constructor(
    readonly workspace: Workspace,
    readonly uri: string,
    readonly summary: Summary,
  ) {}

  get #usedBy(): ReturnType<Workspace['usedBy']> {
    return (this.#reach ??= this.workspace.usedBy(this.uri));
  }
  get #scope(): Scope {
    return this.workspace.sharedScope(this.#usedBy.used);
  }

  get kind(): Kind {
    return this.summary.kind;
  }
  get isBroken(): boolean {
    return this.summary.isBroken;
  }
  get isWhole(): boolean {
    return this.#usedBy.isWhole;
  }
  get used(): readonly string[] {
    return this.#usedBy.used.map((document) => document.uri);
  }
  named(id: string): readonly Name[] {
    if (this.#last?.id === id) return this.#last.names;
    const written = this.summary.names.named(this.uri, id);
    const names = written.length === 0 ? written : meant(this.#scope, written);
    this.#last = { id, names };
    return names;
  }
  nameAt(offset: number): Name | undefined {
    return meant(this.#scope, this.summary.names.at(this.uri, offset))[0];
  }
  procedureHome(id: string): string | undefined {
    return this.#scope.procedures.get(id)?.uri;
  }
  sourceHome(id: string): string {
    if (this.summary.names.defines('source', id)) return this.uri;
    return this.#scope.definition('source', id)?.span.origin.uri ?? this.uri;
  }
  exact({ start }: Range, id: string): Range | undefined {
    return this.summary.names.exact(this.uri, id, start);
  }
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
