import type { Kind } from '../document/kind.ts';
import type { Edit, Range } from '../text/span.ts';
import { say } from '../language/phrase.ts';
import type { Phrase } from '../language/phrase.ts';
import { builtInTasks } from '../plan/tables/tasks.ts';
import type { SymbolKind } from '../plan/symbols.ts';
import { Zones } from '../plan/tables/zones.ts';
import type { Workspace } from '../workspace/workspace.ts';
import { symbolWords } from '../plan/symbols.ts';
import { fileName, namesIn } from './names.ts';
import { occurrencesAt } from './navigation.ts';
import type { Occurrences } from './navigation.ts';
import { schemaAt } from './schema.ts';

export type RenameResult = { readonly edits: readonly Edit[] } | { readonly refused: Phrase };
export type PrepareRenameResult =
  { readonly range: Range; readonly id: string } | { readonly refused: Phrase };

/** Whether the name at `offset` can be renamed, and what would be selected. */
export function prepareRename(workspace: Workspace, uri: string, offset: number): PrepareRenameResult {
  const found = occurrencesAt(workspace, uri, offset);
  if (!found) return { refused: say`There is no name here that can be changed everywhere at once.` };
  const reason = refusal(found);
  if (reason !== undefined) return { refused: reason };
  const { start, end } = found.here;
  const inside = within(workspace, found.here, found.id);
  return { range: inside ?? { uri, start, end }, id: found.id };
}

/** Renames the name at `offset` in every loaded file in which it means the same thing, or says why it cannot. */
export function rename(workspace: Workspace, uri: string, offset: number, to: string): RenameResult {
  const found = occurrencesAt(workspace, uri, offset);
  if (!found) return { refused: say`There is no name here that can be changed everywhere at once.` };
  const reason = refusal(found) ?? clash(workspace, found, to);
  if (reason !== undefined) return { refused: reason };
  if (to === found.id) return { edits: [] };
  const edits: Edit[] = [];
  for (const range of [...found.definitions, ...found.references]) {
    const exact = within(workspace, range, found.id);
    if (!exact) {
      return {
        refused: say`${fileName(range.uri)} writes this name in a way that cannot be changed safely. Correct it there first.`,
      };
    }
    edits.push({ ...exact, text: to });
  }
  // A value behind an anchor has several uses but one place in the text.
  const once = new Map(edits.map((edit) => [`${edit.uri} ${edit.start}`, edit]));
  return { edits: [...once.values()].sort((a, b) => a.uri.localeCompare(b.uri) || a.start - b.start) };
}

/** The part of a scalar that is the id itself, without quotes or the sign of a parameter. */
function within(workspace: Workspace, { uri, start, end }: Range, id: string): Range | undefined {
  const raw = workspace.text(uri)?.slice(start, end);
  const at = raw === undefined ? -1 : raw.indexOf(id);
  if (raw === undefined || at < 0) return undefined;
  const around = raw.slice(0, at) + raw.slice(at + id.length);
  return /^(|\$|""|''|"\$"|'\$'|\/[a-z0-9/-]+)$/.test(around)
    ? { uri, start: start + at, end: start + at + id.length }
    : undefined;
}

function refusal({ kind, id, definitions, plans }: Occurrences): Phrase | undefined {
  const what = symbolWords[kind];
  if (kind === 'finding') return say`"${id}" is a finding of Plugward; its name is fixed.`;
  if (kind === 'task' && builtInTasks.has(id)) {
    return say`"${id}" is a built-in task; its name is fixed. A shop's own tasks stand under \`tasks:\`.`;
  }
  if (kind === 'zone' && new Zones().has(id)) {
    return say`"${id}" is a built-in zone; its name is fixed. A shop's own zones stand under \`zones:\`.`;
  }
  if (definitions.length === 0) {
    return say`No ${what} "${id}" is defined, so it cannot be renamed. Correct the name first.`;
  }
  const broken = plans.find(({ document }) =>
    document.problems.some(({ kind: problem }) => problem !== 'key-twice'),
  );
  if (broken) {
    return say`${fileName(broken.document.uri)} cannot be read completely; "${id}" may stand there. Correct it first.`;
  }
  const missing = plans.find(({ scope }) => scope.unresolved.some(({ reason }) => reason !== 'unknown-kind'));
  if (missing && !ownOnly.has(kind)) {
    return say`${fileName(missing.document.uri)} uses a file that cannot be read; "${id}" may stand there. Restore that file first.`;
  }
  return undefined;
}

const ownOnly: ReadonlySet<SymbolKind> = new Set(['operation', 'parameter']);

/** Schemas of new names, by kind: where each is defined. */
const definedAt: Readonly<Partial<Record<SymbolKind, readonly [Kind, readonly (string | undefined)[]]>>> = {
  source: ['repair-plan', ['sources', undefined, 'id']],
};
const plainId = schemaAt('repair-plan', ['operations', undefined, 'id']);

function clash(
  workspace: Workspace,
  { kind, id, plans, matches }: Occurrences,
  to: string,
): Phrase | undefined {
  const at = definedAt[kind];
  const schema = at ? schemaAt(...at) : plainId;
  if (schema?.pattern !== undefined && !new RegExp(schema.pattern, 'u').test(to)) {
    return say`A ${symbolWords[kind]} cannot be called that. Use ${at ? say`a letter, then letters, digits and hyphens` : say`lower-case letters, digits and single hyphens, a letter first`}.`;
  }
  if (to.length > 60) return say`That name has ${to.length} characters; 60 are allowed.`;
  if (to === id) return undefined;
  if (alike(kind, 'task') && builtInTasks.has(to)) return say`"${to}" is a built-in task already.`;
  if (kind === 'zone' && new Zones().has(to)) return say`"${to}" is a built-in zone already.`;
  for (const plan of plans) {
    const used = ownOnly.has(kind) ? [] : plan.scope.used.flatMap(({ uri }) => workspace.plan(uri) ?? []);
    for (const other of [plan, ...used]) {
      // References clash too: an unresolved one would now resolve to this name.
      const taken = namesIn(other).find(
        (one) => one.id === to && alike(one.kind, kind) && (!ownOnly.has(kind) || matches(one, other)),
      );
      if (taken) {
        return say`${fileName(other.document.uri)} already uses "${to}" for a ${symbolWords[taken.kind]}. Choose another name.`;
      }
    }
  }
  return undefined;
}

/** Kinds that share places: a labour line's task may be a procedure, an acceptance is for a step or a connector. */
const families: readonly (readonly SymbolKind[])[] = [
  ['task', 'procedure'],
  ['operation', 'connector'],
];
const alike = (a: SymbolKind, b: SymbolKind): boolean =>
  a === b || families.some((family) => family.includes(a) && family.includes(b));
