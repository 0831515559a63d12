/**
 * What an estimate takes for granted when the plan does not say. None of these is a limit or a rating: they only
 * turn heat into a temperature, and every temperature that rests on them is given with the range they leave.
 */
import type { ThermalNetwork } from './thermal.ts';

export type AssumptionKey = 'ambient' | keyof ThermalNetwork;

export interface Assumption {
  readonly key: AssumptionKey;
  /** In plain words, to be followed by the value. */
  readonly name: string;
  readonly value: number;
  readonly low: number;
  readonly high: number;
  readonly unit: 'K' | 'J/K' | 'K/W';
  readonly reason: string;
}

/** All five are common practice, no source, but for the material data named in the reasons. */
export const ASSUMED: Readonly<Record<AssumptionKey, Assumption>> = {
  ambient: {
    key: 'ambient',
    name: 'air around the connector',
    value: 313.15,
    low: 293.15,
    high: 358.15,
    unit: 'K',
    reason:
      'assumed: a closed body cavity in use, 20 °C in a cool shop to 85 °C beside hot parts; 40 °C is a usual design value for electrical equipment',
  },
  contactCapacity: {
    key: 'contactCapacity',
    name: 'heat capacity of the contact region',
    value: 20,
    low: 8,
    high: 60,
    unit: 'J/K',
    reason: 'assumed: 50 g of copper (20 g to 150 g) at 387 J/(kg K) (OpenStax College Physics)',
  },
  bodyCapacity: {
    key: 'bodyCapacity',
    name: 'heat capacity of the rest of the connector',
    value: 300,
    low: 100,
    high: 900,
    unit: 'J/K',
    reason: 'assumed: 0.3 kg of housing, shield and cable ends (0.1 kg to 0.9 kg) at about 1 kJ/(kg K)',
  },
  contactToBody: {
    key: 'contactToBody',
    name: 'thermal resistance from contact to body',
    value: 0.5,
    low: 0.2,
    high: 2,
    unit: 'K/W',
    reason:
      'assumed: heat leaves both halves through about 30 mm of copper of 75 mm² each; thin blades and plastic hold it longer',
  },
  bodyToSurroundings: {
    key: 'bodyToSurroundings',
    name: 'thermal resistance from body to the air around it',
    value: 4,
    low: 1,
    high: 13,
    unit: 'K/W',
    reason:
      'assumed: 0.025 m² (0.015 m² to 0.04 m²) at 10 W/(m² K) (5 to 25, free convection in gases after Çengel); cables that carry heat away count as surface',
  },
};
