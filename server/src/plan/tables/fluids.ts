import type { Connector as RawConnector } from '../../generated/repair-plan.ts';

export type Medium = NonNullable<RawConnector['medium']>;

const set = (...media: readonly Medium[]): ReadonlySet<Medium> => new Set(media);

/** What burns as a fuel. */
export const fuels = set('petrol', 'diesel', 'hydrogen', 'natural-gas', 'lpg');
export const isFuel = (medium: Medium | undefined): boolean => medium !== undefined && fuels.has(medium);
/** Fuels under pressure, which stream out of an opened line and burst a heated tank. */
export const gases = set('hydrogen', 'natural-gas', 'lpg');
/** Fuels that a spark lights: all but diesel, whose vapour needs heat (flash point above 55 °C, EN 590; from memory). */
export const sparkLit = set('petrol', 'hydrogen', 'natural-gas', 'lpg');

/** What a pump or an accumulator keeps under pressure while the vehicle is parked: brakes, steering, suspension. */
export const underPressure = set('hydraulic', 'compressed-air');
export const isUnderPressure = (medium: Medium | undefined): boolean =>
  medium !== undefined && underPressure.has(medium);

/** Drives that carry a fuel beside the traction battery. */
export const fuelledDrives: ReadonlySet<string> = new Set([
  'plug-in-hybrid',
  'hybrid',
  'mild-hybrid',
  'fuel-cell',
]);
/** Where tank and lines of a common body may run while nobody states it. Common practice, no source. */
export const fuelMayRun: ReadonlySet<string> = new Set([
  'motor-bay',
  'underbody',
  'rear-floor',
  'luggage-space',
  'quarter-left',
  'quarter-right',
]);
