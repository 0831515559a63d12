import type { Kind } from '../document/kind.ts';
import type { Edit, Range } from '../text/span.ts';
import { say } from '../language/phrase.ts';
import type { Phrase } from '../language/phrase.ts';
import { builtInTasks } from '../plan/tables/tasks.ts';
import type { SymbolKind } from '../plan/symbols.ts';
import { Zones } from '../plan/tables/zones.ts';
import type { Workspace } from '../workspace/workspace.ts';
import { symbolWords } from '../plan/symbols.ts';
import { fileName } from '../base/file-name.ts';
import { occurrencesAt } from './navigation.ts';
import type { Occurrences } from './navigation.ts';
import { schemaAt } from './schema.ts';
import { viewOf } from './view.ts';

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
  const inside = viewOf(workspace, uri)?.exact(found.here, found.id);
  return { range: inside ?? { uri, start, end }, id: found.id };
}

/** Renames the name at `offset` in every loaded file in which it means the same thing, or says why it cannot. */
export function rename(workspace: Workspace, uri: string, offset: number, to: string): RenameResult {
  const found = occurrencesAt(workspace, uri, offset);
  if (!found) return { refused: say`There is no name here that can be changed everywhere at once.` };
  const reason = refusal(found) ?? clash(workspace, found, to);
  if (reason !== undefined) return { refused: reason };
  if (to === found.id) return { edits: [] };
  const views = new Map(found.views.map((view) => [view.uri, view]));
  /** A value behind an anchor has several uses but one place in the text. */
  const edits = new Map<string, Map<number, Edit>>();
  for (const range of [...found.definitions, ...found.references]) {
    const exact = views.get(range.uri)?.exact(range, found.id);
    if (!exact) {
      return {
        refused: say`${fileName(range.uri)} writes this name in a way that cannot be changed safely. Correct it there first.`,
      };
    }
    let own = edits.get(exact.uri);
    if (!own) edits.set(exact.uri, (own = new Map()));
    own.set(exact.start, { ...exact, text: to });
  }
  return {
    edits: [...edits.keys()]
      .sort()
      .flatMap((file) => [...edits.get(file)!.values()].sort((a, b) => a.start - b.start)),
  };
}

function refusal({ kind, id, definitions, views }: Occurrences): Phrase | undefined {
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
  const broken = views.find(({ isBroken }) => isBroken);
  if (broken) {
    return say`${fileName(broken.uri)} cannot be read completely; "${id}" may stand there. Correct it first.`;
  }
  const missing = ownOnly.has(kind) ? undefined : views.find(({ isWhole }) => !isWhole);
  if (missing) {
    return say`${fileName(missing.uri)} uses a file that cannot be read; "${id}" may stand there. Restore that file first.`;
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
  { kind, id, views, matches }: Occurrences,
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
  // Files that several use are looked at once.
  const others = new Map(views.map((view) => [view.uri, view]));
  for (const view of ownOnly.has(kind) ? [] : views) {
    for (const uri of view.used) {
      const used = others.has(uri) ? undefined : viewOf(workspace, uri);
      if (used) others.set(uri, used);
    }
  }
  for (const view of others.values()) {
    // References clash too: an unresolved one would now resolve to this name.
    const taken = view
      .named(to)
      .find((name) => alike(name.kind, kind) && (!ownOnly.has(kind) || matches(name, view)));
    if (taken) {
      return say`${fileName(view.uri)} already uses "${to}" for a ${symbolWords[taken.kind]}. Choose another name.`;
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
