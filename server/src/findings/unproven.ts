import type { Operation } from '../plan/operations.ts';
import type { Plan } from '../plan/plan.ts';
import type { Connector } from '../plan/scope.ts';
import { closings, owedBeforeGate } from '../sequence/duties.ts';
import type { Sequence } from '../sequence/lives.ts';
import type { Fix, Report, Subject } from './finding.ts';
import { fix, insertAfter } from './mending.ts';
import { at, listed, mention, named } from './words.ts';

/** Connectors that one step closes and that may all reach one gate without a proof. */
export interface Unproven {
  readonly closing: Operation;
  readonly gate: Operation;
  readonly connectors: readonly Connector[];
}

/**
 * Closings after which `task` is owed and not certain to be done before a gate: one entry for each step that closes and
 * gate that comes too soon.
 */
export function unproven(
  sequence: Sequence,
  task: string,
  owes: (connector: Connector) => boolean,
): Unproven[] {
  const groups = new Map<string, Unproven & { connectors: Connector[] }>();
  for (const life of sequence.lives.values()) {
    if (!owes(life.connector)) continue;
    for (const { operation: closing } of closings(life)) {
      const gate = owedBeforeGate(sequence, life, closing, task);
      // A gate that may come before the closing is a mistake of its own.
      if (!gate || !sequence.order.before(closing.index, gate.index)) continue;
      const key = `${closing.index} ${gate.index}`;
      const group = groups.get(key);
      if (group) group.connectors.push(life.connector);
      else groups.set(key, { closing, gate, connectors: [life.connector] });
    }
  }
  return [...groups.values()];
}

/** The report of a missing proof: `doing` begins the fix's title, as in "Measure the insulation". */
export function reportOf(
  { plan, sequence }: Subject,
  missing: Unproven,
  task: string,
  doing: string,
  message: string,
): Report {
  const { closing, gate, connectors } = missing;
  const ids = connectors.map(({ id }) => id);
  return {
    at: mention(closing, ids[0]!),
    operation: closing.id,
    ...(ids.length === 1 ? { connector: ids[0]! } : {}),
    message,
    trace: [
      at(closing, `${named(closing)} closes ${listed(ids)} here`),
      at(gate, `${named(gate)} comes without it`),
    ],
    fixes: () => [prove(plan, sequence, missing, task, doing)],
  };
}

/** The owed step comes after the last thing that is certainly done to the connectors before any of the gates. */
function prove(
  plan: Plan,
  { order, gates, lives }: Sequence,
  { closing, connectors }: Unproven,
  task: string,
  doing: string,
): Fix | undefined {
  const ids = connectors.map(({ id }) => id);
  const own = ids.flatMap((id) => lives.get(id)?.operations ?? []);
  const reopened = own.find(
    ({ taskId, index }) => taskId === 'disconnect' && order.before(closing.index, index),
  );
  const ahead = gates.filter(
    ({ index }) => !order.before(index, closing.index) && !(reopened && order.before(reopened.index, index)),
  );
  const anchor =
    own
      .filter(({ index }) => order.before(closing.index, index))
      .filter(({ index }) => ahead.every((one) => order.before(index, one.index)))
      .sort((a, b) => order.compare(a.index, b.index))
      .at(-1) ?? closing;
  const step = { task, fields: [['connectors', `[${ids.join(', ')}]`]] as const };
  return fix(
    `${doing} of ${listed(ids)} after ${anchor.planStep.id}`,
    insertAfter(
      plan,
      anchor.planStep,
      [step],
      ahead.map(({ planStep }) => planStep),
    ),
  );
}
