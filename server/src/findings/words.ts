import type { Span } from '../document/text.ts';
import type { Operation } from '../plan/operations.ts';
import type { Connector } from '../plan/scope.ts';
import { hazardWords } from '../plan/tasks.ts';
import type { Hazard } from '../plan/tasks.ts';
import type { Meeting, Window } from '../sequence/lives.ts';
import type { Trace } from './finding.ts';

/** "a", "a and b", "a, b and c". */
export function listed(words: readonly string[]): string {
  return words.length < 2 ? (words[0] ?? '') : `${words.slice(0, -1).join(', ')} and ${words.at(-1)}`;
}

/** "op40 (grinding)". */
export const named = (operation: Operation): string =>
  operation.task ? `${operation.id} (${operation.task.doing})` : operation.id;

const hazardsIn = (raises: readonly Hazard[]): string => listed(raises.map((hazard) => hazardWords[hazard]));

/** The steps that may meet a window, the first three by name. */
export function meetingNames(hazards: readonly Meeting[]): string {
  const names = hazards.slice(0, 3).map(({ operation }) => named(operation));
  return hazards.length > 3 ? `${names.join(', ')} and ${hazards.length - 3} more` : listed(names);
}

/** What all the meetings of a window raise together. */
export const hazardsOf = ({ hazards }: Window): string =>
  hazardsIn([...new Set(hazards.flatMap(({ raises }) => raises))]);

/**
 * Where a step names a connector, in the plan itself; for a step inside a procedure the plan's call of it.
 */
export function mention(operation: Operation, connector: string): Span {
  const span = operation.connectors.find(({ value }) => value === connector)?.span;
  return span && span.origin.uri === operation.planStep.uri ? span : operation.span;
}

/** A trace entry on a step; inside a procedure it points at the procedure's own line. */
export const at = (operation: Operation, message: string): Trace => ({ at: operation.step.span, message });

export function opening(operation: Operation, connector: Connector): Trace {
  return at(
    operation,
    `${operation.id}: ${connector.id} is ${operation.taskId === 'uncover' ? 'uncovered' : 'opened'} here`,
  );
}

function meeting(hazard: Meeting, connector: Connector, closing: Operation | undefined): Trace {
  const { operation, raises, certain, follows, from } = hazard;
  const place = from ? ` in ${from}, next to ${connector.zone ?? 'it'}` : '';
  const why = certain
    ? 'it comes while the connector is bare'
    : closing
      ? `nothing orders it ${follows ? '' : 'before the opening or '}after ${closing.id}`
      : 'nothing orders it before the opening';
  return at(operation, `${named(operation)} may raise ${hazardsIn(raises)} here${place}: ${why}`);
}

export const meetings = (window: Window, connector: Connector): Trace[] =>
  window.hazards.slice(0, 3).map((hazard) => meeting(hazard, connector, window.closed?.operation));

/** "both halves", "the plug half". */
export const halvesIn = (halves: readonly string[]): string =>
  halves.length === 2 ? 'both halves' : `the ${halves[0] ?? ''} half`;
