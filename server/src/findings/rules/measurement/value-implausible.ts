import { standards } from '../../../base/standards.ts';
import { say } from '../../../language/phrase.ts';
import type { Phrase } from '../../../language/phrase.ts';
import { isTractionDriven, voltageKind } from '../../../plan/high-voltage.ts';
import type { ConnectorClass } from '../../../plan/tables/classes.ts';
import { stepQuantity } from '../../../plan/operations.ts';
import { ASSUMPTIONS } from '../../../heat/assumptions.ts';
import type { Assumption } from '../../../heat/assumptions.ts';
import type { Connector } from '../../../plan/scope.ts';
import type { Quantity } from '../../../plan/read.ts';
import { operationsWhere } from '../../../plan/plan.ts';
import type { Plan } from '../../../plan/plan.ts';
import { shortestCure } from '../../../plan/tables/effects.ts';
import type { FactId } from '../../../plan/tables/effects.ts';
import { highVoltageAbove, highVoltageUpTo } from '../../../plan/tables/electrical-safety.ts';
import { effectiveReadings } from '../../../sequence/readings.ts';
import type { FindingRule } from '../../finding.ts';
import { plansOnly } from '../../finding.ts';
import { sheetClaims } from '../../support/sheet-claims.ts';
import type { Implausible } from '../../support/sheet-claims.ts';
import { actsAs, insulationTests } from '../../support/tools.ts';
import { named, spanOfMention, valueSpan } from '../../support/words.ts';

/** °C. Repair paint is baked far below: bound of plausibility, an assumption; the range of 60 to 80 °C is common practice, no source. */
const hottestBake = 120;
/** °C. Paint that dries by itself is no bake: bound of plausibility, an assumption. */
const coolestBake = 30;
/** °C. Air as warm as that heats the panel; beside lamps it stays colder: an assumption. */
const heatedBooth = 45;
/** s. No paint hardens in a booth in less: bound of plausibility, an assumption. */
const shortestBake = 60;
/** s. A bake limit above that limits nothing: bound of plausibility, an assumption. */
const longestBake = 12 * 3600;
/** °C. A traction battery in a shop before a bake: bounds of plausibility, an assumption. */
const [coldestBattery, warmestBattery] = [-40, 70];
/** s. A pack follows the air around it within hours: bound of plausibility, an assumption. */
const slowestBattery = 48 * 3600;
/** Ω. A centimetre of copper cable of 150 mm² has more (IEC 60028: 17.24 nΩ·m); so has any contact: an assumption. */
const leastContact = 1e-6;
/** A reading below this part of its limit is one in another unit: µΩ and mΩ differ by a thousand; an assumption. */
const leastPartOfLimit = 1 / 500;
/** s. Vehicle makers' waits for capacitors and airbag control units run from one minute up: bound of plausibility, an assumption (from memory). */
const shortestWait = 30;
/** A limit above so many times what a new connector has limits nothing, and is one in another unit: an assumption. */
const mostTimesNew = 20;
/** V. No vehicle is driven at less: bound of plausibility, an assumption. */
const leastTraction = 12;
/** A. No high-voltage power connector carries less in use: bound of plausibility, an assumption. */
const leastCurrent = 1;
/** °C. The highest class of cables (ISO 6722, class H; from memory); connectors stay below. */
const highestClass = 250;
/** °C. A connector under a meter in a shop: bounds of plausibility, an assumption. */
const [coldestConnector, warmestConnector] = [-40, 100];
const zeroCelsius = 273.15;
/** What goes into the heat of a connector may lie so many times beyond the range that is assumed where nothing is stated: an assumption. */
const timesAssumed = 20;
const around = ({ low, high }: Assumption): Bounds => [low / timesAssumed, high * timesAssumed];
type Bounds = readonly [least: number, most: number];
/** W. A connector that gives off more has burnt: an assumption. */
const budgetBounds: Bounds = [0, 500];
/** Bounds of plausibility, assumptions: air of −40 to 150 °C, and a cable that runs up to 150 K warmer than that; up to 300 mm². */
const heatInputs: readonly (readonly [
  key: string,
  of: (connector: Connector) => Quantity | undefined,
  bounds: Bounds,
])[] = [
  ['surroundings', ({ thermal }) => thermal.surroundings, [zeroCelsius - 40, zeroCelsius + 150]],
  ['cable-rise', ({ thermal }) => thermal['cable-rise'], [0, 150]],
  ['contact-capacity', ({ thermal }) => thermal['contact-capacity'], around(ASSUMPTIONS.contactCapacity)],
  ['body-capacity', ({ thermal }) => thermal['body-capacity'], around(ASSUMPTIONS.bodyCapacity)],
  ['contact-to-body', ({ thermal }) => thermal['contact-to-body'], around(ASSUMPTIONS.contactToBody)],
  [
    'body-to-surroundings',
    ({ thermal }) => thermal['body-to-surroundings'],
    around(ASSUMPTIONS.bodyToSurroundings),
  ],
  ['cable', ({ cable }) => cable, [0.1e-6, 300e-6]],
  ['heat-budget', ({ heatBudget }) => heatBudget, budgetBounds],
];

export const valueImplausible: FindingRule = {
  id: 'value-implausible',
  title: say`A value that cannot be right`,
  severity: 'warning',
  page: () => ({
    means: say`A value contradicts another one of the plan or what the thing can be: a traction voltage that is no high voltage (below 12 V an error), a high-voltage connector that carries none or another one that does (an error), a limit below the resistance of a new connector or far above it, a steady current above the peak or a current of milliamperes, a temperature that no connector has, heat figures far from any connector's, a reading of nothing, below nothing or far below a new connector, a wait of seconds for capacitors or airbags, an adhesive that cures in less than five minutes, a bake hotter or colder than paint is baked, of seconds or without a duration, a panel hotter than the air that heats it, a battery or a bake limit in the booth that cannot be, an insulation test above any traction voltage (an error); or a row of the rate sheet takes hazards away from a built-in task or lets them reach less far, lets a task count for what it does not do (an error), or states that metal does not conduct (an error).`,
    why: say`A slipped unit or a swapped figure makes every check that rests on it silent or wrong.`,
    whatToDo: say`Look the value up again, with its unit.`,
    source: say`The plan's own figures; ${standards.r100} (high voltage: above 60 V DC or 30 V AC, up to 1,500 V DC or 1,000 V AC). That a reading below half of a new connector's, below a five-hundredth of the limit or below 1 µΩ, a limit above twenty times as new, a current below 1 A, a traction voltage below 12 V, a connector class above 250 °C, thermal figures twenty times beyond what is assumed where nothing is stated, air around a connector below −40 °C or above 150 °C, a cable that runs more than 150 K warmer than it or has less than 0.1 mm² or more than 300 mm², a heat budget above 500 W, a connector that is measured below −40 °C or above 100 °C, a wait below 30 s, a cure below five minutes, a bake above 120 °C, below 30 °C or shorter than a minute, a panel hotter than air of 45 °C, a battery below −40 °C or above 70 °C, a time constant above 48 h and a bake limit above 120 °C or 12 h are slips is an assumption.`,
    example: {
      wrong: `vehicle: { description: Kestrel (invented), propulsion: battery-electric, system-voltage: 0.270 V }
operations:
  - { id: op10, do: consult }
`,
      right: `vehicle: { description: Kestrel (invented), propulsion: battery-electric, system-voltage: 0.270 kV }
operations:
  - { id: op10, do: consult }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'readings',
  *check({ plan }) {
    for (const { at, message, trace, connector, operation, severity } of implausible(plan)) {
      yield {
        at,
        message,
        ...(severity === undefined ? {} : { severity }),
        trace: trace ?? [],
        ...(connector === undefined ? {} : { connector }),
        ...(operation === undefined ? {} : { operation }),
      };
    }
  },
};

/** Classes whose connectors carry no high voltage. An interlock connector is handled as if it did. */
const carriesNoHighVoltage: ReadonlySet<ConnectorClass | undefined> = new Set([
  'restraint',
  'pyrotechnic',
  '48-volt',
  'sensor',
  'data',
  'low-voltage',
]);

function* implausible(plan: Plan): Generator<Implausible> {
  yield* voltage(plan);
  yield* waits(plan);
  yield* connectors(plan);
  yield* heat(plan);
  yield* readings(plan);
  yield* bakes(plan);
  yield* batteryInTheBooth(plan);
  yield* testVoltages(plan);
  yield* cures(plan);
  yield* noWaits(plan);
  yield* sheetClaims(plan);
}

function* voltage(plan: Plan): Generator<Implausible> {
  const { vehicle } = plan;
  const stated = vehicle?.systemVoltage;
  if (!stated) return;
  const kind = voltageKind(plan);
  const [least, max] = [highVoltageAbove[kind], highVoltageUpTo[kind]];
  if (stated.si <= least && isTractionDriven(plan)) {
    yield {
      at: stated.span,
      ...(stated.si < leastTraction ? { severity: 'error' } : {}),
      message: say`The system voltage of ${stated.text} is no high voltage (UN R100: above ${least} V), so nothing that protects from high voltage is checked. Look it up again: V and kV are easily mixed up.`,
    };
  } else if (stated.si > max) {
    yield {
      at: stated.span,
      message: say`The system voltage of ${stated.text} is above what UN R100 knows in a road vehicle (${max} V). Look it up again, with its unit.`,
    };
  }
}

function* waits({ vehicle }: Plan): Generator<Implausible> {
  for (const stated of [vehicle?.dischargeWait, vehicle?.restraintWait]) {
    if (!stated || stated.si >= shortestWait) continue;
    yield {
      at: stated.span,
      message: say`A wait of ${stated.text} is far shorter than vehicle makers specify, and capacitors that are still charged kill or fire an airbag. Look it up again: s and min are easily mixed up.`,
    };
  }
}

function* connectors(plan: Plan): Generator<Implausible> {
  const { scope } = plan;
  const least = highVoltageAbove[voltageKind(plan)];
  for (const connector of scope.connectors.values()) {
    const { id, current, resistance, temperatureClass } = connector;
    const { asNew, limit } = resistance;
    const { voltage: stated } = connector;
    if (stated && connector.class === 'high-voltage-power' && stated.si <= least) {
      yield {
        at: valueSpan(plan, connector, stated),
        connector: id,
        message: say`${id} is a high-voltage connector by its class, and its ${stated.text} are no high voltage (UN R100: above ${least} V), so nothing that protects from high voltage is checked at ${id}. Look the value up again; a connector that never carries more has another class.`,
      };
    }
    // Of a vehicle with a traction voltage that is said once, at that voltage.
    const system = plan.vehicle?.systemVoltage;
    const below = !stated && system !== undefined && system.si <= least && !isTractionDriven(plan);
    const handling =
      below && connector.class === 'high-voltage-power'
        ? plan.operations.find(({ connectors: handled }) => handled.some(({ value }) => value === id))
        : undefined;
    if (system && handling) {
      yield {
        at: spanOfMention(handling, id),
        connector: id,
        operation: handling.id,
        message: say`${id} is a high-voltage connector by its class, and the vehicle has ${system.text}, so nothing that protects from high voltage is checked at ${id}. Look up the vehicle again; a connector of the 48 V system has \`class: 48-volt\`.`,
        trace: [{ at: system.span, message: say`the voltage: ${system.text}` }],
      };
    }
    if (stated && carriesNoHighVoltage.has(connector.class) && stated.si > least) {
      yield {
        at: valueSpan(plan, connector, stated),
        connector: id,
        severity: 'error',
        message: say`${id} is stated with ${stated.text}, which is high voltage (UN R100: above ${least} V), and its class says otherwise, so nothing that protects from high voltage is checked at ${id}. Write \`class: high-voltage-power\`, or correct the voltage.`,
      };
    }
    if (asNew && limit && limit.si < asNew.si) {
      yield {
        at: valueSpan(plan, connector, limit),
        connector: id,
        message: say`The limit of ${id} is ${limit.text}, below the ${asNew.text} of a new one: even a new connector would fail. Take both from the vehicle maker's documents again.`,
        trace: [{ at: asNew.span, message: say`as new: ${asNew.text}` }],
      };
    }
    if (asNew && limit && asNew.si > 0 && limit.si > mostTimesNew * asNew.si) {
      yield {
        at: valueSpan(plan, connector, limit),
        connector: id,
        message: say`The limit of ${id} is ${limit.text}, more than ${mostTimesNew} times the ${asNew.text} of a new one, so a contact that burns is within it. Look the value up again: mΩ and Ω are easily mixed up.`,
        trace: [{ at: asNew.span, message: say`as new: ${asNew.text}` }],
      };
    }
    if (temperatureClass && temperatureClass.si - zeroCelsius > highestClass) {
      yield {
        at: valueSpan(plan, connector, temperatureClass),
        connector: id,
        message: say`No connector of a vehicle is rated for ${temperatureClass.text}, so ${id} is never found too hot. Look the value up again, with its unit.`,
      };
    }
    const { steady, peak } = current;
    const faint =
      connector.class === 'high-voltage-power'
        ? [steady, peak].find((stated) => stated && Math.abs(stated.si) < leastCurrent)
        : undefined;
    if (faint) {
      yield {
        at: valueSpan(plan, connector, faint),
        connector: id,
        message: say`${id} is stated with ${faint.text}, too little for a high-voltage power connector, so any contact seems cool. Look the value up again: mA and A are easily mixed up.`,
      };
    }
    if (steady && peak && Math.abs(steady.si) > Math.abs(peak.si)) {
      yield {
        at: valueSpan(plan, connector, steady),
        connector: id,
        message: say`${id} carries ${steady.text} steadily, more than its peak of ${peak.text}, so one of the two is wrong. Take both from the same source.`,
        trace: [{ at: peak.span, message: say`the peak: ${peak.text}` }],
      };
    }
  }
}

/** What the heat of a connector is estimated from: a slip of the unit there makes any contact seem cool. */
function* heat(plan: Plan): Generator<Implausible> {
  const { scope, heatBudget } = plan;
  for (const connector of scope.connectors.values()) {
    const { id } = connector;
    for (const [key, of, bounds] of heatInputs) {
      const value = of(connector);
      if (value && isOutside(value, bounds))
        yield { at: valueSpan(plan, connector, value), connector: id, message: farFromAny(key, id, value) };
    }
  }
  if (heatBudget && isOutside(heatBudget, budgetBounds)) {
    const number = String(plan.section('plan')?.value ?? 'plan');
    yield { at: heatBudget.span, message: farFromAny('heat-budget', number, heatBudget) };
  }
}

const isOutside = ({ si }: Quantity, [least, most]: Bounds): boolean => si < least || si > most;

const farFromAny = (key: string, owner: string, { text }: Quantity): Phrase =>
  say`\`${key}\` of ${owner} is ${text}, far from what a connector of a vehicle has, so a contact that burns may seem cool. Look the value up again, with its unit.`;

function* readings(plan: Plan): Generator<Implausible> {
  for (const { connector, value, uncertainty, at: temperature } of effectiveReadings(
    plan,
    'contact-resistance',
  )) {
    const celsius = temperature && temperature.si - zeroCelsius;
    if (celsius !== undefined && (celsius < coldestConnector || celsius > warmestConnector)) {
      yield {
        at: temperature!.span,
        connector: connector.value,
        message: say`Nobody measures a connector at ${temperature!.text}, and the reading at ${connector.value} is converted from there. Look the value up again, with its unit.`,
      };
    }
    const { asNew, limit } = plan.scope.connectors.get(connector.value)?.resistance ?? {};
    const read = Math.abs(value.si) + Math.abs(uncertainty?.si ?? 0);
    if (value.si === 0) {
      yield {
        at: value.span,
        connector: connector.value,
        message: say`The reading ${value.text} at ${connector.value} is none: no contact is without resistance, so the leads were shorted, or nobody took it. Measure again.`,
      };
    } else if (asNew && read < asNew.si / 2) {
      yield {
        at: value.span,
        connector: connector.value,
        message: say`The reading ${value.text} at ${connector.value} is less than half of the ${asNew.text} of a new one, which no contact reaches. Look at the unit and at how the leads were clamped, and measure again.`,
        trace: [{ at: asNew.span, message: say`as new: ${asNew.text}` }],
      };
    } else if (!asNew && read < Math.max(leastContact, (limit?.si ?? 0) * leastPartOfLimit)) {
      yield {
        at: value.span,
        connector: connector.value,
        message: say`The reading ${value.text} at ${connector.value} is smaller than any contact's. Look at the unit (µΩ and mΩ are easily mixed up) and at how the leads were clamped, and measure again.`,
        trace: limit ? [{ at: limit.span, message: say`the limit: ${limit.text}` }] : [],
      };
    }
  }
  for (const kind of ['contact-resistance', 'bonding'] as const)
    for (const { connector, value } of effectiveReadings(plan, kind))
      if (value.si < 0) {
        yield {
          at: value.span,
          connector: connector.value,
          message: say`The reading ${value.text} at ${connector.value} is negative, and so below every limit: the leads are swapped, or the meter is not zeroed. Measure again.`,
        };
      }
  // A meter that resolves no milliohms shows 0.00 Ω at a good earth; its resolution is then the uncertainty.
  for (const { connector, value, uncertainty } of effectiveReadings(plan, 'bonding'))
    if (value.si === 0 && (uncertainty?.si ?? 0) === 0) {
      yield {
        at: value.span,
        connector: connector.value,
        message: say`The bonding reading ${value.text} at ${connector.value} proves nothing: the leads were shorted, nobody took it, or the meter resolves too little. Measure again, or write what the meter resolves as its \`uncertainty\`.`,
      };
    }
}

function* bakes(plan: Plan): Generator<Implausible> {
  for (const bake of plan.operationsDoing('bake')) {
    for (const key of ['panel-temperature', 'air-temperature'] as const) {
      const temperature = stepQuantity(bake, 'temperature', key);
      if (!temperature) continue;
      const at = { at: valueSpan(plan, bake, temperature), operation: bake.id };
      if (temperature.si - zeroCelsius > hottestBake) {
        yield {
          ...at,
          message: say`${named(bake)} is written with ${temperature.text}, hotter than repair paint is baked. Look the value up again: °F and °C are easily mixed up.`,
        };
      } else if (temperature.si - zeroCelsius < coolestBake) {
        yield {
          ...at,
          message: say`${named(bake)} is written with ${temperature.text}, colder than paint is baked, so the battery may get more heat than is checked. Look the value up again: °F and °C are easily mixed up.`,
        };
      }
    }
    const [air, panel] = [
      stepQuantity(bake, 'temperature', 'air-temperature'),
      stepQuantity(bake, 'temperature', 'panel-temperature'),
    ];
    if (air && panel && panel.si > air.si && air.si - zeroCelsius >= heatedBooth) {
      yield {
        at: valueSpan(plan, bake, panel),
        operation: bake.id,
        message: say`${named(bake)} is written with a panel of ${panel.text} in air of ${air.text}, and air heats no panel above its own temperature. Look whether the two are swapped: what heats the battery is the air.`,
      };
    }
    const stay = stepQuantity(bake, 'time', 'hold-time') ?? bake.time;
    if (stay && stay.si < shortestBake) {
      yield {
        at: valueSpan(plan, bake, stay),
        operation: bake.id,
        message: say`${named(bake)} lasts ${stay.text}, and no paint hardens in that time, so nobody can tell what the traction battery sees. Look the value up again: s, min and h are easily mixed up.`,
      };
    }
    const { node } = bake.step;
    if (!bake.offVehicle && !bake.time && !node.entry('hold-time') && !node.entry('time')) {
      yield {
        at: bake.span,
        operation: bake.id,
        message: say`${named(bake)} does not say how long it lasts, so nobody can tell what the traction battery sees. Write \`hold-time\`.`,
      };
    }
  }
}

/** What the plan says of the battery in the booth: a slip there lets every bake pass. */
function* batteryInTheBooth({ vehicle }: Plan): Generator<Implausible> {
  const { batteryTemperature, batteryTimeConstant, bakeLimit: { temperature, time } = {} } = vehicle ?? {};
  const celsius = batteryTemperature && batteryTemperature.si - zeroCelsius;
  if (celsius !== undefined && (celsius < coldestBattery || celsius > warmestBattery)) {
    yield {
      at: batteryTemperature!.span,
      message: say`No traction battery in a shop has ${batteryTemperature!.text}, and every estimate of a bake starts there. Look the value up again, with its unit.`,
    };
  }
  if (batteryTimeConstant && batteryTimeConstant.si > slowestBattery) {
    yield {
      at: batteryTimeConstant.span,
      message: say`With a time constant of ${batteryTimeConstant.text} no bake ever warms the battery. Look the value up again: min, h and d are easily mixed up.`,
    };
  }
  if (temperature && temperature.si - zeroCelsius > hottestBake) {
    yield {
      at: temperature.span,
      message: say`The bake limit of ${temperature.text} is hotter than repair paint is baked, so no bake is ever above it. Look the value up again: °F and °C are easily mixed up.`,
    };
  }
  if (time && time.si > longestBake) {
    yield {
      at: time.span,
      message: say`The bake limit of ${time.text} is longer than any bake, so no bake is ever above it. Look the value up again: min and h are easily mixed up.`,
    };
  }
}

/** Voltages of insulation tests that no vehicle bears. */
function* testVoltages(plan: Plan): Generator<Implausible> {
  const most = highVoltageUpTo.direct;
  for (const step of insulationTests(plan)) {
    const voltage = stepQuantity(step, 'voltage', 'test-voltage');
    if (!voltage || voltage.si <= most) continue;
    yield {
      at: valueSpan(plan, step, voltage),
      operation: step.id,
      severity: 'error',
      message: say`${named(step)} tests with ${voltage.text}, above what UN R100 knows in a road vehicle (${most} V): it breaks the insulation down and flashes over at the probes. Look the value up again: V and kV are easily mixed up.`,
    };
  }
}

const curing = operationsWhere(actsAs('cure', 'adhesive-cured'));

/** Waits of no time. Where the vehicle maker's wait is stated, the findings about it tell of them. */
function* noWaits(plan: Plan): Generator<Implausible> {
  const { dischargeWait, restraintWait } = plan.vehicle ?? {};
  for (const step of waiting(plan)) {
    const { time, task, taskId } = step;
    if (!time || time.si > 0) continue;
    const isTold = (fact: FactId): boolean =>
      fact === 'restraint-safe'
        ? restraintWait !== undefined
        : fact !== 'discharged' && dischargeWait !== undefined;
    const claimed = taskId === 'wait' ? (['waited', 'restraint-safe'] as const) : task!.makes;
    if (claimed.some((fact) => waitFacts.includes(fact) && isTold(fact))) continue;
    yield {
      at: valueSpan(plan, step, time),
      operation: step.id,
      severity: 'error',
      message: say`${named(step)} lasts ${time.text}, and in no time nothing discharges: what follows may meet charged capacitors or an airbag that can still fire. Write the vehicle maker's time.`,
    };
  }
}

const waitFacts: readonly FactId[] = ['waited', '48v-discharged', 'restraint-safe', 'discharged'];
const waiting = operationsWhere(actsAs('wait', ...waitFacts));

/** Adhesives that cure in no time. */
function* cures(plan: Plan): Generator<Implausible> {
  for (const step of curing(plan)) {
    const { time } = step;
    if (!time || time.si <= 0 || time.si >= shortestCure) continue;
    yield {
      at: valueSpan(plan, step, time),
      operation: step.id,
      message: say`${named(step)} lasts ${time.text}, and no adhesive cures in that time. Look the value up in the data sheet of the adhesive: s, min and h are easily mixed up.`,
    };
  }
}
