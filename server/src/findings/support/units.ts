import { correctedUnit, quantityOfUnit, splitQuantity, unitsOf } from '../../document/quantity.ts';
import type { QuantityName, WrittenQuantity } from '../../document/quantity.ts';
import type { Document } from '../../document/document.ts';
import type { SchemaViolation } from '../../document/validate.ts';
import { say } from '../../language/phrase.ts';
import type { Phrase } from '../../language/phrase.ts';

/** A rejected value where a quantity is expected. */
export interface RefusedQuantity {
  readonly mistake: SchemaViolation;
  readonly quantity: QuantityName;
  readonly key: string;
  readonly text: string;
  readonly written: WrittenQuantity | undefined;
}

export function* refusedQuantities(document: Document): Generator<RefusedQuantity> {
  for (const mistake of document.mistakes) {
    const quantity = mistake.schema['x-quantity'] as QuantityName | undefined;
    const { node } = mistake;
    if (quantity === undefined || node.kind !== 'scalar' || node.value === null) continue;
    const text = String(node.value);
    yield { mistake, quantity, key: mistake.entry?.key ?? '', text, written: splitQuantity(text) };
  }
}

/** What a quantity is called. */
export const quantityWords: Readonly<Record<QuantityName, Phrase>> = {
  current: say`current`,
  voltage: say`voltage`,
  resistance: say`resistance`,
  time: say`time`,
  temperature: say`temperature`,
  power: say`power`,
  area: say`area`,
  'heat-capacity': say`heat capacity`,
  'thermal-resistance': say`thermal resistance`,
  'temperature-rise': say`temperature rise`,
  capacitance: say`capacitance`,
};

/** The two values of a number whose comma may part thousands or decimals: `1000 V` and `1.000 V` of `1,000 V`. */
export function readingsOfComma(text: string): readonly [thousand: string, decimal: string] | undefined {
  return /^-?[1-9]\d{0,2},\d{3}(?!\d)/.test(text)
    ? [text.replace(',', ''), text.replace(',', '.')]
    : undefined;
}

export const unitWords = (quantity: QuantityName): string => unitsOf(quantity).slice(0, 4).join(', ');

export { correctedUnit, quantityOfUnit };
