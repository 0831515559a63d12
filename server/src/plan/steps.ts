import { emptyList, fastFlatMap, mapDefined } from '../base/collections.ts';
import type { AnyNode, ListNode, MapNode } from '../document/node.ts';
import { memoByIdentity } from '../incremental/memo.ts';
import { chunker } from '../incremental/chunks.ts';
import type { Span } from '../text/span.ts';
import type { Operation as RawOperation } from '../generated/repair-plan.ts';
import { noBindings, readIds, readQuantity, readText } from './read.ts';
import type { WithSpan, Bindings, Quantity } from './read.ts';

export type Half = 'plug' | 'receptacle';
export const bothHalves: readonly Half[] = ['plug', 'receptacle'];

/** One entry of an `operations` list as written: a task, or a procedure to follow. */
export interface Step {
  readonly id: string;
  readonly span: Span;
  readonly node: MapNode<RawOperation>;
  /** The file that contains it. */
  readonly uri: string;
  /** The steps named under `after:`, or undefined when it follows the step above. */
  readonly after: readonly WithSpan<string>[] | undefined;
  readonly follows: WithSpan<string> | undefined;
  /** For a step inside a procedure: the step that follows that procedure, itself possibly inside another. */
  readonly caller: Step | undefined;
}

/** The entries of a plan's own list. */
export function ownSteps(list: ListNode<RawOperation> | undefined): Step[] {
  if (list?.kind !== 'list') return [];
  return fastFlatMap(runsOf(list.items), (run) => ownStepsInRun(run, list.span.origin.uri));
}

const runsOf = chunker<MapNode<RawOperation>>();
const ownStepsInRun = memoByIdentity((run: readonly MapNode<RawOperation>[], uri: string) =>
  mapDefined(run, (node) => ownStep(node, uri)),
);
const ownStep = memoByIdentity((node: MapNode<RawOperation>, uri: string) => makeStep(node, uri, noBindings));

/** The entries of a procedure's list, in one call of it. */
export const readSteps = (list: ListNode<RawOperation>, bindings: Bindings, caller: Step): Step[] =>
  mapDefined(list.items, (node) => makeStep(node, list.span.origin.uri, bindings, caller));

function makeStep(
  node: MapNode<RawOperation>,
  uri: string,
  bindings: Bindings,
  caller?: Step,
): Step | undefined {
  if (node.rejectedBySchema || (node as AnyNode).kind !== 'map') return undefined;
  const { id, after, follows } = fieldsOf(node, bindings);
  return id && { id: id.value, span: id.span, node, uri, after, follows, caller };
}

/** The fields of a step, independent of its surroundings. */
export interface StepFields {
  readonly id: WithSpan<string> | undefined;
  readonly after: Step['after'];
  readonly follows: Step['follows'];
  readonly taskId: string;
  readonly connectors: readonly WithSpan<string>[];
  readonly halves: readonly Half[];
  readonly zones: readonly string[];
  readonly using: readonly WithSpan<string>[];
  readonly by: WithSpan<string> | undefined;
  readonly time: Quantity | undefined;
}

function readFacts(node: MapNode<RawOperation>, bindings: Bindings): StepFields {
  const half = node.get('halves')?.value ?? 'both';
  const zones = readIds(node.get('zone'), bindings);
  return {
    id: node.get('id'),
    after: node.entry('after') ? readIds(node.get('after'), bindings) : undefined,
    follows: readText(node.get('follow'), bindings),
    taskId: readText(node.get('do'), bindings)?.value ?? '',
    connectors: readIds(node.get('connectors'), bindings),
    zones: zones.length === 0 ? emptyList : zones.map(({ value }) => value),
    halves: half === 'both' ? bothHalves : [half],
    using: readIds(node.get('using'), bindings),
    by: readText(node.get('by'), bindings),
    time: readQuantity('time', node.get('time'), bindings),
  };
}

const ownFacts = memoByIdentity((node: MapNode<RawOperation>) => readFacts(node, noBindings));

/**
 * Fields of a plan step depend on its node alone and are memoised there; those of a procedure step depend on
 * the call's bindings.
 */
export const fieldsOf = (node: MapNode<RawOperation>, bindings: Bindings): StepFields =>
  bindings.size === 0 ? ownFacts(node) : readFacts(node, bindings);
