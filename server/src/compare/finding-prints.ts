import { addToGroup } from '../base/collections.ts';
import { mapsIn } from '../document/node.ts';
import type { AnyNode, MapNode } from '../document/node.ts';
import { readIds } from '../plan/read.ts';
import type { Plan } from '../plan/plan.ts';
import { rangeOf } from '../text/span.ts';
import type { Range } from '../text/span.ts';
import { meaningOf } from './facts.ts';
import type { Tokens } from './matching.ts';

/** A finding as it is told of a file; the checker's and the listings' have this shape. */
export interface ToldFinding {
  readonly finding: string;
  readonly severity: 'error' | 'warning' | 'information';
  readonly message: string;
  readonly range: Range;
  readonly trace: readonly { readonly message: string; readonly range: Range }[];
  readonly operation?: string | undefined;
  readonly connector?: string | undefined;
  readonly connectors?: readonly string[] | undefined;
  readonly also?: readonly string[] | undefined;
  readonly lacks?: readonly string[] | undefined;
  readonly meets?: readonly string[] | undefined;
}

/** What a finding is told by in another version of its file: never a line. Plain data: a baseline keeps it. */
export interface FindingPrint {
  readonly finding: string;
  /** The steps it is about, and those that its trace names: who is to blame. */
  readonly steps: readonly string[];
  /** Further steps for which it stands or that meet it, where they are too many for its trace. */
  readonly also?: readonly string[];
  readonly connector?: string;
  readonly connectors?: readonly string[];
  /** The marked text, where it is about no step. */
  readonly text?: string;
  /** What the marked value of a step means, where that is no id. */
  readonly value?: string;
  /** What is missing, where it may tell of several. */
  readonly lacks?: readonly string[];
}

/** Where each entry of a plan's lists stands, and which steps it is about. */
interface Extent {
  readonly start: number;
  readonly end: number;
  readonly steps: readonly string[];
}

const about: Readonly<Record<string, string>> = {
  labour: 'for',
  materials: 'for',
  evidence: 'for',
  measurements: 'after',
  accepted: 'at',
};

function extentsOf(plan: Plan): Extent[] {
  const extents: Extent[] = plan.steps.map(({ id, node }) => ({ ...extent(node), steps: [id] }));
  for (const [section, key] of Object.entries(about)) {
    const list = plan.section(section as 'labour') as { items?: never[] } | undefined;
    for (const entry of mapsIn<Record<string, string>>(list)) {
      extents.push({ ...extent(entry), steps: idsIn(entry, key) });
    }
  }
  return extents.sort((a, b) => a.start - b.start);
}

const idsIn = (entry: MapNode<Record<string, string>>, key: string): string[] =>
  readIds(entry.get(key) as never).map(({ value }) => value);

function extent(node: AnyNode | MapNode<never>): { start: number; end: number } {
  const { start, end } = rangeOf(node.span);
  return { start, end };
}

/** The prints of a file's findings, in their order. */
export function printsOf(
  plan: Plan,
  findings: readonly ToldFinding[],
  textOf: (uri: string) => string | undefined,
): FindingPrint[] {
  const extents = extentsOf(plan);
  const stepsAt = ({ uri, start }: Range): readonly string[] => {
    if (uri !== plan.uri) return [];
    let [low, high] = [0, extents.length];
    while (low < high) {
      const middle = (low + high) >> 1;
      if (extents[middle]!.start <= start) low = middle + 1;
      else high = middle;
    }
    const found = extents[low - 1];
    return found && start < found.end ? found.steps : [];
  };
  return findings.map(
    ({ finding, operation, connector, connectors, range, trace, also = [], lacks, meets = [] }) => {
      const steps = new Set([...(operation === undefined ? stepsAt(range) : [operation])]);
      for (const { range: at } of trace) for (const step of stepsAt(at)) steps.add(step);
      const further = [...also, ...meets].filter((step) => !steps.has(step));
      const text = (textOf(range.uri)?.slice(range.start, range.end) ?? '').replaceAll(/\s+/g, ' ').trim();
      // An id may be renamed; that of a step is among the steps already.
      const plain = !plan.step(text) && !plan.operation(text);
      return {
        finding,
        steps: [...steps],
        ...(further.length > 0 ? { also: further } : {}),
        ...(connector === undefined ? {} : { connector }),
        ...(connectors ? { connectors } : {}),
        ...(plain && text !== ''
          ? operation === undefined
            ? { text: text.slice(0, 200) }
            : { value: meaningOf(text.slice(0, 200)) }
          : {}),
        ...(lacks ? { lacks } : {}),
      };
    },
  );
}

/** Where each finding of two versions went. */
export interface FindingsDifference<F> {
  readonly kept: readonly (readonly [old: F, now: F])[];
  readonly gone: readonly F[];
  readonly fresh: readonly F[];
}

/** Each finding is told exactly once. Equal prints are counted: one more than before is a new one. */
export function findingsDifference<F>(
  old: readonly (readonly [F, FindingPrint])[],
  now: readonly (readonly [F, FindingPrint])[],
  tokens: Tokens,
): FindingsDifference<F> {
  const waiting = new Map<string, F[]>();
  for (const [finding, print] of old) {
    addToGroup(waiting, nameOf(print, tokens.before), finding);
  }
  const kept: (readonly [F, F])[] = [];
  const fresh: F[] = [];
  const left = new Set(old.map(([finding]) => finding));
  for (const [finding, print] of now) {
    const before = waiting.get(nameOf(print, tokens.now))?.shift();
    if (before === undefined) fresh.push(finding);
    else {
      kept.push([before, finding]);
      left.delete(before);
    }
  }
  return { kept, gone: [...left], fresh };
}

const nameOf = (print: FindingPrint, token: (id: string) => string): string => {
  const {
    finding,
    steps,
    also = [],
    connector = '',
    connectors = [],
    text = '',
    value = '',
    lacks = [],
  } = print;
  const about = [...new Set([...steps, ...also].map(token))].sort();
  return [finding, connector, connectors.toSorted().join(), text, value, lacks.join(), ...about].join('\0');
};
