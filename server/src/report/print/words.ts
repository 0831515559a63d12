import type Big from 'big.js';
import { own } from '../../base/collections.ts';
import type { NoAmountReason } from '../../costing/bill.ts';
import type { PriceSheet } from '../../costing/sheet.ts';
import { localizedNumber, say } from '../../language/phrase.ts';
import type { Phrase, Value } from '../../language/phrase.ts';
import type { Plan } from '../../plan/plan.ts';
import { sourcesById } from '../../plan/sources.ts';
import { zoneWords } from '../../plan/tables/zones.ts';

/** What a person reads for a fixed word of the language. */
export type Names<K extends string = string> = Readonly<Record<K, Phrase>>;

/** Display name of a built-in word; for a shop's own word, the word with hyphens replaced by spaces. */
export const nameIn = (names: Names, word: string, otherwise: (words: string) => Value): Value =>
  // A shop's word may be called as what every object has.
  own<Value>(names, word) ?? otherwise(word.replaceAll('-', ' '));

const roles: Names = {
  'high-voltage-technician': say`high-voltage technician`,
  'lead-technician': say`lead technician`,
  estimator: say`estimator`,
  reviewer: say`reviewer`,
};

/** "high-voltage-technician" as people say it: "high-voltage technician". */
export const roleTitle = (role: string): Value =>
  nameIn(roles, role, () => role.replace(/-(technician|repair)$/, ' $1'));

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
export const plural = (count: number, phrase: Phrase, others: Phrase): Phrase =>
  count === 1 ? phrase : others;

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
  /** The words of `arrived-as`. */
  readonly cameIn: readonly Value[];
  readonly noScan: { readonly reason: string; readonly source: string } | undefined;
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
    cameIn: (plan.vehicle?.arrivedAs ?? []).map((word) => nameIn(states, word, (words) => words)),
    noScan: plan.vehicle?.noScan,
  };
}

const states: Names = {
  powered: say`powered`,
  wet: say`wet`,
  'high-voltage-damaged': say`with high-voltage damage`,
  'network-dead': say`with a dead data network`,
};

/** A document that was consulted, from the plan or a file it uses. */
export interface SourceEntry {
  readonly id: string;
  readonly title: string;
  readonly publisher: Value;
  readonly edition: string;
  readonly consulted: string;
  readonly where: string;
}

/** A zone as people say it; a shop's own with its hyphens as spaces. */
export const zoneText = (id: string): Value => nameIn(zoneWords, id, (words) => words);

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

/** The sources by id; where two files use one id, the plan's own goes first. */
export function sourcesOf(plan: Plan): ReadonlyMap<string, SourceEntry> {
  const entries = [...sourcesById(plan)].map(([id, node]): [string, SourceEntry] => {
    const text = (key: 'title' | 'publisher' | 'edition' | 'consulted' | 'where'): string =>
      String(node.get(key)?.value ?? '');
    return [
      id,
      {
        id,
        title: text('title'),
        publisher: publisherText(text('publisher')),
        edition: text('edition'),
        consulted: text('consulted'),
        where: text('where'),
      },
    ];
  });
  return new Map(entries);
}
