import { own } from '../base/collections.ts';
import type { Document } from '../document/document.ts';
import type { AnyNode, MapNode, ScalarNode } from '../document/node.ts';
import { slot } from '../incremental/memo.ts';
import { covers, rangeOf } from '../text/span.ts';
import type { Plan } from '../plan/plan.ts';
import { mentionsIn } from '../plan/symbols.ts';
import type { SymbolOccurrence, SymbolKind } from '../plan/symbols.ts';

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
interface FilledIn extends SymbolOccurrence {
  readonly procedure: string;
}

/** A step of a procedure, named from a plan that follows it: `lock` in `op10/lock`. */
interface StepInside extends SymbolOccurrence {
  /** The file of the procedure. */
  readonly home: string;
}

export type Name = SymbolOccurrence | FilledIn | StepInside;

const read = slot<Plan, readonly Name[]>();

/**
 * All symbol occurrences in a plan's own file: those at fixed places, and those whose kind depends on
 * something else, such as the argument for a parameter. Computed once per plan.
 */
export function namesIn(plan: Plan): readonly Name[] {
  let names = read.get(plan);
  if (!names) {
    names = namesOf(plan, plan.scope.mentions, (section) => entriesIn(plan.document, section));
    read.set(plan, names);
  }
  return names;
}

/** The occurrences in some parts of the file. Costs as much as those parts, however long the file is. */
export function namesInParts(plan: Plan, parts: readonly Part[]): readonly Name[] {
  const { kind } = plan.document;
  const mentions = parts.flatMap(({ section, node }) => mentionsIn(node, kind, section));
  const maps = parts.filter((part): part is Part & { node: AnyMap } => part.node.kind === 'map');
  return namesOf(plan, mentions, (wanted) =>
    maps.filter(({ section }) => section === wanted).map(({ node }) => node),
  );
}

function namesOf(
  plan: Plan,
  mentions: readonly SymbolOccurrence[],
  entries: (section: string) => readonly AnyMap[],
): readonly Name[] {
  const names: Name[] = [
    ...mentions.map((one) => openly(plan, one)),
    ...presets(entries('parameters')),
    ...fillings(plan, entries('operations')),
    ...placesOf(plan, entries('accepted')),
  ];
  // Skip text in another file, even if reached through an anchor.
  return names.filter(({ span }) => span.origin.uri === plan.document.uri);
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
function openly(plan: Plan, mention: SymbolOccurrence): SymbolOccurrence {
  const { kind, where, id } = mention;
  const open = kind === 'task' && where !== 'operations.do' && where !== 'tasks.id';
  return open && !plan.scope.tasks.has(id) ? { ...mention, kind: 'procedure' } : mention;
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

function values(node: AnyNode | undefined, kind: SymbolKind | undefined, where: string): SymbolOccurrence[] {
  if (!kind) return [];
  return [...scalars(node)].flatMap(({ value, span }): SymbolOccurrence[] =>
    typeof value === 'string' && !value.startsWith('$')
      ? [{ kind, id: value, span, role: 'reference', where }]
      : [],
  );
}

/** Default values of parameters. */
const presets = (entries: readonly AnyMap[]): SymbolOccurrence[] =>
  entries.flatMap((parameter) =>
    values(
      parameter.entry('default')?.value,
      own(ofKind, textOf(parameter, 'kind') ?? ''),
      'parameters.default',
    ),
  );

function fillings({ scope }: Plan, entries: readonly AnyMap[]): Name[] {
  return entries.flatMap((step): Name[] => {
    const id = textOf(step, 'follow');
    const given = step.entry('with')?.value;
    if (id === undefined || given?.kind !== 'map') return [];
    const procedure = scope.procedures.get(id);
    const parameters = procedure ? entriesIn(procedure, 'parameters') : [];
    return given.entries.flatMap(({ key, keySpan, value }): Name[] => {
      const parameter = parameters.find((one) => textOf(one, 'name') === key);
      const where = 'operations.with';
      return [
        { kind: 'parameter', id: key, span: keySpan, role: 'reference', where, procedure: id },
        ...values(value, own(ofKind, textOf(parameter, 'kind') ?? ''), where),
      ];
    });
  });
}

/** `accepted.at` names an operation, one inside the procedure that an operation follows, or a connector. */
function placesOf(plan: Plan, entries: readonly AnyMap[]): Name[] {
  if (entries.length === 0) return [];
  const { document, steps, scope } = plan;
  const ids = new Set(steps.map(({ id }) => id));
  return entries.flatMap((entry) =>
    [...scalars(entry.entry('at')?.value)].flatMap((node): Name[] => {
      const path = String(node.value);
      const [first = '', ...inside] = path.split('/');
      const mention = { role: 'reference', where: 'accepted.at' } as const;
      if (!ids.has(first)) return [{ ...mention, kind: 'connector', id: path, span: node.span }];
      const { start, end } = rangeOf(node.span);
      const at = document.slice(start, end).indexOf(path);
      // Quoted or escaped so that the path does not occur literally in the source.
      if (at < 0) return [{ ...mention, kind: 'operation', id: first, span: node.span }];
      let from = node.span.from + at;
      const next = (id: string) => {
        const span = { origin: node.span.origin, from, to: from + id.length };
        from += id.length + 1;
        return { ...mention, kind: 'operation', id, span } as const;
      };
      const names: Name[] = [next(first)];
      let home: Document | undefined = document;
      let id = first;
      for (const step of inside) {
        const caller: AnyMap | undefined = entriesIn(home, 'operations').find(
          (one) => textOf(one, 'id') === id,
        );
        home = scope.procedures.get(textOf(caller, 'follow') ?? '');
        if (!home) break;
        names.push({ ...next(step), home: home.uri });
        id = step;
      }
      return names;
    }),
  );
}

/** The name at an offset of the plan's own file. */
export const nameAt = (plan: Plan, offset: number): Name | undefined =>
  namesIn(plan).find(({ span }) => covers(span, offset));

/** The name of a file, for people. */
export const fileName = (uri: string): string => decodeURIComponent(uri.slice(uri.lastIndexOf('/') + 1));

/** The last entry of a list starting at or before an offset, i.e. the one being edited there. */
export const entryBefore = (document: Document, section: string, offset: number): AnyMap | undefined =>
  entriesIn(document, section).findLast(({ span }) => rangeOf(span).start <= offset);
