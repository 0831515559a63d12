import type Big from 'big.js';
import type { Document } from '../document/document.ts';
import { mapsIn } from '../document/node.ts';
import type { ScalarNode } from '../document/node.ts';
import { rangeOf } from '../text/span.ts';
import type { Scope } from '../plan/scope.ts';
import { minorUnitDecimals } from './currency.ts';
import { readDecimal } from './decimal.ts';
import type { SourceTextOf } from './decimal.ts';

export interface Tax {
  readonly name: string;
  /** Per cent; undefined when its digits cannot be read. */
  readonly percent: Big | undefined;
  readonly on: 'labour' | 'materials' | 'both';
}

/**
 * The money side of the rate sheets a plan uses. The first sheet's currency applies; amounts in other
 * currencies are ignored.
 */
export interface PriceSheet {
  readonly textOf: SourceTextOf;
  readonly name: string | undefined;
  readonly title: string | undefined;
  /** As written, whether ISO 4217 knows it or not. */
  readonly currency: string | undefined;
  /** Decimals of the currency's minor unit; undefined without a currency that ISO 4217 knows. */
  readonly decimals: number | undefined;
  /** Price of an hour by the rate's id; undefined where the sheet names the rate but its price cannot be read. */
  readonly rates: ReadonlyMap<string, Big | undefined>;
  readonly taxes: readonly Tax[];
  /** An amount written in a sheet of this currency, or in the plan itself. */
  money(node: ScalarNode<unknown> | undefined): Big | undefined;
}

export function readPriceSheet(scope: Scope): PriceSheet {
  const all = [scope.document, ...scope.used];
  const textOf: SourceTextOf = (uri) => all.find((document) => document.uri === uri)?.text;
  const sheets = all.filter((one): one is Document<'rate-sheet'> => one.kind === 'rate-sheet');
  const first = sheets[0]?.root;
  const currency = first?.get('currency')?.value;
  const foreign = new Set(
    sheets.filter(({ root }) => root?.get('currency')?.value !== currency).map(({ uri }) => uri),
  );
  const money: PriceSheet['money'] = (node) =>
    node && !foreign.has(rangeOf(node.span).uri) ? readDecimal(node, textOf) : undefined;
  const rates = new Map<string, Big | undefined>();
  for (const { root } of sheets) {
    for (const rate of mapsIn(root?.get('rates'))) {
      const id = rate.get('id')?.value;
      if (id !== undefined && !rates.has(id)) rates.set(id, money(rate.get('per-hour')));
    }
  }
  const taxes = mapsIn(first?.get('tax')).flatMap((tax): Tax[] => {
    const name = tax.get('name')?.value;
    if (name === undefined) return [];
    return [{ name, percent: readDecimal(tax.get('percent'), textOf), on: tax.get('on')?.value ?? 'both' }];
  });
  return {
    textOf,
    name: first?.get('rate-sheet')?.value,
    title: first?.get('title')?.value,
    currency,
    decimals: currency === undefined ? undefined : minorUnitDecimals(currency),
    rates,
    taxes,
    money,
  };
}
