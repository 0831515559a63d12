/** Which steps work where high-voltage cables may run. */
import { addToGroup } from '../../base/collections.ts';
import { memoByIdentity } from '../../incremental/memo.ts';
import { query } from '../../incremental/query.ts';
import { mayCarryHighVoltage } from '../../plan/high-voltage.ts';
import type { Operation } from '../../plan/operations.ts';
import { SnapshotPlan } from '../../plan/plan.ts';
import type { Plan } from '../../plan/plan.ts';
import type { Connector } from '../../plan/scope.ts';
import type { Snapshot } from '../../plan/snapshot.ts';
import { nearCables } from '../../plan/tables/needs.ts';
import type { Zones } from '../../plan/tables/zones.ts';

/** High-voltage power connectors by zone; those without one, which may be anywhere, under an empty text. */
export const cablesIn = query((reading: Snapshot): ReadonlyMap<string, readonly Connector[]> => {
  const plan = new SnapshotPlan(reading);
  const found = new Map<string, Connector[]>();
  for (const connector of plan.scope.connectors.values()) {
    if (connector.class !== 'high-voltage-power' || !mayCarryHighVoltage(plan, connector)) continue;
    addToGroup(found, connector.zone ?? '', connector);
  }
  return found;
});

interface NearCables {
  readonly connectors: readonly Connector[];
  /** They are in the zones of the step itself, rather than in adjoining ones. */
  readonly here: boolean;
}

/** Those in the zones of a step, else those in the zones that adjoin them. A step without a zone may be anywhere. */
export const cablesNear = memoByIdentity(
  ({ zones }: Operation, cables: ReadonlyMap<string, readonly Connector[]>, body: Zones): NearCables => {
    const of = (names: readonly string[]): readonly Connector[] =>
      names.flatMap((zone) => cables.get(zone) ?? []);
    const here = zones.length === 0 ? [...cables.values()].flat() : of(['', ...zones]);
    if (here.length > 0) return { connectors: here, here: true };
    return {
      connectors: of([...new Set(zones.flatMap((zone) => [...(body.beside.get(zone) ?? [])]))]),
      here: false,
    };
  },
);

/** The steps that cut, drill, grind, weld or straighten in a zone with high-voltage cables. */
export function nearHighVoltage(plan: Plan): readonly Operation[] {
  const cables = cablesIn(plan.reading);
  return [...nearCables]
    .flatMap((task) => plan.operationsDoing(task))
    .filter((operation) => cablesNear(operation, cables, plan.scope.zones).here);
}
