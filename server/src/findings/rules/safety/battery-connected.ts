import type { Operation } from '../../../plan/operations.ts';
import { emptyList } from '../../../base/collections.ts';
import type { Plan } from '../../../plan/plan.ts';
import { mayCarryHighVoltage } from '../../../plan/high-voltage.ts';
import type { Connector } from '../../../plan/scope.ts';
import { underPressure } from '../../../plan/tables/fluids.ts';
import { ConnectorFacts } from '../../../sequence/facts/timeline.ts';
import type { Sequence } from '../../../sequence/lives.ts';
import { puttingIn, takingOut } from '../../support/battery.ts';
import { someOf } from '../../support/needs.ts';
import { traceAt, named, ofConnectors } from '../../support/words.ts';
import { andList, say } from '../../../language/phrase.ts';
import type { FindingReport, FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';

export const batteryConnected: FindingRule = {
  id: 'battery-connected',
  title: say`The traction battery lowered or raised while it is connected`,
  severity: 'error',
  page: () => ({
    means: say`The traction battery is lowered, and a connector or a fluid line in its zone (\`battery-zone\`), or one that the step names, may still be closed; or no high-voltage connector of the plan is certain to be open. Or one that was opened for the lowering may be closed again before the battery is raised, or the battery is raised and was never lowered (both a warning).`,
    why: say`A battery that hangs on a cable tears the contact open under its weight, and may bare live metal; a full coolant line spills over it.`,
    whatToDo: say`Open every connector and line of the traction battery, and cover the halves, before the battery is lowered; close them only after it is raised. A connector that sits in that zone and is no part of the battery belongs to a zone of its own.`,
    source: commonPractice,
    example: {
      wrong: `vehicle: { description: Kestrel (invented), propulsion: battery-electric, system-voltage: 400 V, battery-zone: underbody }
connectors:
  - { id: battery-dc, class: high-voltage-power, zone: underbody }
operations:
  - { id: op40, do: lower-battery }
`,
      right: `vehicle: { description: Kestrel (invented), propulsion: battery-electric, system-voltage: 400 V, battery-zone: underbody }
connectors:
  - { id: battery-dc, class: high-voltage-power, zone: underbody }
operations:
  - { id: op20, do: disconnect, connectors: [battery-dc] }
  - { id: op25, do: cover, connectors: [battery-dc], using: dummy-plug }
  - { id: op40, do: lower-battery }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'order',
  needsEveryStep: true,
  *check({ plan, sequence }) {
    yield* closedBeforeRaised(plan, sequence);
    yield* raisedUnlowered(plan, sequence);
    for (const lowering of takingOut(plan)) {
      const { connectors, task } = lowering;
      // A task of the shop's own may open by itself what it names.
      const opened = new Set(task!.makes.includes('open') ? connectors.map(({ value }) => value) : []);
      const closed = attached(plan, lowering).filter(
        (connector) => !opened.has(connector.id) && !isOpen(plan, sequence, connector, lowering),
      );
      if (closed.length > 0) {
        const ids = closed.map(({ id }) => id);
        yield {
          at: lowering.span,
          operation: lowering.id,
          ...ofConnectors(ids),
          message: say`${named(lowering)} may happen while the battery still hangs on ${someOf(ids)}: its weight tears the contact or the line open. Open and cover ${someOf(ids)} before ${lowering.id}.`,
          trace: closed.flatMap(({ id }) => {
            const opened = sequence.life(id)?.events.find(({ act }) => act === 'disconnect')?.operation;
            return opened
              ? [traceAt(opened, say`${named(opened)}: not certain to come before ${lowering.id}`)]
              : [];
          }),
        };
        continue;
      }
      const plugs = [...plan.scope.connectors.values()].filter((connector) =>
        mayCarryHighVoltage(plan, connector),
      );
      if (plugs.some((one) => opened.has(one.id) || isOpen(plan, sequence, one, lowering))) continue;
      yield {
        at: lowering.span,
        operation: lowering.id,
        message: say`${named(lowering)} comes, and no high-voltage connector is certain to be open: a battery that hangs on its cables tears the contacts open. List the connectors of the battery, and open and cover each before ${lowering.id}.`,
      };
    }
  },
};

/** Connectors opened for a lowering that may be closed again while the battery is still out. */
function* closedBeforeRaised(plan: Plan, sequence: Sequence): Generator<FindingReport> {
  const { order } = sequence;
  const raisings = puttingIn(plan);
  const lowerings = takingOut(plan);
  for (const raising of raisings) {
    const opened = new Set(
      lowerings
        .filter((lowering) => order.before(lowering, raising))
        .flatMap((lowering) =>
          attached(plan, lowering).filter((connector) => isOpen(plan, sequence, connector, lowering)),
        ),
    );
    // Closed on a battery that another raising has brought into place, or the first lift of this one has.
    const isInPlace = (closing: Operation): boolean =>
      raisings.some((other) => other !== raising && order.before(other, closing));
    const early = [...opened].flatMap((connector) => {
      if (isOpen(plan, sequence, connector, raising)) return [];
      const closing = sequence
        .life(connector.id)!
        .events.findLast(
          ({ act, operation }) => act === 'reconnect' && !order.before(raising, operation),
        )?.operation;
      return closing && !isInPlace(closing) ? [{ id: connector.id, closing }] : [];
    });
    const first = early[0]?.closing;
    if (!first) continue;
    const ids = early.map(({ id }) => id);
    yield {
      at: raising.span,
      operation: raising.id,
      ...ofConnectors(ids),
      severity: 'warning',
      message: say`${named(raising)} may come after ${named(first)} closes ${andList(ids)}: what is joined to a battery that is not in place is torn or pinched when the battery moves. Close and test ${andList(ids)} after ${raising.id}.`,
      trace: [...new Set(early.map(({ closing }) => closing))].map((closing) =>
        traceAt(closing, say`${named(closing)}: not certain to come after ${raising.id}`),
      ),
    };
  }
}

/** A battery that is raised into the place that it never left. */
function* raisedUnlowered(plan: Plan, { order }: Sequence): Generator<FindingReport> {
  const raisings = puttingIn(plan);
  const lowerings = raisings.length > 0 ? takingOut(plan) : emptyList;
  for (const raising of raisings) {
    if (lowerings.some((lowering) => !order.before(raising, lowering))) continue;
    yield {
      at: raising.span,
      operation: raising.id,
      severity: 'warning',
      message: say`${named(raising)} comes, and no step lowers the battery before: what is cut, welded or baked meets it in its place. Add the lowering, or take ${raising.id} out.`,
    };
  }
}

/** What holds the battery: connectors that the step names, and those with wires or lines to it in its zone. */
function attached({ scope, vehicle }: Plan, lowering: Operation): readonly Connector[] {
  const named = new Set(lowering.connectors.map(({ value }) => value));
  const zones = new Set(vehicle?.batteryZones.map(({ value }) => value));
  return [...scope.connectors.values()].filter(
    (connector) =>
      named.has(connector.id) ||
      (connector.zone !== undefined && zones.has(connector.zone) && isOfTheBattery(connector)),
  );
}

const isOfTheBattery = (connector: Connector): boolean =>
  connector.class === 'high-voltage-power' ||
  connector.class === 'interlock' ||
  (connector.class === 'fluid-line' &&
    connector.medium !== 'other' &&
    !(connector.medium && underPressure.has(connector.medium)));

/** Certainly open when the step starts. One whose history is not certain is not complained about. */
function isOpen(plan: Plan, sequence: Sequence, connector: Connector, step: Operation): boolean {
  const life = sequence.life(connector.id);
  return !life || life.unsure || new ConnectorFacts(plan, sequence, life).isMet('open', step);
}
