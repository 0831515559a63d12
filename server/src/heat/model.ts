/** The thermal network of an estimate: what is given, and the rest assumed with the range that leaves. */
import { ASSUMPTIONS } from './assumptions.ts';
import type { Assumption, AssumptionKey } from './assumptions.ts';
import type { ThermalNetwork } from './thermal.ts';

/** A value and the range due to the assumptions; the range is a point if nothing is assumed. */
export interface ValueRange {
  readonly value: number;
  readonly low: number;
  readonly high: number;
}

/** A thermal network and K of what surrounds it. */
export interface SurroundedNetwork {
  readonly ambient: number;
  readonly network: ThermalNetwork;
}

export interface ThermalModel {
  readonly nominal: SurroundedNetwork;
  /** The ends of what the assumptions leave, for a contact that warms. */
  readonly coolest: SurroundedNetwork;
  readonly warmest: SurroundedNetwork;
  /** The body warms fastest if the contact passes on its heat immediately. */
  readonly warmestBody: SurroundedNetwork;
  readonly assumptions: readonly Assumption[];
  /**
   * `quantity` at the assumed values and its range over everything they may be. The contact's temperature grows with the
   * ambient and with both thermal resistances and, while it warms, falls with both capacities (`cooling`: rises), so
   * the range ends in two corners of the box. The same corners bound a largest resistance.
   */
  range(quantity: (model: SurroundedNetwork) => number, cooling?: boolean): ValueRange;
}

export const NETWORK_KEYS = [
  'contactCapacity',
  'bodyCapacity',
  'contactToBody',
  'bodyToSurroundings',
] as const satisfies readonly (keyof ThermalNetwork)[];

/** The model from what is known of it, in SI units; what is not is assumed, and listed. */
export function thermalModel(known: Readonly<Partial<Record<AssumptionKey, number>>>): ThermalModel {
  const assumptions: Assumption[] = [];
  const settle = (key: AssumptionKey): ValueRange => {
    const value = known[key];
    if (value !== undefined) return { value, low: value, high: value };
    assumptions.push(ASSUMPTIONS[key]);
    return ASSUMPTIONS[key];
  };
  const ambient = settle('ambient');
  const [contactCapacity, bodyCapacity, contactToBody, bodyToSurroundings] = NETWORK_KEYS.map(settle) as [
    ValueRange,
    ValueRange,
    ValueRange,
    ValueRange,
  ];
  const pick = (
    resistances: keyof ValueRange,
    capacities: keyof ValueRange,
    inner: keyof ValueRange = resistances,
  ): SurroundedNetwork => ({
    ambient: ambient[resistances],
    network: {
      contactCapacity: contactCapacity[capacities],
      bodyCapacity: bodyCapacity[capacities],
      contactToBody: contactToBody[inner],
      bodyToSurroundings: bodyToSurroundings[resistances],
    },
  });
  const nominal = pick('value', 'value');
  const [coolest, warmest] = [pick('low', 'high'), pick('high', 'low')];
  const [coolestCooling, warmestCooling] = [pick('low', 'low'), pick('high', 'high')];
  return {
    nominal,
    coolest,
    warmest,
    warmestBody: pick('high', 'low', 'low'),
    assumptions,
    range(quantity, cooling = false) {
      const ends = [
        quantity(cooling ? coolestCooling : coolest),
        quantity(cooling ? warmestCooling : warmest),
      ];
      return { value: quantity(nominal), low: Math.min(...ends), high: Math.max(...ends) };
    },
  };
}
