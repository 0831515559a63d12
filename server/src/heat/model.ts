/** The thermal model of an estimate: what is given, and the rest assumed with the range that leaves. */
import { assumptionFor } from './assumptions.ts';
import type { Assumption, AssumptionKey } from './assumptions.ts';
import { cableBody, cableOfRise } from './cable-rise.ts';
import type { CableBody } from './cable-rise.ts';
import { LORENZ_COPPER, LORENZ_NUMBER } from './contact.ts';
import type { ThermalNetwork } from './thermal.ts';

/** A value and the range due to the assumptions; the range is a point if nothing is assumed. */
export interface ValueRange {
  readonly value: number;
  readonly low: number;
  readonly high: number;
}

/** The thermal network of one contact and what surrounds it. */
export interface SurroundedNetwork {
  /** K of the air */
  readonly ambient: number;
  readonly network: ThermalNetwork;
  /** 1/K by which the contact's resistance grows, of its value at the temperature for which it is stated */
  readonly coefficient: number;
  readonly cable: CableBody;
  /** Share of the cable's rise by which the air around the connector counts as warmer. */
  readonly cableShare: number;
  /** V²/K², of the metal in the spots */
  readonly lorenz: number;
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
   * ambient, the cable's rise and both thermal resistances and, while it warms, falls with both capacities
   * (`cooling`: rises), so the range ends in corners of the box. The same corners bound a largest resistance.
   */
  range(quantity: (model: SurroundedNetwork) => number, cooling?: boolean): ValueRange;
}

export interface KnownOfModel {
  /** In SI units. */
  readonly values: Readonly<Partial<Record<AssumptionKey, number>>>;
  /** m² of the cable's copper */
  readonly cableArea?: number | undefined;
  /** A of the lasting current, to which a stated or assumed rise of the cable belongs; 1 without any */
  readonly lasting: number;
  /** Contacts that share the body. Stated body values are of the whole connector, assumed ones of each contact. */
  readonly poles: number;
  readonly zone?: string | undefined;
}

/** K: resistances are stated for this temperature where nothing else is. */
export const REFERENCE_TEMPERATURE = 293.15;

/** The model from what is known of it; what is not is assumed, and listed. */
export function thermalModel({ values, cableArea, lasting, poles, zone }: KnownOfModel): ThermalModel {
  const assumptions: Assumption[] = [];
  const settle = (key: AssumptionKey, share = 1): ValueRange => {
    const value = values[key];
    if (value !== undefined) return { value: value * share, low: value * share, high: value * share };
    const assumed = assumptionFor(key, zone);
    assumptions.push(assumed);
    return assumed;
  };
  const ambient = settle('ambient');
  const coefficient = settle('coefficient');
  const byArea = values.cableRise === undefined && cableArea !== undefined;
  const cable = settle(byArea ? 'cableSurface' : 'cableRise');
  const cableShare = settle('cableShare');
  const contactCapacity = settle('contactCapacity');
  const bodyCapacity = settle('bodyCapacity', 1 / poles);
  const contactToBody = settle('contactToBody');
  const bodyToSurroundings = settle('bodyToSurroundings', poles);

  type End = keyof ValueRange;
  const opposite: Readonly<Record<End, End>> = { value: 'value', low: 'high', high: 'low' };
  const pick = (
    warmth: End,
    { inner = warmth, capacities = opposite[warmth], growth = warmth } = {},
  ): SurroundedNetwork => ({
    ambient: ambient[warmth],
    network: {
      contactCapacity: contactCapacity[capacities],
      bodyCapacity: bodyCapacity[capacities],
      contactToBody: contactToBody[inner],
      bodyToSurroundings: bodyToSurroundings[warmth],
    },
    coefficient: coefficient[growth],
    cable: byArea
      ? cableBody(cableArea, ambient[warmth], cable[opposite[warmth]])
      : cableOfRise(cable[warmth], lasting),
    cableShare: cableShare[warmth],
    lorenz: warmth === 'high' ? LORENZ_COPPER : LORENZ_NUMBER,
  });
  const nominal = pick('value');
  const [coolest, warmest] = [pick('low'), pick('high')];
  // In the cold, below the temperature for which it is stated, a resistance that follows more is the smaller one.
  const cold = ambient.low < REFERENCE_TEMPERATURE;
  const corners = (cooling: boolean): SurroundedNetwork[] => {
    const low = cooling ? { capacities: 'low' as const } : {};
    const high = cooling ? { capacities: 'high' as const } : {};
    const ends = [pick('low', low), pick('high', high)];
    return cold
      ? [...ends, pick('low', { ...low, growth: 'high' }), pick('high', { ...high, growth: 'low' })]
      : ends;
  };
  const [warming, cools] = [corners(false), corners(true)];
  return {
    nominal,
    coolest,
    warmest,
    warmestBody: pick('high', { inner: 'low' }),
    assumptions,
    range(quantity, cooling = false) {
      const value = quantity(nominal);
      const ends = (cooling ? cools : warming).map(quantity);
      return { value, low: Math.min(value, ...ends), high: Math.max(value, ...ends) };
    },
  };
}
