import { own } from '../../base/collections.ts';
import type { Span } from '../../text/span.ts';
import { andList, say } from '../../language/phrase.ts';
import type { Phrase } from '../../language/phrase.ts';
import type { Operation } from '../../plan/operations.ts';
import type { Plan } from '../../plan/plan.ts';
import type { Half } from '../../plan/steps.ts';
import type { Connector } from '../../plan/scope.ts';
import { hazardWords, waitsForElse } from '../../plan/tables/tasks.ts';
import type { Hazard } from '../../plan/tables/tasks.ts';
import { zoneNamed } from '../../plan/tables/zones.ts';
import type { PossibleHazard, Window } from '../../sequence/facts/exposure.ts';
import type { FindingReport, Trace } from '../finding.ts';

/** "op40 (grinding)". */
export const named = (operation: Operation): Phrase => {
  if (!operation.task) return say`${operation.id}`;
  return say`${operation.id} (${waitsForElse(operation) ? say`waiting` : operation.task.doing})`;
};

const hazardsIn = (raises: readonly Hazard[]): Phrase => andList(raises.map((hazard) => hazardWords[hazard]));

/** Steps, the first three by name. */
export function someNamed(operations: readonly Operation[]): Phrase {
  const names = operations.slice(0, 3).map(named);
  return andList(operations.length > 3 ? [...names, say`${operations.length - 3} more`] : names);
}

/** The steps that may meet a window. */
export const hazardOperationNames = (hazards: readonly PossibleHazard[]): Phrase =>
  someNamed(hazards.map(({ operation }) => operation));

/** What of an open connector dirt gets on: a line has ends. */
export const contactsOf = ({ class: kind }: Connector): Phrase =>
  kind === 'fluid-line' ? say`its ends` : say`its contacts`;

/** All hazards that may occur in a window. */
export const hazardsOf = ({ hazards }: Window): Phrase =>
  hazardsIn([...new Set(hazards.flatMap(({ raises }) => raises))]);

/**
 * Where a step names a connector, in the plan itself; for a step inside a procedure the plan's call of it.
 */
export function spanOfMention(operation: Operation, connector: string): Span {
  const span = operation.connectors.find(({ value }) => value === connector)?.span;
  return span && span.origin.uri === operation.planStep.uri ? span : operation.span;
}

/** Where a value stands, if that is in the plan itself; else where stands what it belongs to. */
export const valueSpan = (
  { uri }: Plan,
  owner: { readonly span: Span },
  { span }: { readonly span: Span },
): Span => (span.origin.uri === uri ? span : owner.span);

/** Which connectors a report is about. */
export const ofConnectors = (ids: readonly string[]): Pick<FindingReport, 'connector' | 'connectors'> =>
  ids.length === 1 ? { connector: ids[0]! } : { connectors: ids };

/** The steps that meet what a report is about. */
export const metBy = (operations: readonly Operation[]): Pick<FindingReport, 'meets'> => ({
  meets: operations.map(({ id }) => id),
});

/** The same of a window. */
export const metIn = ({ hazards }: Window): Pick<FindingReport, 'meets'> =>
  metBy(hazards.map(({ operation }) => operation));

/** A trace entry on a step; inside a procedure it points at the procedure's own line. */
export const traceAt = (operation: Operation, message: Phrase): Trace => ({
  at: operation.step.span,
  message,
});

export function traceOpening(operation: Operation, connector: Connector): Trace {
  return traceAt(
    operation,
    operation.taskId === 'uncover'
      ? say`${operation.id}: ${connector.id} is uncovered here`
      : say`${operation.id}: ${connector.id} is opened here`,
  );
}

function meeting(hazard: PossibleHazard, connector: Connector, closing: Operation | undefined): Trace {
  const { operation, raises, certain, follows, from } = hazard;
  const place = from
    ? say` in ${zoneNamed(from)}, next to ${connector.zone ? zoneNamed(connector.zone) : connector.id}`
    : '';
  const why = certain
    ? say`it comes while the connector is bare`
    : closing
      ? follows
        ? say`nothing orders it after ${closing.id}`
        : say`nothing orders it before the opening or after ${closing.id}`
      : say`nothing orders it before the opening`;
  return traceAt(operation, say`${named(operation)} may produce ${hazardsIn(raises)} here${place}: ${why}`);
}

export const traceHazards = (window: Window, connector: Connector): Trace[] =>
  window.hazards.slice(0, 3).map((hazard) => meeting(hazard, connector, window.closed?.operation));

/** "both halves", "the plug half". */
export const halvesIn = (halves: readonly Half[]): Phrase =>
  halves.length === 2
    ? say`both halves`
    : halves[0] === 'plug'
      ? say`the plug half`
      : say`the receptacle half`;

const roleWords: Readonly<Record<string, Phrase>> = {
  'high-voltage-technician': say`high-voltage technician`,
  'lead-technician': say`lead technician`,
  estimator: say`estimator`,
  reviewer: say`reviewer`,
};

/** Display name of a sign-off role; a shop may define its own. */
export const roleText = (role: string): Phrase => own(roleWords, role) ?? say`${role.replaceAll('-', ' ')}`;
