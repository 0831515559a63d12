import type { Operation } from '../../plan/operations.ts';
import type { Connector } from '../../plan/scope.ts';
import type { Hazard } from '../../plan/tables/tasks.ts';
import type { Sequence } from '../../sequence/lives.ts';

const wetness: ReadonlySet<Hazard> = new Set(['moisture', 'overspray']);

/** Steps that may wet a connector between this cover and its uncovering. */
export function wetOperations(sequence: Sequence, connector: Connector, cover: Operation): Operation[] {
  const { order } = sequence;
  const off = sequence
    .life(connector.id)
    ?.events.find(({ act, operation }) => act === 'uncover' && order.before(cover, operation));
  const until = off?.operation;
  return order
    .candidatesBetween(sequence.reaching(connector.zone, wetness), cover, until)
    .filter((one) => order.mayFallBetween(cover, one, until));
}
