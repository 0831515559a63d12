import { standards } from '../../../base/standards.ts';
import type { Span } from '../../../text/span.ts';
import { andList, say } from '../../../language/phrase.ts';
import type { Phrase } from '../../../language/phrase.ts';
import { isTractionDriven, voltageKind } from '../../../plan/high-voltage.ts';
import type { ReportedSeverity } from '../../../plan/snapshot.ts';
import type { ConnectorClass } from '../../../plan/tables/classes.ts';
import { stepQuantity } from '../../../plan/operations.ts';
import type { Plan } from '../../../plan/plan.ts';
import { effects } from '../../../plan/tables/effects.ts';
import { builtInTasks, hazardWords } from '../../../plan/tables/tasks.ts';
import { highVoltageAbove, highVoltageUpTo } from '../../../plan/tables/electrical-safety.ts';
import { effectiveReadings } from '../../../sequence/readings.ts';
import type { FindingRule, Trace } from '../../finding.ts';
import { plansOnly } from '../../finding.ts';
import { named, spanOfMention, valueSpan } from '../../support/words.ts';

/** °C. Repair paint is baked far below: bound of plausibility, an assumption; the range of 60 to 80 °C is common practice, no source. */
const hottestBake = 120;
/** s. Vehicle makers' waits for capacitors and airbag control units run from one minute up: bound of plausibility, an assumption (from memory). */
const shortestWait = 30;
const zeroCelsius = 273.15;

export const valueImplausible: FindingRule = {
  id: 'value-implausible',
  title: say`A value that cannot be right`,
  severity: 'warning',
  means: say`A value contradicts another one of the plan or what the thing can be: a traction voltage that is no high voltage, a high-voltage connector that carries none or another one that does (an error), a limit below the resistance of a new connector, a steady current above the peak, a reading far below a new connector, a wait of seconds for capacitors or airbags, a bake hotter than paint is baked, a bake without a duration; or a row of the rate sheet takes hazards away from a built-in task, or lets a task that proves or makes nothing count as a proof (an error).`,
  why: say`A slipped unit or a swapped figure makes every check that rests on it silent or wrong.`,
  whatToDo: say`Look the value up again, with its unit.`,
  source: say`The plan's own figures; ${standards.r100} (high voltage: above 60 V DC or 30 V AC, up to 1,500 V DC or 1,000 V AC). That a reading below half of a new connector's, a wait below 30 s and a bake above 120 °C are slips is an assumption.`,
  kinds: plansOnly,
  ground: 'readings',
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

interface Implausible {
  readonly at: Span;
  readonly message: Phrase;
  readonly trace?: readonly Trace[];
  readonly connector?: string;
  readonly operation?: string;
  readonly severity?: ReportedSeverity;
}

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
  yield* readings(plan);
  yield* bakes(plan);
  yield* claims(plan);
  yield* withheld(plan);
}

/** Rows of the shop's that take hazards away from a built-in task: nothing that they reach is then looked at. */
function* withheld(plan: Plan): Generator<Implausible> {
  for (const task of plan.scope.tasks.values()) {
    const lacking = (builtInTasks.get(task.id)?.raises ?? []).filter(
      (hazard) => !task.raises.includes(hazard),
    );
    const [step] = lacking.length === 0 ? [] : plan.operationsDoing(task.id);
    if (!step) continue;
    yield {
      at: step.span,
      operation: step.id,
      message: say`The rate sheet takes ${andList(lacking.map((hazard) => hazardWords[hazard]))} away from ${named(step)}, so no connector that they reach is looked at. Write them under \`raises\` of ${task.id}, or give the milder work a task of its own.`,
    };
  }
}

/** Tasks that do nothing of what is to be certain, and a proof that is none: a row of the shop's lets them make it all the same. */
function* claims(plan: Plan): Generator<Implausible> {
  for (const task of plan.scope.tasks.values()) {
    const builtIn = builtInTasks.get(task.id);
    const claimed = task.makes.find((fact) =>
      builtIn && !makesAnything(task.id)
        ? true
        : task.id !== 'prove-dead' && (fact === 'high-voltage-dead' || fact === 'proof-fresh'),
    );
    const [step] = claimed === undefined ? [] : plan.operationsDoing(task.id);
    if (claimed === undefined || !step) continue;
    yield {
      at: step.span,
      operation: step.id,
      severity: 'error',
      message:
        claimed === 'high-voltage-dead' || claimed === 'proof-fresh'
          ? say`The rate sheet lets ${named(step)} count as a proof that the high-voltage system is dead, and only \`prove-dead\` is held to meter, gloves and place. Take \`${claimed}\` out of its \`makes\`, and prove the system dead by \`prove-dead\`.`
          : say`The rate sheet lets ${named(step)} make certain that ${effects[claimed].holds}, which that task does not do, so the step that does it is missed by nobody. Take \`${claimed}\` out of its \`makes\`, or give the work a task of its own.`,
    };
  }
}

/** Whether a task makes any fact by the table of effects. */
const makesAnything = (task: string): boolean =>
  Object.values(effects).some(({ makes }) => makes.some(({ tasks }) => tasks.includes(task)));

function* voltage(plan: Plan): Generator<Implausible> {
  const { vehicle } = plan;
  const stated = vehicle?.systemVoltage;
  if (!stated || !isTractionDriven(plan)) return;
  const kind = voltageKind(plan);
  const [least, max] = [highVoltageAbove[kind], highVoltageUpTo[kind]];
  if (stated.si <= least) {
    yield {
      at: stated.span,
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
  const { scope, uri } = plan;
  const least = highVoltageAbove[voltageKind(plan)];
  for (const connector of scope.connectors.values()) {
    const { id, current, resistance, span } = connector;
    const { asNew, limit } = resistance;
    const place = (value: { readonly span: Span }): Span =>
      value.span.origin.uri === uri ? value.span : span;
    const { voltage: stated } = connector;
    if (stated && connector.class === 'high-voltage-power' && stated.si <= least) {
      yield {
        at: place(stated),
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
        at: place(stated),
        connector: id,
        severity: 'error',
        message: say`${id} is stated with ${stated.text}, which is high voltage (UN R100: above ${least} V), and its class says otherwise, so nothing that protects from high voltage is checked at ${id}. Write \`class: high-voltage-power\`, or correct the voltage.`,
      };
    }
    if (asNew && limit && limit.si < asNew.si) {
      yield {
        at: place(limit),
        connector: id,
        message: say`The limit of ${id} is ${limit.text}, below the ${asNew.text} of a new one: even a new connector would fail. Take both from the vehicle maker's documents again.`,
        trace: [{ at: asNew.span, message: say`as new: ${asNew.text}` }],
      };
    }
    const { steady, peak } = current;
    if (steady && peak && Math.abs(steady.si) > Math.abs(peak.si)) {
      yield {
        at: place(steady),
        connector: id,
        message: say`${id} carries ${steady.text} steadily, more than its peak of ${peak.text}, so one of the two is wrong. Take both from the same source.`,
        trace: [{ at: peak.span, message: say`the peak: ${peak.text}` }],
      };
    }
  }
}

function* readings(plan: Plan): Generator<Implausible> {
  for (const { connector, value, uncertainty } of effectiveReadings(plan, 'contact-resistance')) {
    const asNew = plan.scope.connectors.get(connector.value)?.resistance.asNew;
    if (!asNew || Math.abs(value.si) + Math.abs(uncertainty?.si ?? 0) >= asNew.si / 2) continue;
    yield {
      at: value.span,
      connector: connector.value,
      message: say`The reading ${value.text} at ${connector.value} is less than half of the ${asNew.text} of a new one, which no contact reaches. Look at the unit and at how the leads were clamped, and measure again.`,
      trace: [{ at: asNew.span, message: say`as new: ${asNew.text}` }],
    };
  }
}

function* bakes(plan: Plan): Generator<Implausible> {
  for (const bake of plan.operationsDoing('bake')) {
    const temperature =
      stepQuantity(bake, 'temperature', 'panel-temperature') ??
      stepQuantity(bake, 'temperature', 'air-temperature');
    if (temperature && temperature.si - zeroCelsius > hottestBake) {
      yield {
        at: valueSpan(plan, bake, temperature),
        operation: bake.id,
        message: say`${named(bake)} is written with ${temperature.text}, hotter than repair paint is baked. Look the value up again: °F and °C are easily mixed up.`,
      };
    }
    const { node } = bake.step;
    if (!bake.time && !node.entry('hold-time') && !node.entry('time')) {
      yield {
        at: bake.span,
        operation: bake.id,
        message: say`${named(bake)} does not say how long it lasts, so nobody can tell what the traction battery sees. Write \`hold-time\`.`,
      };
    }
  }
}
