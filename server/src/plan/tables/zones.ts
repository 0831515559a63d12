import { own } from '../../base/collections.ts';
import { deferred, say } from '../../language/phrase.ts';
import type { Phrase } from '../../language/phrase.ts';

/**
 * The zones of a common body and which adjoin, each pair once. Common practice, no source; plans, lists and sheets
 * add zones and neighbours.
 */
const pairs: readonly (readonly [string, string])[] = [
  ['motor-bay', 'front-left'],
  ['motor-bay', 'front-right'],
  ['motor-bay', 'cabin'],
  ['motor-bay', 'underbody'],
  ['front-left', 'doors'],
  ['front-left', 'underbody'],
  ['front-right', 'doors'],
  ['front-right', 'underbody'],
  ['cabin', 'doors'],
  ['cabin', 'roof'],
  ['cabin', 'quarter-left'],
  ['cabin', 'quarter-right'],
  ['cabin', 'rear-floor'],
  ['cabin', 'luggage-space'],
  ['roof', 'doors'],
  ['roof', 'quarter-left'],
  ['roof', 'quarter-right'],
  ['doors', 'quarter-left'],
  ['doors', 'quarter-right'],
  ['doors', 'underbody'],
  ['quarter-left', 'luggage-space'],
  ['quarter-left', 'rear-floor'],
  ['quarter-left', 'underbody'],
  ['quarter-right', 'luggage-space'],
  ['quarter-right', 'rear-floor'],
  ['quarter-right', 'underbody'],
  ['rear-floor', 'luggage-space'],
  ['rear-floor', 'underbody'],
];

/** The zones as people say them. */
export const zoneWords: Readonly<Record<string, Phrase>> = {
  'motor-bay': say`motor bay`,
  'front-left': say`left front`,
  'front-right': say`right front`,
  cabin: say`cabin`,
  roof: say`roof`,
  doors: say`doors`,
  'quarter-left': say`left quarter panel`,
  'quarter-right': say`right quarter panel`,
  'rear-floor': say`rear floor`,
  'luggage-space': say`luggage space`,
  underbody: say`underbody`,
  'battery-store': say`battery store`,
  'off-vehicle': say`area off the vehicle`,
};

/** A zone as a file names it; in another language than English with its words beside it. */
export const zoneNamed = (id: string): Phrase =>
  deferred((language, write) => {
    const words = language && own(zoneWords, id)?.in(language, write);
    return words === undefined ? write(id) : `${write(id)} (${words})`;
  });

/** Where a battery that is out lies apart: it adjoins nothing. */
export const batteryStore = 'battery-store';
/** Where parts are worked at that are not on the vehicle: it adjoins nothing. */
export const offVehicle = 'off-vehicle';

/** Which zones adjoin which. Neighbourhood is mutual. */
export class Zones {
  /** The neighbours of each zone. */
  readonly beside: ReadonlyMap<string, ReadonlySet<string>>;
  readonly #beside = new Map<string, Set<string>>();

  constructor(extra: Iterable<readonly [string, readonly string[]]> = []) {
    this.beside = this.#beside;
    for (const [a, b] of pairs) this.#join(a, b);
    this.#of(batteryStore);
    this.#of(offVehicle);
    for (const [zone, beside] of extra) {
      this.#of(zone);
      for (const neighbour of beside) if (neighbour !== zone) this.#join(zone, neighbour);
    }
  }

  #of(zone: string): Set<string> {
    let set = this.#beside.get(zone);
    if (!set) this.#beside.set(zone, (set = new Set()));
    return set;
  }

  #join(a: string, b: string): void {
    this.#of(a).add(b);
    this.#of(b).add(a);
  }

  has(zone: string): boolean {
    return this.#beside.has(zone);
  }

  get names(): readonly string[] {
    return [...this.#beside.keys()];
  }

  adjoin(a: string, b: string): boolean {
    return this.#beside.get(a)?.has(b) ?? false;
  }
}
