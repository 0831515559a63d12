import { stepsAtIsolating, voltageMet } from '../../../plan/high-voltage.ts';
import { hasIgniter } from '../../../plan/tables/classes.ts';
import { operationsWhere } from '../../../plan/plan.ts';
import { needsRestraintSafe } from '../../../plan/tables/needs.ts';
import { isVehicleFactMet } from '../../../sequence/facts/timeline.ts';
import { historiesWhere } from '../../../sequence/lives.ts';
import { say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';
import { onHighVoltage } from '../../support/high-voltage.ts';
import { effectiveReadings } from '../../../sequence/readings.ts';
import { bakesOfVehicle } from '../../support/tools.ts';
import { traceAt, spanOfMention, named } from '../../support/words.ts';

export const limitMissing: FindingRule = {
  id: 'limit-missing',
  title: say`A limit that a check needs is not stated`,
  severity: 'warning',
  page: () => ({
    means: say`The plan measures the contact resistance of a power connector without a limit, bakes the vehicle without a bake limit, isolates the high-voltage system without the vehicle maker's waiting time, or names gloves or a meter where no voltage is stated.`,
    why: say`A reading without a limit is only a number. There is no public limit for any of these, and Plugward has none built in: what is not stated is not checked.`,
    whatToDo: say`Take the figure from the vehicle maker's documents and state it, with its source: \`resistance.limit\` of the connector, \`bake-limit\`, \`discharge-wait\`, \`restraint-wait\` or \`system-voltage\` of the vehicle.`,
    source: commonPractice,
    example: {
      wrong: `operations:
  - { id: op70, do: measure-resistance, connectors: [inverter-dc] }
`,
      right: `connectors:
  - { id: inverter-dc, class: high-voltage-power, zone: rear-floor, resistance: { limit: 0.8 mΩ } }
operations:
  - { id: op70, do: measure-resistance, connectors: [inverter-dc] }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'proof',
  *check({ plan }) {
    const listLost = plan.scope.unresolved.some(({ kind }) => kind === 'connector-list');
    const read = new Map(
      effectiveReadings(plan, 'contact-resistance').map((measurement) => [
        measurement.connector.value,
        measurement,
      ]),
    );
    for (const { connector, operations } of onHighVoltage(plan)) {
      // A limit that is there and cannot be read is a finding of its own.
      const stated = connector.nodes.some((node) => node.get('resistance')?.entry('limit'));
      if (listLost || stated || connector.class !== 'high-voltage-power') continue;
      const measuring = operations.find(({ taskId }) => taskId === 'measure-resistance');
      const reading = read.get(connector.id);
      const place = measuring ? spanOfMention(measuring, connector.id) : reading?.connector.span;
      if (!place) continue;
      yield {
        at: place,
        connector: connector.id,
        message: say`${connector.id} is measured, but neither the plan nor a list states its contact resistance limit, so the reading decides nothing. State the vehicle maker's as \`resistance: { limit: … }\`, and its \`source\`.`,
        trace: [{ at: connector.span, message: say`${connector.id} is described here` }],
      };
    }
    const { vehicle } = plan;
    if (!vehicle) return;
    // A battery that is out of the vehicle does not go into the booth.
    const bake = bakesOfVehicle(plan).find((operation) => !isVehicleFactMet(plan, 'battery-out', operation));
    const bakeStated = ['temperature', 'time'].some((key) => vehicle.node.get('bake-limit')?.entry(key));
    if (bake && !bakeStated) {
      yield {
        at: vehicle.span,
        operation: bake.id,
        message: say`${named(bake)} heats a vehicle with a traction battery, and nobody states the temperature and time that the battery may be exposed to. State the vehicle maker's as \`bake-limit: { temperature: …, time: …, source: … }\`.`,
        trace: [traceAt(bake, say`${named(bake)} happens here`)],
      };
    }
    const isolation = plan.operationsDoing('isolate')[0] ?? stepsAtIsolating(plan, 'disconnect')[0];
    if (isolation && !vehicle.node.entry('discharge-wait')) {
      yield {
        at: vehicle.span,
        operation: isolation.id,
        message: say`${named(isolation)} leaves the capacitors charged, and no waiting time from the vehicle maker is stated, so no wait can be checked. State it as \`discharge-wait: …\`.`,
        trace: [traceAt(isolation, say`${named(isolation)} happens here`)],
      };
    }
    // Without any voltage no glove class and no meter is compared with anything.
    const rated = vehicle.node.entry('system-voltage')
      ? undefined
      : ratedWork(plan).find((operation) => voltageMet(plan, operation) === undefined);
    if (rated) {
      yield {
        at: vehicle.span,
        operation: rated.id,
        message: say`${named(rated)} meets the traction voltage, and nobody states that voltage, so neither gloves nor meter can be checked. State the vehicle maker's as \`system-voltage: …\`.`,
        trace: [traceAt(rated, say`${named(rated)} happens here`)],
      };
    }
    const restraint = restraintWork(plan)[0]?.operations.find(({ taskId }) => needsRestraintSafe.has(taskId));
    if (restraint && !vehicle.node.entry('restraint-wait')) {
      yield {
        at: vehicle.span,
        operation: restraint.id,
        message: say`${named(restraint)} works on a restraint connector, and nobody states how long to wait after the 12 V battery is disconnected, so no wait can be checked. State the vehicle maker's time as \`restraint-wait: …\`.`,
        trace: [traceAt(restraint, say`${named(restraint)} happens here`)],
      };
    }
  },
};

const restraintWork = historiesWhere(
  ({ connector, unsure, operations }) =>
    !unsure && hasIgniter(connector) && operations.some(({ taskId }) => needsRestraintSafe.has(taskId)),
);

/** Steps that name gloves or a meter. */
const ratedWork = operationsWhere(
  ({ step: { node } }) => node.entry('glove-class') !== undefined || node.entry('meter-rating') !== undefined,
);
