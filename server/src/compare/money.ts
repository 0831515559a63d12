import type Big from 'big.js';
import { billOf } from '../costing/bill.ts';
import type { Bill, LabourCharge, MaterialCharge } from '../costing/bill.ts';
import { zero } from '../costing/decimal.ts';
import type { Plan } from '../plan/plan.ts';
import { changesOf, factsIn, meaningOfAll, pairedBy } from './facts.ts';
import type { Change, Facts, Shown } from './facts.ts';
import type { Tokens } from './matching.ts';

/** A line of the bill in two versions. */
export interface LineChange<C extends LabourCharge | MaterialCharge> {
  /** Undefined when the line was added. */
  readonly old: C | undefined;
  readonly new: C | undefined;
  readonly changes: readonly Change[];
  /** New amount less the old one, what has no amount counted as nothing. Whole minor units. */
  readonly difference: Big;
}

export interface MoneyDifference {
  readonly labour: readonly LineChange<LabourCharge>[];
  readonly materials: readonly LineChange<MaterialCharge>[];
  readonly old: Bill;
  readonly new: Bill;
  /** Before tax: the sum of the lines' differences. Undefined where the versions are in different currencies. */
  readonly net: Big | undefined;
  /** With taxes. */
  readonly gross: Big | undefined;
}

const own: ReadonlySet<string> = new Set(['for']);

const priced = (facts: Map<string, Shown>, key: string, amount: Big | undefined): void => {
  if (amount) facts.set(key, { means: amount.toFixed(), shown: amount.toFixed() });
};

function factsOfLabour({ line, hours, perHour, sublet, basis }: LabourCharge): Facts {
  const facts = factsIn(line.node as never, own);
  priced(facts, 'hours', hours);
  priced(facts, 'sublet', sublet);
  facts.set('basis', { means: basis, shown: basis });
  priced(facts, 'per-hour', perHour);
  return facts;
}

function factsOfMaterial({ line, quantity, price, charged }: MaterialCharge): Facts {
  const facts = factsIn(line.node as never, own);
  priced(facts, 'quantity', quantity);
  priced(facts, 'price', price);
  facts.set('charged', { means: String(charged), shown: String(charged) });
  return facts;
}

export function moneyDifference(old: Plan, now: Plan, tokens: Tokens): MoneyDifference {
  const [before, after] = [billOf(old), billOf(now)];
  const tokenOf = (charge: LabourCharge | MaterialCharge, side: 'old' | 'new'): string => {
    const token = side === 'old' ? tokens.before : tokens.now;
    const what = 'task' in charge ? charge.task : 'item' in charge ? charge.item : '';
    return [what ?? '', ...charge.steps.map(token).sort()].join('\0');
  };
  const lines = <C extends LabourCharge | MaterialCharge>(
    mine: readonly C[],
    theirs: readonly C[],
    read: (charge: C) => Facts,
  ): LineChange<C>[] => {
    const factsOf = onceEach(read);
    const meaningOf = onceEach((charge: C) => meaningOfAll(factsOf(charge)));
    return pairedBy(mine, theirs, tokenOf, meaningOf).flatMap(([one, other]) => {
      const changes =
        one && other && meaningOf(one) !== meaningOf(other) ? changesOf(factsOf(one), factsOf(other)) : [];
      const difference = (other?.amount ?? zero).minus(one?.amount ?? zero);
      const same = one && other && changes.length === 0 && difference.eq(0) && one.gap === other.gap;
      return same ? [] : [{ old: one, new: other, changes, difference }];
    });
  };
  const labour = lines(before.labour, after.labour, factsOfLabour);
  const materials = lines(before.materials, after.materials, factsOfMaterial);
  const comparable = before.sheet.currency === after.sheet.currency;
  return {
    labour,
    materials,
    old: before,
    new: after,
    net: comparable ? after.net.amount.minus(before.net.amount) : undefined,
    gross: comparable ? after.gross.amount.minus(before.gross.amount) : undefined,
  };
}

/** A function of an object, computed once for each. */
function onceEach<T extends object, R>(make: (one: T) => R): (one: T) => R {
  const known = new Map<T, R>();
  return (one) => {
    let value = known.get(one);
    if (value === undefined) known.set(one, (value = make(one)));
    return value;
  };
}
