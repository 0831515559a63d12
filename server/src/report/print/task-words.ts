import { own } from '../../base/collections.ts';
import { deferred, inLanguage, say } from '../../language/phrase.ts';
import type { Phrase, Value } from '../../language/phrase.ts';
import type { Operation } from '../../plan/operations.ts';
import type { Plan } from '../../plan/plan.ts';
import { waitsForElse } from '../../plan/tables/tasks.ts';
import { escape, markup } from './html.ts';
import type { Markup } from './html.ts';
import { nameIn } from './words.ts';
import type { Names } from './words.ts';

/** Built-in tasks as the heading of a step. */
const titles: Names = {
  isolate: say`Isolate high voltage`,
  'lock-out': say`Lock out high voltage`,
  wait: say`Wait for capacitors to discharge`,
  'prove-dead': say`Prove dead (verify absence of voltage)`,
  'shut-down': say`Shut the vehicle down`,
  'lock-out-off': say`Take the lockout off`,
  'isolate-48v': say`Isolate the 48 V system`,
  'support-12v': say`Support the 12 V supply`,
  'support-12v-off': say`Take the charger or jump pack off`,
  'lower-battery': say`Lower the traction battery`,
  'raise-battery': say`Raise the traction battery`,
  'inspect-battery': say`Inspect the traction battery`,
  'recover-refrigerant': say`Recover refrigerant`,
  'fill-refrigerant': say`Fill refrigerant`,
  'drain-coolant': say`Drain coolant`,
  'fill-coolant': say`Fill coolant`,
  defuel: say`Empty the fuel system`,
  purge: say`Free the fuel system of vapour`,
  'relieve-pressure': say`Relieve the pressure of the lines`,
  bleed: say`Bleed the lines`,
  refuel: say`Fill fuel`,
  tow: say`Tow`,
  'align-wheels': say`Align the wheels`,
  'send-out': say`Send to another firm`,
  'take-back': say`Take back from another firm`,
  program: say`Program control units`,
  'test-power': say`Power up for a test`,
  'run-engine': say`Run the engine`,
  'jump-start': say`Jump-start`,
  'charge-battery': say`Charge the traction battery`,
  'battery-12v-off': say`Disconnect 12 V battery`,
  'battery-12v-on': say`Reconnect 12 V battery`,
  disconnect: say`Disconnect`,
  cover: say`Cover`,
  uncover: say`Uncover`,
  inspect: say`Inspect`,
  clean: say`Clean`,
  reconnect: say`Reconnect`,
  lock: say`Close lock`,
  'check-seated': say`Check fully seated`,
  'measure-resistance': say`Measure contact resistance`,
  'measure-insulation': say`Measure insulation resistance`,
  'measure-bonding': say`Measure bonding resistance`,
  'prove-interlock': say`Prove interlock loop`,
  'leak-test': say`Leak test`,
  remove: say`Remove trim and parts`,
  refit: say`Refit trim and parts`,
  cut: say`Cut`,
  drill: say`Drill`,
  grind: say`Grind`,
  sand: say`Sand`,
  weld: say`Weld`,
  braze: say`Braze`,
  straighten: say`Straighten`,
  'fit-panel': say`Fit panel`,
  bond: say`Bond panels or glass`,
  cure: say`Let the adhesive cure`,
  seal: say`Seal seams`,
  fill: say`Apply filler`,
  mask: say`Mask`,
  unmask: say`Unmask`,
  prime: say`Prime`,
  paint: say`Paint`,
  bake: say`Bake`,
  polish: say`Polish`,
  wash: say`Wash`,
  roll: say`Push by hand`,
  'end-of-shift': say`End of shift`,
  photograph: say`Photograph`,
  consult: say`Read the documents`,
  scan: say`Scan for fault codes`,
  calibrate: say`Calibrate`,
  'power-up': say`Power up`,
  move: say`Move under own power`,
  'roller-test': say`Test on rollers`,
  'road-test': say`Road test`,
  deliver: say`Hand over to customer`,
};

/** A task with what it is done to, each a sentence of its own: languages join verb and object differently. */
const titlesWithObjects: Readonly<Record<string, (objects: Value) => Phrase>> = {
  isolate: (objects) => say`Isolate high voltage at ${objects}`,
  'lock-out': (objects) => say`Lock out high voltage at ${objects}`,
  'prove-dead': (objects) => say`Prove dead (verify absence of voltage) at ${objects}`,
  'isolate-48v': (objects) => say`Isolate the 48 V system at ${objects}`,
  'recover-refrigerant': (objects) => say`Recover refrigerant through ${objects}`,
  'fill-refrigerant': (objects) => say`Fill refrigerant through ${objects}`,
  'drain-coolant': (objects) => say`Drain coolant through ${objects}`,
  'fill-coolant': (objects) => say`Fill coolant through ${objects}`,
  defuel: (objects) => say`Empty the fuel system at ${objects}`,
  purge: (objects) => say`Free ${objects} of fuel vapour`,
  'relieve-pressure': (objects) => say`Relieve the pressure of ${objects}`,
  bleed: (objects) => say`Bleed ${objects}`,
  refuel: (objects) => say`Fill fuel at ${objects}`,
  disconnect: (objects) => say`Disconnect ${objects}`,
  cover: (objects) => say`Cover ${objects}`,
  uncover: (objects) => say`Uncover ${objects}`,
  inspect: (objects) => say`Inspect ${objects}`,
  clean: (objects) => say`Clean ${objects}`,
  reconnect: (objects) => say`Reconnect ${objects}`,
  lock: (objects) => say`Close the lock of ${objects}`,
  'check-seated': (objects) => say`Check fully seated: ${objects}`,
  'measure-resistance': (objects) => say`Measure contact resistance of ${objects}`,
  'measure-insulation': (objects) => say`Measure insulation resistance of ${objects}`,
  'measure-bonding': (objects) => say`Measure bonding resistance of ${objects}`,
  'prove-interlock': (objects) => say`Prove interlock loop through ${objects}`,
  'leak-test': (objects) => say`Leak-test ${objects}`,
  mask: (objects) => say`Mask ${objects}`,
  unmask: (objects) => say`Unmask ${objects}`,
  photograph: (objects) => say`Photograph ${objects}`,
  calibrate: (objects) => say`Calibrate ${objects}`,
};

/** A task as the heading of a step: "Measure contact resistance". */
const taskTitle = (id: string): Value =>
  nameIn(titles, id, (words) => words.charAt(0).toUpperCase() + words.slice(1));

/** What a labour line pays for: a task, or a shop procedure by its title. */
export const workTitle = (plan: Plan, task: string): Value =>
  plan.scope.procedures.get(task)?.root?.get('title')?.value ?? taskTitle(task);

export const stepTitle = (operation: Operation): Value => {
  const { taskId, step } = operation;
  if (taskId === '') return say`Follow ${step.follows?.value ?? say`a procedure`}`;
  return waitsForElse(operation) ? say`Wait` : taskTitle(taskId);
};

/**
 * A task with what it is done to, as one says it: "Close the lock of inverter-dc". Behind a shop's own words and behind tasks
 * that are not done to a connector, the names stand in brackets.
 * @param title what it is called without objects
 */
const taskAndObjects = (task: string, title: Value, objects: Value): Phrase =>
  own(titlesWithObjects, task)?.(objects) ?? say`${title} (${objects})`;

/** What a labour line pays for, with the connectors it is done to, when there are any. */
export function workOn(plan: Plan, task: string | undefined, objects: Value | undefined): Value {
  if (task === undefined) return objects ?? '';
  if (objects === undefined) return workTitle(plan, task);
  return plan.scope.procedures.has(task)
    ? say`${workTitle(plan, task)} (${objects})`
    : taskAndObjects(task, taskTitle(task), objects);
}

/** A step with the connectors it is done to. */
export const stepOn = (operation: Operation, objects: Value): Phrase =>
  taskAndObjects(operation.taskId, stepTitle(operation), objects);

/** The same on a page, its own words in the type of a key. */
export const keyedStepOn = (operation: Operation, objects: Value): Markup => {
  const plain = deferred((language) => inLanguage(objects, language, escape));
  return markup(
    deferred((language) =>
      stepOn(operation, plain).in(language, (words) =>
        /^[\s()]*$/.test(words) ? words : `<span class="key">${escape(words)}</span>`,
      ),
    ),
  );
};
