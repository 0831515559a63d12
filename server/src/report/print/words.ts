import type Big from 'big.js';
import type { Gap } from '../../costing/bill.ts';
import type { PriceSheet } from '../../costing/sheet.ts';
import type { Operation } from '../../plan/operations.ts';
import type { Plan } from '../../plan/plan.ts';
import { mapsIn } from '../../document/node.ts';
import type { MapNode } from '../../document/node.ts';

const titles: Readonly<Record<string, string>> = {
  'battery-12v-off': '12 V battery off',
  'battery-12v-on': '12 V battery on',
  consult: 'Read the documents',
  deliver: 'Hand over',
  move: 'Move under own power',
};

/** A task as the heading of a step: "Measure resistance". */
function taskTitle(id: string): string {
  const words = id.replaceAll('-', ' ');
  // A shop's task may be called as what every object has.
  const title = Object.hasOwn(titles, id) ? titles[id] : undefined;
  return title ?? words.charAt(0).toUpperCase() + words.slice(1);
}

/** What a labour line pays for: a task, or a shop procedure by its title. */
export const workTitle = (plan: Plan, task: string): string =>
  plan.scope.procedures.get(task)?.root?.get('title')?.value ?? taskTitle(task);

/** "high-voltage-technician" as people say it: "high-voltage technician". */
export const roleTitle = (role: string): string => role.replace(/-(technician|repair)$/, ' $1');

export const stepTitle = ({ taskId, step }: Operation): string =>
  taskId === '' ? `Follow ${step.follows?.value ?? 'a procedure'}` : taskTitle(taskId);

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
export function moneyText(amount: Big, { decimals }: Pick<PriceSheet, 'decimals'>): string {
  const [whole = '', rest] = amount.toFixed(decimals).split('.');
  const grouped = whole.replace(/\B(?=(\d{3})+$)/g, '\u00a0');
  return rest === undefined ? grouped : `${grouped}.${rest}`;
}

export const gapWords: Readonly<Record<Gap, string>> = {
  'no-sheet': 'no rate sheet',
  'currency-unknown': 'currency unknown',
  blank: 'to be filled in',
  'no-time': 'the rate sheet has no time',
  'no-rate': 'no rate named',
  'rate-unknown': 'rate not on the sheet',
  'no-price': 'the rate sheet has no price',
  'item-unknown': 'item not on the sheet',
};

export const plural = (count: number, one: string, many = `${one}s`): string =>
  `${count} ${count === 1 ? one : many}`;

/** Consumables of the shop by name, as one says them: "insulating tape, orange + bag with a cable tie". */
export const goodsText = ({ scope }: Plan, ids: readonly string[]): string =>
  ids
    .map((id) => scope.consumables.get(id)?.name ?? id)
    // Names often hold commas of their own. A capital that goes on (an abbreviation) stays.
    .map((name) => (/^\p{Lu}\p{Ll}/u.test(name) ? name.charAt(0).toLowerCase() + name.slice(1) : name))
    .join(' + ');

/** "a", "a and b", "a, b and c". */
export const listed = (words: readonly string[]): string =>
  words.length < 2 ? (words[0] ?? '') : `${words.slice(0, -1).join(', ')} and ${words.at(-1)}`;

/** The first few by name, the rest by number. */
export const someOf = (words: readonly string[], most: number): string =>
  words.length > most ? `${words.slice(0, most).join(', ')} and ${words.length - most} more` : listed(words);

/** What stands in the head of every print. */
export interface PlanHead {
  readonly number: string;
  readonly title: string;
  readonly vehicle: string;
  readonly vin: string;
  readonly propulsion: string;
  readonly voltage: string;
  readonly arrived: string;
}

export function headOf(plan: Plan): PlanHead {
  const { root } = plan;
  const vehicle = root?.get('vehicle');
  const text = (value: string | number | undefined): string => (value === undefined ? '' : String(value));
  return {
    number: text(root?.get('plan')?.value),
    title: text(root?.get('title')?.value),
    vehicle: text(vehicle?.get('description')?.value),
    vin: text(vehicle?.get('vin')?.value),
    propulsion: text(vehicle?.get('propulsion')?.value).replaceAll('-', ' '),
    voltage: text(vehicle?.get('system-voltage')?.value),
    arrived: text(vehicle?.get('arrived')?.value),
  };
}

/** A document that was consulted, from the plan or a file it uses. */
export interface SourceEntry {
  readonly id: string;
  readonly title: string;
  readonly publisher: string;
  readonly edition: string;
  readonly consulted: string;
  readonly where: string;
}

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
        publisher: text('publisher').replaceAll('-', ' '),
        edition: text('edition'),
        consulted: text('consulted'),
        where: text('where'),
      });
    }
  }
  return found;
}
