import { say } from '../language/phrase.ts';
import Big from 'big.js';
import { addToGroup } from '../base/collections.ts';
import { slot } from '../incremental/memo.ts';
import type { Step } from '../plan/steps.ts';
import type { LabourLine, MaterialLine, Plan } from '../plan/plan.ts';
import { decimalOf, readDecimal, roundHalfUp, splitEvenly, sumAmounts, zero } from './decimal.ts';
import { owedLabour, owedMaterials } from './owed.ts';
import { readPriceSheet } from './sheet.ts';
import type { PriceSheet, Tax } from './sheet.ts';

/**
 * What a plan costs, in decimals throughout. The rounding rule: every line is rounded to the currency's minor unit,
 * half up; sums are sums of rounded lines, so any way of adding them up gives the same total; each tax is taken once
 * from the sum it is raised on, and rounded the same way. Taxes are not raised on each other.
 */
export const roundingRule = say`Each line is rounded half up to the currency's smallest unit. Totals add up the rounded lines. Each tax is calculated once, on the total it applies to, and rounded the same way.`;

type Basis = 'not-included' | 'included' | 'not-stated';

/** Why a line has no amount. */
export type NoAmountReason =
  | 'no-sheet'
  | 'currency-unknown'
  | 'blank'
  | 'no-time'
  | 'no-rate'
  | 'rate-unknown'
  | 'no-price'
  | 'item-unknown';

interface Priced {
  /** In whole minor units; undefined where something is missing, and `gap` says what. */
  readonly amount: Big | undefined;
  readonly gap: NoAmountReason | undefined;
}

export interface LabourCharge extends Priced {
  readonly line: LabourLine;
  /** The operations it pays, as written. */
  readonly steps: readonly string[];
  readonly task: string | undefined;
  readonly hours: Big | undefined;
  readonly rate: string | undefined;
  readonly perHour: Big | undefined;
  /** What another firm bills, whole minor units; part of the amount. */
  readonly sublet: Big | undefined;
  /** A line that is `included` is contained in a published time and costs nothing here. */
  readonly basis: Basis;
  readonly reference: string | undefined;
}

export interface MaterialCharge extends Priced {
  readonly line: MaterialLine;
  readonly steps: readonly string[];
  readonly item: string | undefined;
  readonly name: string | undefined;
  readonly quantity: Big | undefined;
  readonly unit: string | undefined;
  readonly price: Big | undefined;
  /** The sheet may say that an item is not charged; then it costs nothing here. */
  readonly charged: boolean;
  readonly reference: string | undefined;
}

/** A sum, and how many lines are missing from it because they have no amount. */
export interface Sum {
  readonly amount: Big;
  readonly unpricedLines: number;
}

interface TaxCharge extends Tax {
  readonly base: Big;
  readonly amount: Big | undefined;
}

/** A share of the net total. `key` is empty for what belongs to no operation or no connector. */
export interface CostShare extends Sum {
  readonly key: string;
  readonly labour: Big;
  readonly materials: Big;
}

export interface HoursShare extends Sum {
  readonly key: string;
  readonly hours: Big;
  /** What other firms bill; the key is empty. */
  readonly sublet?: boolean;
}

/** A line that the plan owes but does not contain. */
interface MissingLabour extends Priced {
  readonly step: Step;
  readonly task: string;
  readonly hours: Big | undefined;
  readonly rate: string | undefined;
  readonly perHour: Big | undefined;
}

interface MissingMaterial extends Priced {
  readonly step: Step;
  readonly item: string;
  readonly name: string;
  readonly quantity: Big;
  readonly unit: string | undefined;
  readonly price: Big | undefined;
}

/** What the missing lines would be worth at the sheet's own times, rates and prices, before tax. */
export interface MissingWorth extends Sum {
  readonly labour: readonly MissingLabour[];
  readonly materials: readonly MissingMaterial[];
}

export class Bill {
  readonly sheet: PriceSheet;
  readonly labour: readonly LabourCharge[];
  readonly materials: readonly MaterialCharge[];
  readonly labourTotal: Sum;
  readonly materialsTotal: Sum;
  readonly net: Sum;
  readonly taxes: readonly TaxCharge[];
  readonly gross: Sum;
  /** Undefined while the text is too damaged to say what is missing. */
  readonly stake: MissingWorth | undefined;
  readonly #plan: Plan;

  /** Never throws. */
  constructor(plan: Plan) {
    const sheet = readPriceSheet(plan.scope);
    const labour = plan.labour.map((line) => chargeLabour(line, sheet));
    const materials = plan.materials.map((line) => chargeMaterial(line, plan, sheet));
    this.#plan = plan;
    this.sheet = sheet;
    this.labour = labour;
    this.materials = materials;
    this.labourTotal = add(labour);
    this.materialsTotal = add(materials);
    this.net = add([...labour, ...materials]);
    const on = { labour: this.labourTotal, materials: this.materialsTotal, both: this.net };
    this.taxes = sheet.taxes.map((tax) => chargeTax(tax, on[tax.on].amount, sheet));
    const due = add(this.taxes);
    this.gross = {
      amount: this.net.amount.plus(due.amount),
      unpricedLines: this.net.unpricedLines + due.unpricedLines,
    };
    this.stake = stakeOf(plan, sheet);
  }

  // Only prints need these: they are not computed while somebody types.
  /** Lines that pay several operations or connectors are shared equally, to the smallest unit. */
  get byOperation(): readonly CostShare[] {
    return shareCosts(this.labour, this.materials, this.sheet, ({ steps }) => steps);
  }
  get byConnector(): readonly CostShare[] {
    const handled = connectorsByStep(this.#plan);
    return shareCosts(this.labour, this.materials, this.sheet, ({ steps }) =>
      distinct(steps.flatMap((step) => handled.get(step) ?? [])),
    );
  }
  get byBasis(): readonly HoursShare[] {
    return hoursBy(this.labour, ({ basis }) => basis);
  }
  get byRate(): readonly HoursShare[] {
    const sublet = this.labour.flatMap((charge) => (charge.amount && charge.sublet ? [charge.sublet] : []));
    // A line of another firm's bill alone has neither hours nor a rate.
    const own = this.labour.filter(({ sublet: bill, hours, rate }) => !(bill && hours?.eq(0) && !rate));
    return [
      ...hoursBy(own.map(withoutSublet), ({ rate }) => rate ?? ''),
      ...(sublet.some((amount) => !amount.eq(0))
        ? [{ key: '', sublet: true, hours: zero, amount: sumAmounts(sublet), unpricedLines: 0 }]
        : []),
    ];
  }
}

const bills = slot<Plan, Bill>();

/** The bill of a plan, made once. Never throws. */
export function billOf(plan: Plan): Bill {
  let bill = bills.get(plan);
  if (!bill) bills.set(plan, (bill = new Bill(plan)));
  return bill;
}

function chargeTax(tax: Tax, base: Big, { decimals }: PriceSheet): TaxCharge {
  const { percent } = tax;
  const amount =
    percent && decimals !== undefined ? roundHalfUp(base.times(percent).div(100), decimals) : undefined;
  return { ...tax, base, amount };
}

function chargeLabour(line: LabourLine, sheet: PriceSheet): LabourCharge {
  const { node } = line;
  const hours = readDecimal(node.get('hours'), sheet.textOf);
  const rate = node.get('rate')?.value;
  const perHour = rate === undefined ? undefined : sheet.rates.get(rate);
  const basis = node.get('basis')?.value ?? 'not-stated';
  const own = priceLabour(hours, rate, basis === 'included', sheet, 'blank');
  const foreign = line.sublet ? priceSublet(sheet.money(node.get('sublet')), basis, sheet) : undefined;
  return {
    line,
    steps: distinct(line.for.map(({ value }) => value)),
    task: line.task?.value,
    hours,
    rate,
    perHour,
    sublet: foreign?.amount,
    basis,
    reference: node.get('reference')?.value,
    ...(foreign ? bothPriced(own, foreign) : own),
  };
}

const priceSublet = (bill: Big | undefined, basis: Basis, sheet: PriceSheet): Priced =>
  basis === 'included' ? { amount: zero, gap: undefined } : price(one, bill, sheet, 'no-price');
const one = decimalOf('1')!;

const withoutSublet = (charge: LabourCharge): LabourCharge =>
  charge.amount && charge.sublet ? { ...charge, amount: charge.amount.minus(charge.sublet) } : charge;

const bothPriced = (own: Priced, other: Priced): Priced =>
  own.amount && other.amount
    ? { amount: own.amount.plus(other.amount), gap: undefined }
    : { amount: undefined, gap: own.gap ?? other.gap };

/** Zero hours cost zero, even without a rate. */
function priceLabour(
  hours: Big | undefined,
  rate: string | undefined,
  free: boolean,
  sheet: PriceSheet,
  without: NoAmountReason,
): Priced {
  if (free || hours?.eq(0)) return { amount: zero, gap: undefined };
  if (!hours) return { amount: undefined, gap: without };
  if (sheet.currency === undefined) return { amount: undefined, gap: 'no-sheet' };
  if (rate === undefined) return { amount: undefined, gap: 'no-rate' };
  return price(hours, sheet.rates.get(rate), sheet, 'rate-unknown');
}

function price(quantity: Big, each: Big | undefined, sheet: PriceSheet, without: NoAmountReason): Priced {
  if (sheet.currency === undefined) return { amount: undefined, gap: 'no-sheet' };
  if (!each) return { amount: undefined, gap: without };
  if (sheet.decimals === undefined) return { amount: undefined, gap: 'currency-unknown' };
  return { amount: roundHalfUp(quantity.times(each), sheet.decimals), gap: undefined };
}

function chargeMaterial(line: MaterialLine, plan: Plan, sheet: PriceSheet): MaterialCharge {
  const { node } = line;
  const item = line.item?.value;
  const consumable = item === undefined ? undefined : plan.scope.consumables.get(item);
  const quantity = readDecimal(node.get('quantity'), sheet.textOf);
  const each = sheet.money(node.get('price') ?? consumable?.price);
  const charged = consumable?.charged ?? true;
  const priced: Priced =
    !charged || quantity?.eq(0)
      ? { amount: zero, gap: undefined }
      : quantity
        ? price(quantity, each, sheet, consumable ? 'no-price' : 'item-unknown')
        : { amount: undefined, gap: 'blank' };
  return {
    line,
    steps: distinct(line.for.map(({ value }) => value)),
    item,
    name: consumable?.name,
    quantity,
    unit: consumable?.unit,
    price: each,
    charged,
    reference: node.get('reference')?.value,
    ...priced,
  };
}

const distinct = (ids: readonly string[]): string[] => [...new Set(ids)];

const add = (lines: readonly { readonly amount: Big | undefined }[]): Sum => ({
  amount: sumAmounts(lines.flatMap(({ amount }) => amount ?? [])),
  unpricedLines: lines.filter(({ amount }) => amount === undefined).length,
});

/** The connectors that each step of the plan handles, procedures included. */
function connectorsByStep(plan: Plan): ReadonlyMap<string, readonly string[]> {
  const handled = new Map<string, string[]>();
  for (const { planStep, connectors } of plan.operations) {
    for (const { value } of connectors) addToGroup(handled, planStep.id, value);
  }
  return handled;
}

function shareCosts(
  labour: readonly LabourCharge[],
  materials: readonly MaterialCharge[],
  sheet: PriceSheet,
  keysOf: (charge: LabourCharge | MaterialCharge) => readonly string[],
): CostShare[] {
  const parts = new Map<string, { labour: Big; materials: Big; unpricedLines: number }>();
  const put = (charge: LabourCharge | MaterialCharge, kind: 'labour' | 'materials'): void => {
    const found = keysOf(charge);
    const keys = found.length > 0 ? found : [''];
    const shares = charge.amount && splitEvenly(charge.amount, keys.length, sheet.decimals ?? 0);
    keys.forEach((key, i) => {
      let part = parts.get(key);
      if (!part) parts.set(key, (part = { labour: zero, materials: zero, unpricedLines: 0 }));
      if (shares) part[kind] = part[kind].plus(shares[i]!);
      else part.unpricedLines++;
    });
  };
  for (const charge of labour) put(charge, 'labour');
  for (const charge of materials) put(charge, 'materials');
  return [...parts].map(([key, part]) => ({ key, ...part, amount: part.labour.plus(part.materials) }));
}

function hoursBy(labour: readonly LabourCharge[], keyOf: (charge: LabourCharge) => string): HoursShare[] {
  const groups = new Map<string, LabourCharge[]>();
  for (const charge of labour) addToGroup(groups, keyOf(charge), charge);
  return [...groups].map(([key, charges]) => ({
    key,
    hours: sumAmounts(charges.flatMap(({ hours }) => hours ?? [])),
    ...add(charges),
  }));
}

const readFor: readonly string[] = ['uses', 'operations', 'labour', 'materials'];

function stakeOf(plan: Plan, sheet: PriceSheet): MissingWorth | undefined {
  // If one of these sections is unreadable, a seemingly missing line may be in it.
  const damaged = plan.document.problems.some(
    ({ kind, contained, section }) =>
      kind !== 'key-twice' && !contained && (section === undefined || readFor.includes(section)),
  );
  if (damaged || plan.firstOverLimit) return undefined;
  const labour = owedLabour(plan)
    .filter(({ written, step }) => written.length === 0 && !step.node.partlyParsed)
    .map(({ step, task, time, hours: owed }): MissingLabour => {
      const hours = owed === undefined ? undefined : decimalOf(String(owed));
      const rate = time?.rate;
      return {
        step,
        task,
        hours,
        rate,
        perHour: rate === undefined ? undefined : sheet.rates.get(rate),
        ...priceLabour(hours, rate, time?.basis === 'included', sheet, 'no-time'),
      };
    });
  const materials = owedMaterials(plan)
    .filter(({ written, step }) => written.length === 0 && !step.node.partlyParsed)
    .map(({ step, item, quantity }): MissingMaterial => {
      const consumable = plan.scope.consumables.get(item)!;
      const each = sheet.money(consumable.price);
      const count = new Big(quantity);
      return {
        step,
        item,
        name: consumable.name,
        quantity: count,
        unit: consumable.unit,
        price: each,
        ...price(count, each, sheet, 'no-price'),
      };
    });
  return { labour, materials, ...add([...labour, ...materials]) };
}
