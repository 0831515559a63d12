import { own } from '../../base/collections.ts';
import { slot } from '../../incremental/memo.ts';
import { joined, andList, say } from '../../language/phrase.ts';
import type { Phrase } from '../../language/phrase.ts';
import type { Operation } from '../../plan/operations.ts';
import type { Plan } from '../../plan/plan.ts';
import {
  mayCarryIgniters,
  nearCables,
  needs48VOff,
  needsDead,
  needsDeadOnTheVehicle,
  needsDeadWhileOpen,
  needsRestraintSafe,
} from '../../plan/tables/needs.ts';
import { hasIgniter } from '../../plan/tables/classes.ts';
import { mayHaveHighVoltage } from '../../plan/high-voltage.ts';
import { fluidOfTask } from '../../plan/tables/effects.ts';
import { contaminating } from '../../plan/tables/tasks.ts';
import { sequenceOf } from '../../sequence/lives.ts';
import { unbroken } from './html.ts';
import type { Sign } from './page.ts';

/** A sentence that belongs beside a step. Common practice, no source; the vehicle maker's procedure goes first. */
export interface Caution {
  readonly sign: Sign;
  readonly text: Phrase;
}

/** Steps that may make the vehicle or its airbags live. */
const enlivening: ReadonlySet<string> = new Set([
  'battery-12v-on',
  'support-12v',
  'test-power',
  'power-up',
  'run-engine',
  'jump-start',
  'charge-battery',
]);

/** What the technician must read before a step, from what the step does, what it handles and what is open near it. */
export function cautionsFor(plan: Plan, operation: Operation): Caution[] {
  const { taskId, connectors, task } = operation;
  const cautions: Caution[] = [];
  const of = (...classes: readonly string[]): string[] =>
    connectors.flatMap(({ value }) => {
      const found = plan.scope.connectors.get(value)?.class;
      return found && classes.includes(found) ? [value] : [];
    });
  const orange = of('high-voltage-power', 'interlock');
  if ((needsDead.has(taskId) || needsDeadWhileOpen.has(taskId)) && orange.length > 0) {
    cautions.push({
      sign: 'voltage',
      text: say`High voltage: ${andList(orange.map(unbroken))}. Qualified high-voltage technician only, and only after the system has been proven dead.`,
    });
  }
  if (needsDeadOnTheVehicle.has(taskId)) {
    cautions.push({
      sign: 'voltage',
      text: say`The traction battery stays live after every proof: its contacts stay covered. Qualified high-voltage technician only.`,
    });
  }
  const mild = of('48-volt');
  if (needs48VOff.has(taskId) && mild.length > 0) {
    cautions.push({
      sign: 'voltage',
      text: say`48 V: ${andList(mild.map(unbroken))}. Only after the 48 V system has been isolated: an arc burns.`,
    });
  }
  if (taskId === 'measure-insulation') {
    cautions.push({
      sign: 'voltage',
      text: say`The tester applies hundreds of volts: nobody else touches the vehicle. Discharge the circuit afterwards, as the vehicle maker specifies.`,
    });
  }
  const restraint = of('restraint', 'pyrotechnic');
  if (needsRestraintSafe.has(taskId) && restraint.length > 0) {
    cautions.push({
      sign: 'general',
      text: say`Restraint system (SRS): ${andList(restraint.map(unbroken))}. Before touching such a connector: 12 V battery disconnected and the vehicle maker's waiting time over.`,
    });
  }
  const airbags = mayCarryIgniters.has(taskId) ? ignitersNear(plan, operation) : [];
  if (airbags.length > 0) {
    cautions.push({
      sign: 'general',
      text: say`Airbag or pretensioner near this work: ${andList(airbags.map(unbroken))}. Before moving any part: 12 V battery disconnected and the vehicle maker's waiting time over.`,
    });
  }
  if (nearCables.has(taskId) && mayHaveHighVoltage(plan)) {
    cautions.push({
      sign: 'voltage',
      text: say`High-voltage cables: locate every cable near this work before starting, with the vehicle maker's drawing.`,
    });
  }
  if (ofFluid(plan, operation, 'refrigerant')) {
    cautions.push({
      sign: 'general',
      text: say`Refrigerant under pressure freezes skin and eyes: certified person only.`,
    });
  }
  if (enlivening.has(taskId)) {
    cautions.push({ sign: 'general', text: say`Nobody inside, under or working on the vehicle.` });
  }
  if (taskId === 'weld' || taskId === 'braze') {
    cautions.push({
      sign: 'general',
      text: say`Batteries disconnected and electronics protected as the vehicle maker specifies for welding.`,
    });
  }
  if (taskId === 'wash') {
    cautions.push({
      sign: 'general',
      text: say`No pressure washer near high-voltage (orange) parts, open connectors or covers, unless the vehicle maker's procedure allows it there.`,
    });
  }
  if (taskId === 'bake') cautions.push({ sign: 'general', text: bakeLimit(plan) });
  if (task?.gate && taskId !== 'power-up') {
    cautions.push({
      sign: 'general',
      text: say`Only when every connector is closed and tested, with its cover removed.`,
    });
  }
  const covered = openDuring(plan, operation);
  if (covered.length > 0) {
    cautions.push({
      sign: 'general',
      text: say`Covers in place and undamaged? ${andList(covered.map(unbroken))}. If not, stop.`,
    });
  }
  return cautions;
}

/** Connectors with an igniter in the zones of a step. */
const ignitersNear = ({ scope }: Plan, { zones }: Operation): readonly string[] =>
  [...scope.connectors.values()].flatMap((connector) =>
    hasIgniter(connector) && connector.zone !== undefined && zones.includes(connector.zone)
      ? [connector.id]
      : [],
  );

/** Whether a step handles a fluid: fills or empties a circuit, or opens a line of it. */
const ofFluid = ({ scope }: Plan, { taskId, connectors }: Operation, fluid: string): boolean =>
  own(fluidOfTask, taskId) === fluid ||
  (taskId === 'disconnect' && connectors.some(({ value }) => scope.connectors.get(value)?.medium === fluid));

function bakeLimit(plan: Plan): Phrase {
  const limit = plan.root?.get('vehicle')?.get('bake-limit');
  const temperature = limit?.get('temperature')?.value;
  const time = limit?.get('time')?.value;
  const source = limit?.get('source')?.value;
  if (temperature === undefined && time === undefined) {
    return say`The plan states no battery limit for the booth. Get it from the vehicle maker before heating the vehicle.`;
  }
  const stated = [temperature, time === undefined ? undefined : say`for at most ${time}`].filter(
    (one) => one !== undefined,
  );
  const limits = joined(stated, ', ');
  return source === undefined
    ? say`Battery limit in the booth: ${limits}.`
    : say`Battery limit in the booth: ${limits} (${source}).`;
}

const coverLists = slot<Plan, ReadonlyMap<Operation, readonly string[]>>();

/** The connectors near a dirty step that may still be open while it runs. */
function openDuring(plan: Plan, operation: Operation): readonly string[] {
  let lists = coverLists.get(plan);
  if (!lists) coverLists.set(plan, (lists = listOpen(plan)));
  return lists.get(operation) ?? [];
}

function listOpen(plan: Plan): ReadonlyMap<Operation, readonly string[]> {
  const sequence = sequenceOf(plan);
  const { lives, order } = sequence;
  const lists = new Map<Operation, string[]>();
  for (const { connector, events } of lives.values()) {
    const open = events.flatMap(({ act, operation }, i) => {
      if (act !== 'disconnect') return [];
      const closed = events.slice(i).find((event) => event.act === 'reconnect');
      return [{ from: operation, to: closed?.operation }];
    });
    if (open.length === 0) continue;
    for (const dirty of sequence.reaching(connector.zone, contaminating)) {
      if (!open.some(({ from, to }) => order.mayFallBetween(from, dirty, to))) continue;
      const known = lists.get(dirty) ?? [];
      lists.set(dirty, known);
      known.push(connector.id);
    }
  }
  return lists;
}
