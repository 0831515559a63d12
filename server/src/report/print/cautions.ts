import { own } from '../../base/collections.ts';
import { distanceOf, hasToolAtBattery } from '../../findings/support/battery.ts';
import { isOwnTask } from '../../findings/support/tools.ts';
import { isBesideFuel, isInFuelZone } from '../../findings/support/fuel.ts';
import { carriesGas } from '../../plan/gas.ts';
import { slot } from '../../incremental/memo.ts';
import { joined, andList, say } from '../../language/phrase.ts';
import type { Phrase, Value } from '../../language/phrase.ts';
import type { Operation } from '../../plan/operations.ts';
import type { Plan } from '../../plan/plan.ts';
import {
  cutsLines,
  glovedOnIsolating,
  heatsLines,
  mayCarryIgniters,
  mayHitIgniters,
  mayOpenInflators,
  movesTheVehicle,
  nearCables,
  needs48VOff,
  needsDead,
  needsDeadOnTheVehicle,
  needsDeadWhileOpen,
  needsGloves,
  needsRestraintSafe,
  sparksAtFuel,
  sparksFly,
} from '../../plan/tables/needs.ts';
import { hasIgniter } from '../../plan/tables/classes.ts';
import { isolates, mayHaveHighVoltage } from '../../plan/high-voltage.ts';
import { fluidsOfTask } from '../../plan/tables/effects.ts';
import { fuels, isFuel, isUnderPressure, underPressure } from '../../plan/tables/fluids.ts';
import type { Medium } from '../../plan/tables/fluids.ts';
import { builtInTasks, contaminating } from '../../plan/tables/tasks.ts';
import type { Hazard } from '../../plan/tables/tasks.ts';
import { sequenceOf } from '../../sequence/lives.ts';
import { unbroken } from './html.ts';
import type { Sign } from './page.ts';

/** A sentence that belongs beside a step. Common practice, no source; the vehicle maker's procedure goes first. */
export interface Caution {
  readonly sign: Sign;
  readonly text: Phrase;
}

/** Work at an open contact. */
const bares: ReadonlySet<string> = new Set(['disconnect', 'cover', 'uncover', 'clean', 'reconnect']);

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

/** Steps at which no lock may be left on the high-voltage system: the gates, but for the handing over. */
const powersUp: ReadonlySet<string> = new Set(
  [...builtInTasks.values()].flatMap(({ id, gate }) => (gate && id !== 'deliver' ? [id] : [])),
);

/**
 * What the technician must read before a step, from what the step does, what it handles and what is open near it.
 * @param show how a name or a value of the plan is written
 */
export function cautionsFor(
  plan: Plan,
  operation: Operation,
  show: (id: string) => Value = unbroken,
): Caution[] {
  const list = (ids: readonly string[]): Phrase => andList(ids.map(show));
  const { taskId, connectors, task, offVehicle } = operation;
  if (offVehicle) {
    const text = say`Only at a part that is off the vehicle, with no airbag, pretensioner, battery or fuel left in it or beside it. On the vehicle, other precautions apply.`;
    return [{ sign: 'general', text }];
  }
  const cautions: Caution[] = [];
  const of = (...classes: readonly string[]): string[] =>
    connectors.flatMap(({ value }) => {
      const found = plan.scope.connectors.get(value)?.class;
      return found && classes.includes(found) ? [value] : [];
    });
  const orange = of('high-voltage-power', 'interlock');
  // Nobody but the shop knows what a task of its own does to a connector.
  const isOwn = isOwnTask(operation);
  // A service plug is opened before anything can be proven, and closing it makes the system live.
  const plugs = glovedOnIsolating.has(taskId) ? orange.filter((id) => isolates(plan, id)) : [];
  const proven = orange.filter((id) => !plugs.includes(id));
  if (plugs.length > 0) {
    cautions.push({
      sign: 'voltage',
      text: operation.step.node.entry('glove-class')
        ? say`${list(plugs)}: opening it is the isolation. High voltage is live here. Vehicle shut down, as the vehicle maker specifies. Qualified high-voltage technician only.`
        : say`${list(plugs)}: opening it is the isolation. High voltage is live here. Vehicle shut down, insulating gloves of the class that the vehicle maker specifies. Qualified high-voltage technician only.`,
    });
  }
  if ((needsDead.has(taskId) || needsDeadWhileOpen.has(taskId) || isOwn) && proven.length > 0) {
    cautions.push({
      sign: 'voltage',
      text: bares.has(taskId)
        ? say`High voltage: ${list(proven)}. Qualified high-voltage technician only, and only after the system has been proven dead. The half on the battery side can stay live all the same.`
        : say`High voltage: ${list(proven)}. Qualified high-voltage technician only, and only after the system has been proven dead.`,
    });
  }
  if (needsGloves.has(taskId) && mayHaveHighVoltage(plan)) {
    cautions.push({
      sign: 'voltage',
      text: operation.step.node.entry('glove-class')
        ? say`Live until proven dead. Qualified high-voltage technician only.`
        : say`Live until proven dead: insulating gloves of the class that the vehicle maker specifies. Qualified high-voltage technician only.`,
    });
  }
  if (taskId === 'lock-out-off') {
    cautions.push({
      sign: 'voltage',
      text: say`Only by the person who put the lock on, with everybody clear of the vehicle. From here on the high-voltage system counts as live.`,
    });
  }
  if (powersUp.has(taskId) && mayBeLocked(plan, operation)) {
    cautions.push({
      sign: 'voltage',
      text: say`Every lock taken off, each by the person who put it on? If not, stop.`,
    });
  }
  if (needsDeadOnTheVehicle.has(taskId)) {
    cautions.push({
      sign: 'voltage',
      text: say`The traction battery stays live after every proof: its contacts stay covered. Qualified high-voltage technician only.`,
    });
  }
  if (isOwn && orange.length > 0) {
    cautions.push({
      sign: 'voltage',
      text: say`High-voltage cables and connectors are replaced, not repaired, unless the vehicle maker's procedure says so.`,
    });
  }
  if (taskId === 'battery-12v-off') {
    cautions.push({
      sign: 'general',
      text: say`A charger, a jump pack or a second battery keeps the 12 V supply live: take each off, as the vehicle maker specifies.`,
    });
  }
  if (taskId === 'lower-battery') {
    cautions.push({
      sign: 'general',
      text: say`Put the battery where no spark, heat, water or weight reaches it, apart and watched, as the vehicle maker specifies.`,
    });
  }
  if (taskId === 'lower-battery' || taskId === 'raise-battery') {
    cautions.push({
      sign: 'general',
      text: say`The battery is a large part of the vehicle's weight: support both as the vehicle maker specifies, so that neither tips.`,
    });
  }
  const mild = of('48-volt');
  if ((needs48VOff.has(taskId) || isOwn) && mild.length > 0) {
    cautions.push({
      sign: 'voltage',
      text: say`48 V: ${list(mild)}. Only after the 48 V system has been isolated and the vehicle maker's waiting time is over: an arc burns, and capacitors hold their charge.`,
    });
  }
  if (taskId === 'measure-insulation') {
    cautions.push({
      sign: 'voltage',
      text: say`The tester applies hundreds of volts: nobody else touches the vehicle. Discharge the circuit afterwards, as the vehicle maker specifies.`,
    });
  }
  const restraint = of('restraint', 'pyrotechnic');
  if ((needsRestraintSafe.has(taskId) || isOwn) && restraint.length > 0) {
    cautions.push({
      sign: 'general',
      text: say`Restraint system (SRS): ${list(restraint)}. Before touching such a connector: 12 V battery disconnected and the vehicle maker's waiting time over.`,
    });
  }
  const airbags = nearIgniters(taskId) ? ignitersNear(plan, operation) : [];
  if (airbags.length > 0) {
    cautions.push({
      sign: 'general',
      text: say`Airbag or pretensioner near this work: ${list(airbags)}. Before the work starts: 12 V battery disconnected and the vehicle maker's waiting time over.`,
    });
  }
  const lines = cutsLines.has(taskId) ? linesNear(plan, operation) : [];
  if (lines.length > 0) {
    cautions.push({
      sign: 'general',
      text: say`Line near this work: ${list(lines)}. Before the first cut: refrigerant recovered by a certified person, any other line emptied or found, as the vehicle maker specifies.`,
    });
  }
  if (movesTheVehicle.has(taskId)) {
    cautions.push({
      sign: 'general',
      text: say`Nobody in, on or under the vehicle while it or its battery moves.`,
    });
  }
  if (nearCables.has(taskId) && mayHaveHighVoltage(plan)) {
    cautions.push({
      sign: 'voltage',
      text: say`High-voltage cables: locate every cable near this work before starting, with the vehicle maker's drawing.`,
    });
  }
  if (hasToolAtBattery(plan, operation)) {
    const source = distanceOf(plan, operation);
    cautions.push({
      sign: 'voltage',
      text:
        source !== undefined
          ? say`Traction battery near this work: it stays live after every proof. Keep the vehicle maker's distance (${show(source)}).`
          : plan.vehicle?.batteryZones.length === 0
            ? say`Traction battery: it stays live after every proof. Before the first cut or spark, find out where it sits, and the vehicle maker's distance from it.`
            : say`Traction battery near this work: it stays live after every proof. Get the vehicle maker's distance before the first cut or spark.`,
    });
  }
  if (ofFluid(plan, operation, 'refrigerant')) {
    cautions.push({
      sign: 'general',
      text: say`Refrigerant under pressure freezes skin and eyes: certified person only.`,
    });
  }
  if (ofFluid(plan, operation, 'coolant')) {
    cautions.push({
      sign: 'general',
      text: say`Coolant: hot and under pressure after use. Let it cool down as the vehicle maker specifies, and keep it off high-voltage (orange) parts.`,
    });
  }
  if (taskId === 'fill-refrigerant' && mayHaveHighVoltage(plan)) {
    cautions.push({
      sign: 'voltage',
      text: say`Electric compressor: only the oil that the vehicle maker specifies, from hoses that carry no other. Other oil may conduct.`,
    });
  }
  if (ofFluid(plan, operation, ...fuels) || closesFuel(plan, operation)) {
    cautions.push({
      sign: 'general',
      text: say`Fuel: no flame, spark or heater near, no pit below, fresh air, as the vehicle maker and local rules specify.`,
    });
    if (carriesGas(plan)) {
      cautions.push({
        sign: 'general',
        text: say`Gas under pressure: only by a person trained for gas vehicles, and only where local rules allow that.`,
      });
    }
  }
  if (hasStoredPressure(plan) && ofFluid(plan, operation, ...underPressure)) {
    cautions.push({
      sign: 'general',
      text: say`Stored pressure of brakes, steering or suspension: relieved as the vehicle maker specifies before the line is opened. A jet goes through skin and eyes.`,
    });
  }
  const fuel = usesSparks(taskId) ? fuelNear(plan, operation) : [];
  if (fuel.length > 0 || (usesSparks(taskId) && isInFuelZone(plan, operation))) {
    cautions.push({
      sign: 'general',
      text:
        fuel.length > 0
          ? say`Fuel near this work: ${list(fuel)}. Emptied and freed of vapour, as the vehicle maker specifies, before the first spark.`
          : say`Fuel near this work. Emptied and freed of vapour, as the vehicle maker specifies, before the first spark.`,
    });
  }
  if ((heatsLines.has(taskId) || sparksFly.has(taskId)) && isBesideFuel(plan, operation)) {
    cautions.push({
      sign: 'general',
      text: say`Fuel in a zone beside this work. The vehicle maker's least distance and shields, before the first spark.`,
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
  if (taskId === 'bake') cautions.push({ sign: 'general', text: bakeLimit(plan, show) });
  if (task?.gate) {
    cautions.push({
      sign: 'general',
      text: say`Only when every connector is closed and tested, with its cover removed.`,
    });
  }
  const covered = openDuring(plan, operation);
  if (covered.length > 0) {
    cautions.push({
      sign: 'general',
      text: say`Covers in place and undamaged? ${list(covered)}. If not, stop.`,
    });
  }
  return cautions;
}

/** Whether a lock may hang when a step powers the vehicle up, and no earlier powering since that lock has asked for it. */
function mayBeLocked(plan: Plan, step: Operation): boolean {
  const { order } = sequenceOf(plan);
  const locks = plan.operationsDoing('lock-out').filter((lock) => !order.before(step, lock));
  const asked = (earlier: Operation): boolean =>
    order.before(earlier, step) && locks.every((lock) => order.before(lock, earlier));
  return (
    locks.length > 0 &&
    ![...powersUp].some((task) => plan.operationsDoing(task).some((earlier) => asked(earlier)))
  );
}

const nearIgniters = (task: string): boolean =>
  mayCarryIgniters.has(task) || mayHitIgniters.has(task) || mayOpenInflators.has(task);

/** Whether a step works on a fuel line that was opened: a wet joint leaks, and a test of it lets fuel out. */
const closesFuel = ({ scope }: Plan, { taskId, connectors }: Operation): boolean =>
  onOpenedLines.has(taskId) && connectors.some(({ value }) => isFuel(scope.connectors.get(value)?.medium));
const onOpenedLines: ReadonlySet<string> = new Set(['uncover', 'reconnect', 'leak-test']);

/** Lines in the zones of a step. */
const near = (
  { scope }: Plan,
  { zones }: Operation,
  carries: (medium: Medium | undefined) => boolean,
): readonly string[] =>
  [...scope.connectors.values()].flatMap(({ id, class: kind, medium, zone }) =>
    kind === 'fluid-line' && carries(medium) && zone !== undefined && zones.includes(zone) ? [id] : [],
  );
/** Whether the plan names a line under stored pressure. */
const hasStoredPressure = ({ scope }: Plan): boolean =>
  [...scope.connectors.values()].some(({ medium }) => isUnderPressure(medium));
/** Refrigerant and coolant lines in the zones of a step. */
const linesNear = (plan: Plan, operation: Operation): readonly string[] =>
  near(plan, operation, (medium) => medium !== 'other' && !isFuel(medium));
const fuelNear = (plan: Plan, operation: Operation): readonly string[] => near(plan, operation, isFuel);
const usesSparks = (task: string): boolean => heatsLines.has(task) || sparksAtFuel.has(task);

/** Connectors with an igniter in the zones of a step. */
const ignitersNear = ({ scope }: Plan, { zones }: Operation): readonly string[] =>
  [...scope.connectors.values()].flatMap((connector) =>
    hasIgniter(connector) && connector.zone !== undefined && zones.includes(connector.zone)
      ? [connector.id]
      : [],
  );

/** Whether a step handles one of these fluids: fills or empties a circuit, opens a line of it or takes off a part with one. */
const ofFluid = ({ scope }: Plan, { taskId, connectors }: Operation, ...fluids: readonly Medium[]): boolean =>
  fluids.some((fluid) => {
    const media = connectors.map(({ value }) => scope.connectors.get(value)?.medium);
    return taskId === 'disconnect' || taskId === 'remove'
      ? media.includes(fluid)
      : own(fluidsOfTask, taskId)?.has(fluid) === true &&
          (media.length === 0 || media.includes(fluid) || media.includes(undefined));
  });

function bakeLimit(plan: Plan, show: (words: string) => Value): Phrase {
  const limit = plan.root?.get('vehicle')?.get('bake-limit');
  const temperature = limit?.get('temperature')?.value;
  const time = limit?.get('time')?.value;
  const source = limit?.get('source')?.value;
  if (temperature === undefined && time === undefined) {
    return say`The plan states no battery limit for the booth. Get it from the vehicle maker before heating the vehicle.`;
  }
  const stated = [
    ...(temperature === undefined ? [] : [show(temperature)]),
    ...(time === undefined ? [] : [say`for at most ${show(time)}`]),
  ];
  const limits = joined(stated, ', ');
  return source === undefined
    ? say`Battery limit in the booth: ${limits}.`
    : say`Battery limit in the booth: ${limits} (${show(source)}).`;
}

const coverLists = slot<Plan, ReadonlyMap<Operation, readonly string[]>>();

/** What spoils an open contact, and what knocks its cover off. */
const disturbing: ReadonlySet<Hazard> = new Set([...contaminating, 'knock']);

/** The connectors near a step that may be open while it spoils contacts or knocks covers off. */
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
    for (const step of sequence.reaching(connector.zone, disturbing)) {
      // Covers are still being put on.
      if (step.taskId === 'cover') continue;
      if (!open.some(({ from, to }) => order.mayFallBetween(from, step, to))) continue;
      const known = lists.get(step) ?? [];
      lists.set(step, known);
      known.push(connector.id);
    }
  }
  return lists;
}
