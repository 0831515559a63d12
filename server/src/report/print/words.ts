import type Big from 'big.js';
import { own } from '../../base/collections.ts';
import type { NoAmountReason } from '../../costing/bill.ts';
import type { PriceSheet } from '../../costing/sheet.ts';
import type { Operation } from '../../plan/operations.ts';
import { localizedNumber, inLanguage, deferred, say } from '../../language/phrase.ts';
import type { Phrase, Value } from '../../language/phrase.ts';
import type { Plan } from '../../plan/plan.ts';
import { mapsIn } from '../../document/node.ts';
import type { MapNode } from '../../document/node.ts';

/** What a person reads for a fixed word of the language. */
type Names<K extends string = string> = Readonly<Record<K, Phrase>>;

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
  'lower-battery': say`Lower the traction battery`,
  'raise-battery': say`Raise the traction battery`,
  'inspect-battery': say`Inspect the traction battery`,
  'recover-refrigerant': say`Recover refrigerant`,
  'fill-refrigerant': say`Fill refrigerant`,
  'drain-coolant': say`Drain coolant`,
  'fill-coolant': say`Fill coolant`,
  tow: say`Tow`,
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
  bond: say`Bond panels`,
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
  'road-test': say`Road test`,
  deliver: say`Hand over to customer`,
};

/** Display name of a built-in word; for a shop's own word, the word with hyphens replaced by spaces. */
const nameIn = (names: Names, word: string, otherwise: (words: string) => Value): Value =>
  // A shop's word may be called as what every object has.
  own<Value>(names, word) ?? otherwise(word.replaceAll('-', ' '));

/** A task as the heading of a step: "Measure resistance". */
const taskTitle = (id: string): Value =>
  nameIn(titles, id, (words) => words.charAt(0).toUpperCase() + words.slice(1));

/** What a labour line pays for: a task, or a shop procedure by its title. */
export const workTitle = (plan: Plan, task: string): Value =>
  plan.scope.procedures.get(task)?.root?.get('title')?.value ?? taskTitle(task);

const roles: Names = {
  'high-voltage-technician': say`high-voltage technician`,
  'lead-technician': say`lead technician`,
  estimator: say`estimator`,
  reviewer: say`reviewer`,
};

/** "high-voltage-technician" as people say it: "high-voltage technician". */
export const roleTitle = (role: string): Value =>
  nameIn(roles, role, () => role.replace(/-(technician|repair)$/, ' $1'));

export const stepTitle = ({ taskId, step }: Operation): Value =>
  taskId === '' ? say`Follow ${step.follows?.value ?? say`a procedure`}` : taskTitle(taskId);

/**
 * A task with what it is done to: "Disconnect inverter-dc". Names from a file have no article, so a language whose verbs
 * want one puts a colon between.
 */
export const taskAndObjects = (task: Value, objects: Value): Phrase =>
  deferred((language, write) =>
    [task, objects].map((value) => inLanguage(value, language, write)).join(language ? ': ' : ' '),
  );

/** Milliseconds as "1 h 18 min", to the minute; shorter ones to the second. */
export function timeText(milliseconds: number): string {
  const seconds = Math.round(milliseconds / 1000);
  if (seconds < 60) return `${seconds} s`;
  const minutes = Math.round(seconds / 60);
  const hours = Math.floor(minutes / 60);
  const rest = minutes % 60;
  if (hours === 0) return `${rest} min`;
  return rest === 0 ? `${hours} h` : `${hours} h ${rest} min`;
}

/** An amount with the decimals of its currency and thousands apart: "1 234.50". */
export function moneyText(amount: Big, { decimals }: Pick<PriceSheet, 'decimals'>): Phrase {
  const [whole = '', rest] = amount.toFixed(decimals).split('.');
  const grouped = whole.replace(/\B(?=(\d{3})+$)/g, '\u00a0');
  return localizedNumber(rest === undefined ? grouped : `${grouped}.${rest}`);
}

export const gapWords: Names<NoAmountReason> = {
  'no-sheet': say`no rate sheet`,
  'currency-unknown': say`currency unknown`,
  blank: say`to be filled in`,
  'no-time': say`the rate sheet has no time`,
  'no-rate': say`no rate named`,
  'rate-unknown': say`rate not on the sheet`,
  'no-price': say`the rate sheet has no price`,
  'item-unknown': say`item not on the sheet`,
};

/** Singular or plural form by count. */
export const plural = (count: number, one: Phrase, others: Phrase): Phrase => (count === 1 ? one : others);

/** "2 lines". */
export const linesText = (count: number): Phrase => plural(count, say`1 line`, say`${count} lines`);

const consumableKinds: Names = {
  'dummy-plug': say`dummy plug`,
  tape: say`tape`,
  bag: say`bag`,
  film: say`film`,
  paper: say`paper`,
  seal: say`seal`,
  cleaner: say`cleaner`,
  other: say`other`,
};

/** The kind of a consumable, as people say it. */
export const consumableText = (kind: string): Value => nameIn(consumableKinds, kind, (words) => words);

/** Consumables of the shop by name, as one says them: "insulating tape, orange + bag with a cable tie". */
export const consumablesText = ({ scope }: Plan, ids: readonly string[]): string =>
  ids
    .map((id) => scope.consumables.get(id)?.name ?? id)
    // Names often contain commas. A capital followed by another (an abbreviation) is kept.
    .map((name) => (/^\p{Lu}\p{Ll}/u.test(name) ? name.charAt(0).toLowerCase() + name.slice(1) : name))
    .join(' + ');

/** The header of every print. */
export interface PlanHead {
  readonly number: string;
  readonly title: string;
  readonly vehicle: string;
  readonly vin: string;
  readonly propulsion: Value;
  readonly voltage: string;
  readonly arrived: string;
}

const drives: Names = {
  'battery-electric': say`battery electric`,
  'plug-in-hybrid': say`plug-in hybrid`,
  hybrid: say`hybrid`,
  'mild-hybrid': say`mild hybrid`,
  'fuel-cell': say`fuel cell`,
};

export function headOf(plan: Plan): PlanHead {
  const { root } = plan;
  const vehicle = root?.get('vehicle');
  const text = (value: string | number | undefined): string => (value === undefined ? '' : String(value));
  return {
    number: text(root?.get('plan')?.value),
    title: text(root?.get('title')?.value),
    vehicle: text(vehicle?.get('description')?.value),
    vin: text(vehicle?.get('vin')?.value),
    propulsion: nameIn(drives, text(vehicle?.get('propulsion')?.value), (words) => words),
    voltage: text(vehicle?.get('system-voltage')?.value),
    arrived: text(vehicle?.get('arrived')?.value),
  };
}

/** A document that was consulted, from the plan or a file it uses. */
export interface SourceEntry {
  readonly id: string;
  readonly title: string;
  readonly publisher: Value;
  readonly edition: string;
  readonly consulted: string;
  readonly where: string;
}

const publishers: Names = {
  'vehicle-maker': say`vehicle maker`,
  'part-maker': say`part maker`,
  'material-maker': say`material maker`,
  standard: say`standard`,
  authority: say`authority`,
  shop: say`shop`,
  other: say`other`,
};

export const publisherText = (id: string): Value => nameIn(publishers, id, (words) => words);

interface Sourced {
  sources?: {
    id: string;
    title: string;
    publisher?: string;
    edition?: string | number;
    consulted?: string;
    where?: string;
  }[];
}

/** The sources by id; where two files use one id, the plan's own goes first. */
export function sourcesOf(plan: Plan): ReadonlyMap<string, SourceEntry> {
  const found = new Map<string, SourceEntry>();
  for (const document of [plan.scope.document, ...plan.scope.used]) {
    const root = document.root as MapNode<Sourced> | undefined;
    for (const node of mapsIn(root?.get('sources'))) {
      const id = node.get('id')?.value;
      if (id === undefined || found.has(id)) continue;
      const text = (key: 'title' | 'publisher' | 'edition' | 'consulted' | 'where'): string =>
        String(node.get(key)?.value ?? '');
      found.set(id, {
        id,
        title: text('title'),
        publisher: publisherText(text('publisher')),
        edition: text('edition'),
        consulted: text('consulted'),
        where: text('where'),
      });
    }
  }
  return found;
}
