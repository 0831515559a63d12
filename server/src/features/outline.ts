import { addToGroup } from '../base/collections.ts';
import { rangeOf } from '../text/span.ts';
import type { Range } from '../text/span.ts';
import type { AnyNode } from '../document/node.ts';
import { memoByIdentity } from '../incremental/memo.ts';
import { classRules } from '../plan/tables/classes.ts';
import type { ConnectorClass } from '../plan/tables/classes.ts';
import type { Plan } from '../plan/plan.ts';
import type { Connector } from '../plan/scope.ts';
import type { FileSymbol } from '../workspace/summary.ts';
import type { Workspace } from '../workspace/workspace.ts';
import { rootOf, textOf } from './names.ts';
import type { AnyMap } from './names.ts';

export interface OutlineItem {
  readonly name: string;
  readonly detail: string;
  readonly kind: FileSymbol['kind'];
  /** From key or dash to the end of the last value. */
  readonly range: Range;
  readonly selection: Range;
  readonly children: readonly OutlineItem[];
}

/**
 * The contents of a file, section by section.
 * @param max entries that are listed; for a longer file, all sections are listed but no entries after the
 * first `max`
 * @param leftOut sections that are not listed
 */
export function outline(
  workspace: Workspace,
  uri: string,
  max = Infinity,
  leftOut?: ReadonlySet<string>,
): OutlineItem[] {
  const plan = workspace.plan(uri);
  const root = plan && rootOf(plan.document);
  if (!plan || !root) return [];
  let left = max;
  return root.entries.flatMap((entry): OutlineItem[] => {
    const { key, keySpan, value } = entry;
    if (keySpan.origin.uri !== uri || leftOut?.has(key)) return [];
    const selection = rangeOf(keySpan);
    const range = { ...selection, end: Math.max(selection.end, rangeOf(value.span).end) };
    if (value.kind === 'scalar') {
      return [
        { name: key, detail: short(String(value.value ?? '')), kind: 'name', range, selection, children: [] },
      ];
    }
    const children: OutlineItem[] = [];
    for (const item of value.kind === 'list' ? (value.items as readonly AnyNode[]) : []) {
      if (left === 0) break;
      if (item.kind !== 'map' || item.entries.length === 0 || item.span.origin.uri !== uri) continue;
      children.push(itemOf(plan, key, item as AnyMap));
      left--;
    }
    const detail = value.kind === 'list' && value.items.length > 0 ? String(value.items.length) : '';
    return [{ name: key, detail, kind: 'section', range, selection, children }];
  });
}

const short = (text: string): string => (text.length > 60 ? `${text.slice(0, 59)}…` : text);

/** Keys whose value names an entry. */
const naming: ReadonlySet<string> = new Set(['id', 'name', 'for', 'connector', 'finding', 'role', 'task']);

function itemOf(plan: Plan, section: string, item: AnyMap): OutlineItem {
  const range = rangeOf(item.span);
  const first = item.entries.find(({ key }) => naming.has(key)) ?? item.entries[0]!;
  const at = first.value.kind === 'scalar' && first.value.value !== null ? first.value.span : first.keySpan;
  const inside = at.origin.uri === range.uri ? rangeOf(at) : range;
  const selection = inside.start >= range.start && inside.end <= range.end ? inside : range;
  const known = section === 'connectors' ? plan.scope.connectors.get(textOf(item, 'id') ?? '') : undefined;
  const { name, detail, kind } = words(item, section, known);
  return { name, detail, kind, range, selection, children: [] };
}

type Words = Pick<OutlineItem, 'name' | 'detail' | 'kind'>;

/** @param known the connector that an entry of the connectors describes */
const words = memoByIdentity((item: AnyMap, section: string, known?: Connector): Words => {
  const of = (key: string): string => idsOf(item.entry(key)?.value);
  switch (section) {
    case 'operations': {
      const follow = textOf(item, 'follow');
      const on = [of('connectors'), of('zone')].filter(Boolean).join(' · ');
      const what = follow === undefined ? of('do') : `follow ${follow}`;
      return {
        name: textOf(item, 'id') ?? '?',
        detail: [what, on].filter(Boolean).join(' · '),
        kind: follow === undefined ? 'operation' : 'procedure',
      };
    }
    case 'connectors': {
      const id = textOf(item, 'id') ?? '?';
      const rule = (known?.class ?? textOf(item, 'class')) as ConnectorClass | undefined;
      const what = rule && Object.hasOwn(classRules, rule) ? classRules[rule].words : '';
      return { name: id, detail: [what, known?.zone].filter(Boolean).join(' · '), kind: 'connector' };
    }
    case 'labour':
      return {
        name: of('for') || '?',
        detail: [of('task'), of('hours') && `${of('hours')} h`].filter(Boolean).join(' · '),
        kind: 'line',
      };
    case 'materials':
      return {
        name: of('for') || '?',
        detail: [of('quantity'), of('item')].filter(Boolean).join(' × '),
        kind: 'line',
      };
    case 'measurements':
      return { name: of('connector') || '?', detail: of('value'), kind: 'line' };
    case 'consumables':
      return { name: of('id') || '?', detail: textOf(item, 'name') ?? of('kind'), kind: 'good' };
    default: {
      const name = ['id', 'name', 'for', 'finding', 'role', 'task'].map(of).find(Boolean) ?? '?';
      const detail =
        ['title', 'kind', 'per-hour', 'hours', 'photo', 'reason', 'beside', 'percent']
          .map(of)
          .find(Boolean) ?? '';
      return { name, detail: short(detail), kind: 'name' };
    }
  }
});

function idsOf(node: AnyNode | undefined): string {
  if (node?.kind === 'scalar') return node.value === null ? '' : String(node.value);
  if (node?.kind === 'list') return (node.items as readonly AnyNode[]).map(idsOf).join(', ');
  return '';
}

/** Most a search shows; a longer query narrows it down. */
const maxFound = 500;

/** Names in all loaded files that hold the letters of `query` in their order, whole words first. */
export function searchSymbols(workspace: Workspace, query: string): FileSymbol[] {
  const letters = query.toLowerCase();
  const isMeant = (name: string): boolean => isSubsequence(letters, name.toLowerCase());
  const byRank: Map<string, FileSymbol[]>[] = [new Map(), new Map(), new Map(), new Map()];
  const add = (symbol: FileSymbol): void => {
    const name = symbol.name.toLowerCase();
    const rank = name === letters ? 0 : name.startsWith(letters) ? 1 : name.includes(letters) ? 2 : 3;
    addToGroup(byRank[rank]!, symbol.name, symbol);
  };
  for (const uri of workspace.uris) {
    const summary = workspace.summary(uri);
    if (summary) for (const symbol of summary.symbols.named(uri, isMeant)) add(symbol);
    else for (const symbol of symbolsIn(workspace, uri)) if (isMeant(symbol.name)) add(symbol);
  }
  const found: FileSymbol[] = [];
  for (const byName of byRank) {
    for (const name of [...byName.keys()].sort((a, b) => a.localeCompare(b))) {
      if (found.length >= maxFound) break;
      // Many files may hold one name; their order is that of their addresses.
      for (const symbol of byName.get(name)!.sort(inOrder)) found.push(symbol);
    }
  }
  return found.slice(0, maxFound);
}

function inOrder({ selection: a }: FileSymbol, { selection: b }: FileSymbol): number {
  return a.uri === b.uri ? a.start - b.start : a.uri < b.uri ? -1 : 1;
}

/** Their lines pay for a step or say something of one; the step itself is found. */
const notSearched = new Set(['labour', 'materials', 'measurements', 'evidence', 'sign-offs', 'accepted']);

/** What a search through all files finds in one of which the tree is there. */
export function symbolsIn(workspace: Workspace, uri: string): FileSymbol[] {
  const plan = workspace.plan(uri);
  const root = plan && rootOf(plan.document);
  const first = root?.entries[0];
  if (!plan || !first) return [];
  const title = first.value.kind === 'scalar' ? String(first.value.value) : '';
  const found: FileSymbol[] = [];
  for (const { selection, children } of outline(workspace, uri, Infinity, notSearched)) {
    if (selection.start === rangeOf(first.keySpan).start) {
      const kind = plan.document.kind === 'shop-procedure' ? 'procedure' : 'file';
      found.push({ name: title, kind, container: '', selection });
    }
    for (const { name, kind, selection } of children) found.push({ name, kind, container: title, selection });
  }
  return found;
}

/** Whether letters are a subsequence of a word, as editors match. */
export function isSubsequence(letters: string, word: string): boolean {
  let at = 0;
  for (const letter of letters) {
    at = word.indexOf(letter, at) + 1;
    if (at === 0) return false;
  }
  return true;
}
