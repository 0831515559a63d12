import { emptyList } from '../../../base/collections.ts';
import { operationsWhere } from '../../../plan/plan.ts';
import type { Plan } from '../../../plan/plan.ts';
import { offVehicle, zoneNamed, Zones } from '../../../plan/tables/zones.ts';
import { stepsOffVehicle } from '../../support/tools.ts';
import { spanOfMention, named } from '../../support/words.ts';
import { say } from '../../../language/phrase.ts';
import type { FindingReport, FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';

export const zoneMissing: FindingRule = {
  id: 'zone-missing',
  title: say`Dirty work without a place`,
  severity: 'warning',
  page: () => ({
    means: say`A step produces dust, sparks, water, overspray or knocks and names neither a zone nor a connector; or a connector that is opened has no zone. The step then reaches every connector, and the connector is reached by every dirty step. Or dirty work is done in a zone of the shop's own that adjoins no other: it then reaches nothing outside of that zone. The same is told of a connector that is opened in such a zone or off the vehicle, and of a traction battery or fuel that is stated there.`,
    why: say`Without a place nobody can tell which connectors the dirt meets.`,
    whatToDo: say`Write the \`zone\` of the step, or of the connector; \`off-vehicle\` is the zone of body and paint work at parts that are off the vehicle. Write under \`beside\` what a zone of the shop's own adjoins.`,
    source: commonPractice,
    example: {
      wrong: `operations:
  - { id: op40, do: grind }
`,
      right: `operations:
  - { id: op40, do: grind, zone: front-left }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'order',
  *check({ plan, lives }) {
    for (const operation of placeless(plan)) {
      yield {
        at: operation.span,
        operation: operation.id,
        message: say`${named(operation)} names no zone, so it may reach every connector of the plan. Write where it happens as \`zone: …\`.`,
      };
    }
    const alone = new Set([...plan.scope.zones.beside.keys()].filter((zone) => isAlone(plan, zone)));
    for (const operation of spreading(plan)) {
      const zone = operation.zones.find((id) => alone.has(id));
      if (zone === undefined) continue;
      alone.delete(zone);
      yield {
        at: operation.span,
        operation: operation.id,
        message: say`${named(operation)} works in ${zone}, which adjoins no other zone, so its dirt and sparks reach nothing beside it, neither connector nor traction battery. Write what ${zone} adjoins as \`beside: […]\`, or \`zone: off-vehicle\` in ${operation.id} where only parts that are off the vehicle are worked at.`,
      };
    }
    yield* vehicleZones(plan);
    const [off] = stepsOffVehicle(plan);
    if (off && !alone.has(offVehicle) && plan.scope.zones.beside.get(offVehicle)!.size > 0) {
      yield {
        at: off.span,
        operation: off.id,
        severity: 'error',
        message: say`${named(off)} is checked as work at a part off the vehicle, and \`zones\` says that ${offVehicle} adjoins zones of the vehicle. Take that out there, and give a place beside the vehicle another name.`,
      };
    }
    for (const { connector, events } of lives) {
      const { zone } = connector;
      const lone = zone !== undefined && alone.has(zone);
      if (
        !lone &&
        zone !== offVehicle &&
        (zone !== undefined || connector.nodes.some((node) => node.entry('zone')))
      )
        continue;
      const opened = events.find(({ act }) => act === 'disconnect')?.operation;
      if (!opened) continue;
      if (zone === offVehicle) {
        yield {
          at: spanOfMention(opened, connector.id),
          operation: opened.id,
          connector: connector.id,
          message: say`${named(opened)} opens ${connector.id}, which by its zone is off the vehicle, so no work on the vehicle is looked at beside it. Write the zone of the body where it sits as \`zone: …\`.`,
        };
        continue;
      }
      if (lone) {
        alone.delete(zone);
        yield {
          at: spanOfMention(opened, connector.id),
          operation: opened.id,
          connector: connector.id,
          message: say`${named(opened)} opens ${connector.id} in ${zone}, which adjoins no other zone, so no work beside it is looked at. Write what ${zone} adjoins as \`beside: […]\`.`,
        };
        continue;
      }
      yield {
        at: spanOfMention(opened, connector.id),
        operation: opened.id,
        connector: connector.id,
        message: say`${named(opened)} opens ${connector.id}, and nobody states where it is: every dirty step may reach it. Write its \`zone\` in the plan or the list.`,
        trace: [{ at: connector.span, message: say`${connector.id} is described here` }],
      };
    }
  },
};

/** A traction battery or fuel that is stated where nothing adjoins it: all work on the vehicle would be far from it. */
function* vehicleZones({ vehicle, scope: { zones } }: Plan): Generator<FindingReport> {
  const stated = [
    ['battery-zone', vehicle?.batteryZones ?? emptyList],
    ['fuel-zone', vehicle?.fuelZones ?? emptyList],
  ] as const;
  for (const [key, list] of stated) {
    const lone = list.find(({ value }) => zones.beside.get(value)?.size === 0);
    if (!lone) continue;
    yield {
      at: lone.span,
      message: say`\`${key}\` of the vehicle names ${zoneNamed(lone.value)}, which adjoins no zone of the vehicle, so no work beside it is looked at. Write the zones of the body where it sits or runs.`,
    };
  }
}

/** A zone of the vehicle of which nobody says what it adjoins. The store of batteries is no part of the vehicle. */
const isAlone = ({ scope: { zones } }: Plan, zone: string): boolean =>
  zones.beside.get(zone)?.size === 0 && !builtInZones.has(zone);
const builtInZones = new Zones();

const spreading = operationsWhere(
  ({ task }) => task !== undefined && task.reach === 'beside' && task.raises.length > 0,
);

const placeless = operationsWhere(
  ({ task, zones, connectors, step, bindings }) =>
    task !== undefined &&
    task.raises.length > 0 &&
    task.reach !== 'everywhere' &&
    zones.length === 0 &&
    connectors.length === 0 &&
    bindings.size === 0 &&
    step.node.partlyParsed !== true,
);
