import { durationText, temperatureText } from '../../../heat/text.ts';
import { lumpedTemperature, lumpedTime } from '../../../heat/thermal.ts';
import { andList, say } from '../../../language/phrase.ts';
import { stepQuantity } from '../../../plan/operations.ts';
import type { Operation } from '../../../plan/operations.ts';
import { SnapshotPlan } from '../../../plan/plan.ts';
import type { Plan } from '../../../plan/plan.ts';
import type { Quantity } from '../../../plan/read.ts';
import type { Snapshot } from '../../../plan/snapshot.ts';
import { query } from '../../../incremental/query.ts';
import { sequenceOf } from '../../../sequence/lives.ts';
import { isVehicleFactMet } from '../../../sequence/facts/timeline.ts';
import { exceeds } from '../../support/compare.ts';
import type { FindingRule, FindingReport } from '../../finding.ts';
import { plansOnly } from '../../finding.ts';
import { bakesOfVehicle } from '../../support/tools.ts';
import { named, traceAt, valueSpan } from '../../support/words.ts';

export const bakeLimit: FindingRule = {
  id: 'bake-limit',
  title: say`A bake beyond the battery's limit`,
  severity: 'error',
  page: () => ({
    means: say`A bake keeps the vehicle in the booth longer than its bake limit allows, or may bring the traction battery above the temperature of that limit. Bakes with nothing but masking, spraying or a short \`wait\` in between count together (a warning). A battery that an earlier bake has warmed starts the next one warm (a warning), as far as no \`wait\` or night between them lets it cool. What heats the battery is the air of the booth, not the panel: air and panel temperature are different things.`,
    why: say`Heat ages a traction battery, and above its limit it may be damaged for good; then the repair has cost the customer a battery.`,
    whatToDo: say`Lower the air temperature or the time, cure the panel with lamps, or take the battery out as the vehicle maker specifies. Where the air is warmer than the limit, state \`battery-temperature\` and \`battery-time-constant\`: the battery is then estimated as one body that follows the air; without them it is assumed to reach air temperature at once.`,
    source: say`Newton's law of cooling (OpenStax Calculus) for one body with one time constant; the outside of a pack gets warmer than this. The limit is the vehicle maker's: there is no public one and no built-in one.`,
    example: {
      wrong: `vehicle: { description: Kestrel (invented), propulsion: battery-electric, bake-limit: { temperature: 60 °C, time: 30 min } }
operations:
  - { id: op50, do: bake, zone: roof, air-temperature: 60 °C, hold-time: 45 min }
`,
      right: `vehicle: { description: Kestrel (invented), propulsion: battery-electric, bake-limit: { temperature: 60 °C, time: 30 min } }
operations:
  - { id: op50, do: bake, zone: roof, air-temperature: 60 °C, hold-time: 30 min }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'safety',
  *check({ plan }) {
    for (const operation of bakesOfVehicle(plan)) {
      // A battery that is out of the vehicle does not go into the booth.
      if (isVehicleFactMet(plan, 'battery-out', operation)) continue;
      const stay = stayOf(operation);
      yield* tooLong(plan, operation, stay);
      const hot = [...tooHot(plan, operation, stay)];
      yield* hot;
      if (hot.length === 0) yield* tooLongInARow(plan, operation, stay);
    }
  },
};

const stayOf = (bake: Operation): Quantity | undefined =>
  longest(bake.time, stepQuantity(bake, 'time', 'hold-time'));

const longest = (...times: (Quantity | undefined)[]): Quantity | undefined =>
  times.flatMap((time) => time ?? []).sort((a, b) => b.si - a.si)[0];

function* tooLong(plan: Plan, operation: Operation, stay: Quantity | undefined): Generator<FindingReport> {
  const limit = plan.vehicle?.bakeLimit.time;
  if (!limit || !stay || !exceeds(stay.si, limit.si)) return;
  yield {
    at: valueSpan(plan, operation, stay),
    operation: operation.id,
    message: say`${named(operation)} keeps the vehicle in the booth for ${stay.text}, longer than the ${limit.text} of its bake limit. Shorten it, or take the battery out as the vehicle maker specifies.`,
    trace: [{ at: limit.span, message: say`the longest stay in the booth: ${limit.text}` }],
  };
}

/** Bakes in a row that are within the limit one by one. Between two of them the vehicle stays in the booth, and in its warmth. */
function* tooLongInARow(
  plan: Plan,
  operation: Operation,
  stay: Quantity | undefined,
): Generator<FindingReport> {
  const limit = plan.vehicle?.bakeLimit.time;
  if (!limit || !stay || exceeds(stay.si, limit.si)) return;
  const row = rowsIn(plan.reading).get(operation);
  // Told at the first bake that is too much.
  if (!row || !exceeds(row.lasted + stay.si, limit.si) || exceeds(row.lasted, limit.si)) return;
  yield {
    at: valueSpan(plan, operation, stay),
    operation: operation.id,
    severity: 'warning',
    message: say`Nothing between ${row.first.id} and ${named(operation)} lets the battery cool, and together they last ${durationText(row.lasted + stay.si)}, longer than the ${limit.text} of its bake limit. Let it cool, and write the pause as a \`wait\` with its \`time\`.`,
    trace: [{ at: limit.span, message: say`the longest stay in the booth: ${limit.text}` }],
  };
}

/** The bakes just before one, from the first to the last of which the vehicle has stayed in the booth. */
interface Row {
  readonly first: Operation;
  /** How long they last together. Unit: s. */
  readonly lasted: number;
}

/** What goes before each bake that has others just before it. */
const rowsIn = query((reading: Snapshot): ReadonlyMap<Operation, Row> => {
  const plan = new SnapshotPlan(reading);
  const { order } = sequenceOf(plan);
  const byOrder = (a: Operation, b: Operation): number => order.compare(a, b);
  const bakes = [...bakesOfVehicle(plan)].sort(byOrder);
  const rows = new Map<Operation, Row>();
  if (bakes.length < 2) return rows;
  const steps = [...plan.operations].sort(byOrder);
  for (const [i, bake] of bakes.entries()) {
    let at = i - 1;
    while (at >= 0 && !order.before(bakes[at]!, bake)) at--;
    const earlier = bakes[at];
    const stay = earlier && stayOf(earlier);
    if (!stay || isVehicleFactMet(plan, 'battery-out', earlier) || !isSameStay(earlier, bake, stay)) continue;
    const row = rows.get(earlier);
    rows.set(bake, { first: row?.first ?? earlier, lasted: (row?.lasted ?? 0) + stay.si });
  }
  return rows;

  /** Whether the vehicle has certainly stayed in the booth from one bake to the next, but for pauses shorter than the first. */
  function isSameStay(earlier: Operation, bake: Operation, stay: Quantity): boolean {
    const between = order
      .candidatesBetween(steps, earlier, bake)
      .filter(
        (step) =>
          step !== earlier && step !== bake && !order.before(step, earlier) && !order.before(bake, step),
      );
    if (between.some(({ taskId }) => !inTheBooth.has(taskId))) return false;
    // A wait that may run while the booth is hot cools nothing.
    const pause = between
      .filter((step) => step.taskId === 'wait' && order.before(earlier, step) && order.before(step, bake))
      .reduce((sum, { time }) => sum + (time?.si ?? 0), 0);
    return pause < stay.si;
  }
});

/** Work that is done in the booth. */
const inTheBooth: ReadonlySet<string> = new Set(['mask', 'unmask', 'prime', 'paint', 'wait']);

/** What an earlier bake leaves of its warmth, and which bake that is. */
interface Warmed {
  readonly by: Operation;
  /** K. */
  readonly start: number;
}

/** The temperature of the battery when each bake starts that certainly follows another one, with the waits between them to cool. */
const warmedIn = query((reading: Snapshot): ReadonlyMap<Operation, Warmed> => {
  const plan = new SnapshotPlan(reading);
  const { order } = sequenceOf(plan);
  const { batteryTemperature: cool, batteryTimeConstant: constant } = plan.vehicle ?? {};
  const warmed = new Map<Operation, Warmed>();
  if (!cool || !constant || constant.si <= 0) return warmed;
  const bakes = [...bakesOfVehicle(plan)].sort((a, b) => order.compare(a, b));
  const waits = plan.operationsDoing('wait');
  const nights = plan.operationsDoing('end-of-shift');
  for (const [i, by] of bakes.entries()) {
    const next = bakes[i + 1];
    const [air, stay] = [stepQuantity(by, 'temperature', 'air-temperature'), stayOf(by)];
    if (!next || !air || !stay || !order.before(by, next)) continue;
    const between = (step: Operation): boolean => order.before(by, step) && order.before(step, next);
    if (nights.some(between)) continue;
    const pause = waits.filter(between).reduce((sum, { time }) => sum + (time?.si ?? 0), 0);
    const hot = lumpedTemperature(warmed.get(by)?.start ?? cool.si, air.si, constant.si, stay.si);
    warmed.set(next, { by, start: lumpedTemperature(hot, cool.si, constant.si, pause) });
  }
  return warmed;
});

function* tooHot(plan: Plan, operation: Operation, stay: Quantity | undefined): Generator<FindingReport> {
  const {
    bakeLimit: { temperature: limit } = {},
    batteryTemperature,
    batteryTimeConstant,
  } = plan.vehicle ?? {};
  if (!limit) return;
  const trace = [{ at: limit.span, message: say`the highest battery temperature: ${limit.text}` }];
  const air = stepQuantity(operation, 'temperature', 'air-temperature');
  if (!air) {
    // An unreadable temperature has its own finding.
    if (operation.step.node.entry('air-temperature')) return;
    yield {
      at: operation.span,
      operation: operation.id,
      severity: 'warning',
      message: say`${named(operation)} does not state its air temperature, so it cannot be compared with the ${limit.text} of the bake limit: what heats the battery is the air, not the panel. Write \`air-temperature\`.`,
      trace,
    };
    return;
  }
  if (!exceeds(air.si, limit.si)) return;
  const place = valueSpan(plan, operation, air);
  if (batteryTemperature && batteryTimeConstant && batteryTimeConstant.si > 0 && stay) {
    const start = batteryTemperature.si;
    const core = lumpedTemperature(start, air.si, batteryTimeConstant.si, stay.si);
    if (!exceeds(core, limit.si)) {
      const earlier = warmedIn(plan.reading).get(operation);
      const warm = earlier && lumpedTemperature(earlier.start, air.si, batteryTimeConstant.si, stay.si);
      if (!earlier || !exceeds(warm!, limit.si)) return;
      yield {
        at: place,
        operation: operation.id,
        severity: 'warning',
        message: say`By calculation, ${named(operation)} brings the battery to ${temperatureText(warm!)}, above the ${limit.text} of its bake limit: ${named(earlier.by)} has warmed it before, and it does not cool enough in between. Let it cool, and write the pause as a \`wait\` with its \`time\`.`,
        trace: [
          ...trace,
          traceAt(
            earlier.by,
            say`${named(earlier.by)}: the battery is still at ${temperatureText(earlier.start)} when ${operation.id} starts`,
          ),
        ],
      };
      return;
    }
    const passed = lumpedTime(start, air.si, batteryTimeConstant.si, limit.si);
    yield {
      at: place,
      operation: operation.id,
      message: say`By calculation, ${named(operation)} in air of ${air.text} brings the battery to ${temperatureText(core)} within ${durationText(stay.si)}, above the ${limit.text} of its bake limit. Lower the air temperature or the time.`,
      trace: [
        ...trace,
        { at: batteryTemperature.span, message: say`it starts at ${batteryTemperature.text}` },
        {
          at: batteryTimeConstant.span,
          message: say`it follows the air with a time constant of ${batteryTimeConstant.text}`,
        },
        ...(passed === undefined
          ? []
          : [
              {
                at: place,
                message: say`by the same calculation it passes ${limit.text} after ${durationText(passed)}`,
              },
            ]),
      ],
    };
    return;
  }
  const lacking = [
    ...(batteryTemperature ? [] : ['`battery-temperature`']),
    ...(batteryTimeConstant ? [] : ['`battery-time-constant`']),
    ...(stay ? [] : ['`hold-time`']),
  ];
  yield {
    at: place,
    operation: operation.id,
    severity: 'warning',
    message: say`${named(operation)} heats the air to ${air.text}, above the ${limit.text} of the bake limit; the battery is assumed to follow it at once. Lower the air temperature, or state ${andList(lacking)} for an estimate.`,
    trace,
  };
}
