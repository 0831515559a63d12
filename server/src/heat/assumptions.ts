/**
 * What an estimate takes for granted when the plan does not say. None of these is a limit or a rating: they only
 * turn heat into a temperature, and every temperature that rests on them is given with the range they leave.
 */
import { say } from '../language/phrase.ts';
import type { Phrase } from '../language/phrase.ts';
import { COPPER_COEFFICIENT } from './conductor.ts';
import type { ThermalNetwork } from './thermal.ts';

export type AssumptionKey =
  'ambient' | 'coefficient' | 'cableRise' | 'cableSurface' | 'cableShare' | keyof ThermalNetwork;

export interface Assumption {
  readonly key: AssumptionKey;
  /** In plain words, to be followed by the value. */
  readonly name: Phrase;
  readonly value: number;
  readonly low: number;
  readonly high: number;
  /** A temperature is told in °C, a share in %. */
  readonly unit: 'K' | 'J/K' | 'K/W' | '1/K' | 'W/(m² K)' | '';
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
  coefficient: {
    key: 'coefficient',
    name: say`growth of the resistance with its temperature`,
    value: COPPER_COEFFICIENT,
    low: COPPER_COEFFICIENT / 2,
    high: 0.0045,
    unit: '1/K',
    reason: say`all of it as copper (IEC 60028); low: half of it is film, which does not follow the metal; high: the spots run hotter than the metal around them, as in tin`,
    brief: say`copper; half film to hot spots`,
  },
  cableRise: {
    key: 'cableRise',
    name: say`warming of the cable by the lasting current`,
    value: 30,
    low: 15,
    high: 60,
    unit: 'K',
    reason: say`nothing states the cross-section; a rise of 30 K is the usual convention of current ratings (connector trade press)`,
    brief: say`convention of current ratings`,
  },
  cableSurface: {
    key: 'cableSurface',
    name: say`heat given off by the cable's surface`,
    value: 10,
    low: 6,
    high: 15,
    unit: 'W/(m² K)',
    reason: say`free convection in gases (2 to 25, Çengel) with radiation; covering and shield make the cable 15 % and 6 mm thicker than its copper`,
    brief: say`free convection and radiation`,
  },
  cableShare: {
    key: 'cableShare',
    name: say`share of the cable's warming that reaches the connector`,
    value: 0.5,
    low: 0.25,
    high: 0.75,
    unit: '',
    reason: say`the connector loses about half of its heat through its cables, as fins of copper of 50 mm² do beside a housing of 0.013 m²`,
    brief: say`as much as leaves through the cables`,
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
    reason: say`about 0.3 kg of housing, shield and cable ends for each contact at 1 kJ/(kg K)`,
    brief: say`about 0.3 kg a contact`,
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
    reason: say`0.025 m² for each contact, cables that carry heat away included, at 10 W/(m² K) (free convection in gases: 2 to 25, Çengel)`,
    brief: say`0.025 m² a contact at 10 W/(m² K)`,
  },
};

/** Air around a connector that sits beside a drive unit, an engine or an exhaust. Common practice, no source. */
const BESIDE_DRIVE_UNIT: Assumption = {
  ...ASSUMPTIONS.ambient,
  value: 333.15,
  high: 378.15,
  reason: say`a zone beside a drive unit or engine in use, from 20 °C in a cool shop to 105 °C`,
  brief: say`beside a drive unit, cool shop to hot`,
};

/** Built-in zones that hold a drive unit or lie beneath one. A zone of the shop's own counts as a closed cavity. */
const DRIVE_UNIT_ZONES: readonly string[] = ['motor-bay', 'underbody'];

/** The assumption of a key for a connector in `zone`. */
export const assumptionFor = (key: AssumptionKey, zone: string | undefined): Assumption =>
  key === 'ambient' && zone !== undefined && DRIVE_UNIT_ZONES.includes(zone)
    ? BESIDE_DRIVE_UNIT
    : ASSUMPTIONS[key];
