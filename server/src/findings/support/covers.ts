import { bestCover } from './mending.ts';
import type { Plan } from '../../plan/plan.ts';
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

/** What the plan covers connectors like this one with; otherwise what its maker asks for. */
export function coverFor(plan: Plan, connector: Connector, wet: boolean): readonly string[] | undefined {
  const alike = plan.operationsDoing('cover').find(
    ({ using, connectors }) =>
      using.length > 0 &&
      (!wet || using.some(({ value }) => plan.scope.consumables.get(value)?.kind !== 'tape')) &&
      connectors.some(({ value }) => {
        const other = plan.scope.connectors.get(value);
        return (
          value !== connector.id &&
          other !== undefined &&
          other.class === connector.class &&
          other.makerCover === connector.makerCover
        );
      }),
  );
  return alike ? alike.using.map(({ value }) => value) : bestCover(plan, connector, wet);
}
