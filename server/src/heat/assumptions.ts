/**
 * What an estimate takes for granted when the plan does not say. None of these is a limit or a rating: they only
 * turn heat into a temperature, and every temperature that rests on them is given with the range they leave.
 */
import { say } from '../language/phrase.ts';
import type { Phrase } from '../language/phrase.ts';
import type { ThermalNetwork } from './thermal.ts';

export type AssumptionKey = 'ambient' | keyof ThermalNetwork;

export interface Assumption {
  readonly key: AssumptionKey;
  /** In plain words, to be followed by the value. */
  readonly name: Phrase;
  readonly value: number;
  readonly low: number;
  readonly high: number;
  readonly unit: 'K' | 'J/K' | 'K/W';
  /** Where the value comes from, as words that may follow `assumed`. */
  readonly reason: Phrase;
  /** The reason in a few words. */
  readonly brief: Phrase;
}

/** "assumed: about 50 g of copper …" */
export const reasonText = ({ reason }: Assumption): Phrase => say`assumed: ${reason}`;

/**
 * Common practice, no source, but for the material data named in the reasons. Ranges are a factor of two either way:
 * connectors of one current rating differ by about that.
 */
export const ASSUMPTIONS: Readonly<Record<AssumptionKey, Assumption>> = {
  ambient: {
    key: 'ambient',
    name: say`air around the connector`,
    value: 313.15,
    low: 293.15,
    high: 333.15,
    unit: 'K',
    reason: say`a closed body cavity in use, from 20 °C in a cool shop to 60 °C next to warm parts`,
    brief: say`a closed cavity, cool shop to warm parts`,
  },
  contactCapacity: {
    key: 'contactCapacity',
    name: say`heat capacity of the contact region`,
    value: 20,
    low: 10,
    high: 40,
    unit: 'J/K',
    reason: say`about 50 g of copper at 387 J/(kg K) (OpenStax College Physics)`,
    brief: say`about 50 g of copper`,
  },
  bodyCapacity: {
    key: 'bodyCapacity',
    name: say`heat capacity of the rest of the connector`,
    value: 300,
    low: 150,
    high: 600,
    unit: 'J/K',
    reason: say`about 0.3 kg of housing, shield and cable ends at 1 kJ/(kg K)`,
    brief: say`about 0.3 kg`,
  },
  contactToBody: {
    key: 'contactToBody',
    name: say`thermal resistance from contact to housing`,
    value: 0.5,
    low: 0.25,
    high: 1,
    unit: 'K/W',
    reason: say`heat leaves through both halves, each about 30 mm of copper of 75 mm² at 400 W/(m K)`,
    brief: say`both halves, 30 mm of copper of 75 mm² each`,
  },
  bodyToSurroundings: {
    key: 'bodyToSurroundings',
    name: say`thermal resistance from housing to the air around it`,
    value: 4,
    low: 2,
    high: 8,
    unit: 'K/W',
    reason: say`0.025 m², cables that carry heat away included, at 10 W/(m² K) (free convection in gases: 2 to 25, Çengel)`,
    brief: say`0.025 m² at 10 W/(m² K)`,
  },
};
