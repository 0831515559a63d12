import { own } from '../base/collections.ts';
import type { Document } from '../document/document.ts';
import type { AnyNode, MapNode, ScalarNode } from '../document/node.ts';
import { slot } from '../incremental/memo.ts';
import { covers, rangeOf } from '../text/span.ts';
import type { Plan } from '../plan/plan.ts';
import { mentionsIn } from '../plan/symbols.ts';
import type { Scope } from '../plan/scope.ts';
import type { SymbolOccurrence, SymbolKind, WrittenName } from '../plan/symbols.ts';

export type AnyMap = MapNode<Record<string, unknown>>;

export const rootOf = (document: Document): AnyMap | undefined => document.root as AnyMap | undefined;

/** The readable entries of a top-level list. */
export function entriesIn(document: Document, section: string): readonly AnyMap[] {
  const list = rootOf(document)?.entry(section)?.value;
  if (list?.kind !== 'list') return [];
  return (list.items as readonly AnyNode[]).filter((item): item is AnyMap => item.kind === 'map');
}

/** The text of a scalar entry. */
export function textOf(map: AnyMap | undefined, key: string): string | undefined {
  const value = map?.entry(key)?.value;
  return value?.kind === 'scalar' && value.value !== null ? String(value.value) : undefined;
}

/** A key under `with:`: a mention of a parameter of the procedure that is followed. */
interface FilledIn extends WrittenName {
  readonly procedure: string;
}

/** A step of a procedure, named from a plan that follows it: `lock` in `op10/lock`. */
interface StepInside extends WrittenName {
  /** The file of the procedure. */
  readonly home: string;
}

export type Name = WrittenName | FilledIn | StepInside;

const read = slot<Plan, readonly Name[]>();

/**
 * All symbol occurrences in a plan's own file: those at fixed places, and those whose kind depends on
 * something else, such as the argument for a parameter. Computed once per plan.
 */
export function namesIn(plan: Plan): readonly Name[] {
  let names = read.get(plan);
  if (!names) {
    names = meant(plan.scope, writtenNames(plan));
    read.set(plan, names);
  }
  return names;
}

/** The same as the file itself gives them, whatever it uses. */
export const writtenNames = (plan: Plan): readonly WrittenName[] =>
  namesOf(plan, plan.scope.mentions, (section) => entriesIn(plan.document, section));

/** The occurrences in some parts of the file. Costs as much as those parts, however long the file is. */
export function namesInParts(plan: Plan, parts: readonly Part[]): readonly Name[] {
  const { kind } = plan.document;
  const mentions = parts.flatMap(({ section, node }) => mentionsIn(node, kind, section));
  const maps = parts.filter((part): part is Part & { node: AnyMap } => part.node.kind === 'map');
  const entries = (wanted: string): AnyMap[] =>
    maps.filter(({ section }) => section === wanted).map(({ node }) => node);
  return meant(plan.scope, namesOf(plan, mentions, entries));
}

function namesOf(
  plan: Plan,
  mentions: readonly SymbolOccurrence[],
  entries: (section: string) => readonly AnyMap[],
): readonly WrittenName[] {
  const names: WrittenName[] = [
    ...mentions.map(openly),
    ...presets(entries('parameters')),
    ...fillings(entries('operations')),
    ...placesOf(plan, entries('accepted')),
  ];
  // Skip text in another file, even if reached through an anchor.
  return names.filter(({ span }) => span.origin.uri === plan.document.uri);
}

/** What a file knows from those that it uses. */
type Known = Pick<Scope, 'tasks' | 'procedures'>;

/** What names mean for a file that knows these tasks and procedures; an argument that names nothing is left out. */
export function meant(known: Known, names: Iterable<WrittenName>): readonly Name[] {
  const found: Name[] = [];
  for (const name of names) {
    const { id, span, role, procedure, parameter } = name;
    if (name.isOpen && !known.tasks.has(id)) found.push({ ...name, kind: 'procedure' });
    else if (name.inside) {
      const home = procedureInside(known, name.inside);
      if (home) found.push({ ...name, home: home.uri });
    } else if (procedure !== undefined && parameter !== undefined) {
      const followed = known.procedures.get(procedure);
      const parameters = followed ? entriesIn(followed, 'parameters') : [];
      const filled = parameters.find((one) => textOf(one, 'name') === parameter);
      const kind = own(ofKind, textOf(filled, 'kind') ?? '');
      if (kind) found.push({ kind, id, span, role });
    } else found.push(name);
  }
  return found;
}

/** The procedure to which ids lead: its own, or those of a step in it that follows another, and so on. */
function procedureInside(known: Known, [id, ...steps]: readonly string[]): Document | undefined {
  let home: Document | undefined = known.procedures.get(id!);
  for (const step of steps) {
    const caller = home && entriesIn(home, 'operations').find((one) => textOf(one, 'id') === step);
    home = known.procedures.get(textOf(caller, 'follow') ?? '');
  }
  return home;
}

/** A top-level value, or one item of a top-level list. */
export interface Part {
  readonly section: string;
  readonly node: AnyNode;
  readonly isItem: boolean;
}

/**
 * The parts that touch `[start, end)`. A text with anchors is one piece, in which a part may stand anywhere: all of it is
 * returned then.
 */
export function partsIn(document: Document, start = 0, end = Infinity): Part[] {
  const inPieces = document.parsed.sections.length > 0;
  return (rootOf(document)?.entries ?? []).flatMap(({ key: section, value }): Part[] => {
    if (value.kind !== 'list') return [{ section, node: value, isItem: false }];
    const items = value.items as readonly AnyNode[];
    if (!inPieces) return items.map((node) => ({ section, node, isItem: true }));
    const [first, last] = [firstWhere(items, start, 'end'), firstWhere(items, end, 'start')];
    return items.slice(first, last).map((node) => ({ section, node, isItem: true }));
  });
}

/** Index of the first node that starts or ends at `offset` or later; the nodes are in the order of the text. */
function firstWhere(nodes: readonly AnyNode[], offset: number, edge: 'start' | 'end'): number {
  let [low, high] = [0, nodes.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if (rangeOf(nodes[middle]!.span)[edge] < offset) low = middle + 1;
    else high = middle;
  }
  return low;
}

/** The task of a labour line or a studied time may be a procedure. */
function openly(mention: SymbolOccurrence): WrittenName {
  const { kind, id, span, role, where } = mention;
  const isOpen = kind === 'task' && where !== 'operations.do' && where !== 'tasks.id';
  return isOpen ? { kind, id, span, role, isOpen } : mention;
}

const ofKind: Readonly<Record<string, SymbolKind>> = {
  connectors: 'connector',
  zone: 'zone',
  consumables: 'consumable',
};

function* scalars(node: AnyNode | undefined): Generator<ScalarNode<unknown>> {
  if (node?.kind === 'scalar') yield node;
  else if (node?.kind === 'list') for (const item of node.items as readonly AnyNode[]) yield* scalars(item);
}

/** The names in a value, of a kind that is told by something else. */
const values = (node: AnyNode | undefined): Pick<WrittenName, 'id' | 'span' | 'role'>[] =>
  [...scalars(node)].flatMap(({ value, span }) =>
    typeof value === 'string' && !value.startsWith('$') ? [{ id: value, span, role: 'reference' }] : [],
  );

/** Default values of parameters. */
const presets = (entries: readonly AnyMap[]): WrittenName[] =>
  entries.flatMap((parameter) => {
    const kind = own(ofKind, textOf(parameter, 'kind') ?? '');
    return kind ? values(parameter.entry('default')?.value).map((name) => ({ ...name, kind })) : [];
  });

const fillings = (entries: readonly AnyMap[]): WrittenName[] =>
  entries.flatMap((step): WrittenName[] => {
    const procedure = textOf(step, 'follow');
    const given = step.entry('with')?.value;
    if (procedure === undefined || given?.kind !== 'map') return [];
    return given.entries.flatMap(({ key, keySpan, value }): WrittenName[] => [
      { kind: 'parameter', id: key, span: keySpan, role: 'reference', procedure },
      // The kind is that of the parameter.
      ...values(value).map((name) => ({ ...name, kind: 'parameter' as const, procedure, parameter: key })),
    ]);
  });

/** `accepted.at` names an operation, one inside the procedure that an operation follows, or a connector. */
function placesOf(plan: Plan, entries: readonly AnyMap[]): WrittenName[] {
  if (entries.length === 0) return [];
  const { document, steps } = plan;
  const ids = new Set(steps.map(({ id }) => id));
  return entries.flatMap((entry) =>
    [...scalars(entry.entry('at')?.value)].flatMap((node): WrittenName[] => {
      const path = String(node.value);
      const [first = '', ...inside] = path.split('/');
      const role = 'reference' as const;
      if (!ids.has(first)) return [{ role, kind: 'connector', id: path, span: node.span }];
      const { start, end } = rangeOf(node.span);
      const at = document.slice(start, end).indexOf(path);
      // Quoted or escaped so that the path does not occur literally in the source.
      if (at < 0) return [{ role, kind: 'operation', id: first, span: node.span }];
      let from = node.span.from + at;
      const next = (id: string) => {
        const span = { origin: node.span.origin, from, to: from + id.length };
        from += id.length + 1;
        return { role, kind: 'operation', id, span } as const;
      };
      const names: WrittenName[] = [next(first)];
      const caller = entriesIn(document, 'operations').find((one) => textOf(one, 'id') === first);
      const way = [textOf(caller, 'follow') ?? ''];
      for (const step of inside) {
        names.push({ ...next(step), inside: [...way] });
        way.push(step);
      }
      return names;
    }),
  );
}

/** The name at an offset of the plan's own file. */
export const nameAt = (plan: Plan, offset: number): Name | undefined =>
  namesIn(plan).find(({ span }) => covers(span, offset));

/** The last entry of a list starting at or before an offset, i.e. the one being edited there. */
export const entryBefore = (document: Document, section: string, offset: number): AnyMap | undefined =>
  entriesIn(document, section).findLast(({ span }) => rangeOf(span).start <= offset);
