import { findingIds } from '../findings/registry.ts';
import { readDate, UsageError } from './arguments.ts';
import { nearest } from '../document/nearest.ts';

/** The day to check for: the given one, or today by the clock of this machine. */
export function dayOf(given: string | undefined): string {
  if (given !== undefined) return readDate('--today', given);
  const now = new Date();
  const two = (number: number): string => String(number).padStart(2, '0');
  return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
}

/** @throws UsageError when there is no such finding, with the likeliest one that is meant. */
export function knownFinding(id: string): string {
  if (findingIds.includes(id)) return id;
  const guess = nearest(id, findingIds);
  throw new UsageError(
    `There is no finding '${id}'.${guess === undefined ? '' : ` Did you mean ${guess}?`} ` +
      '`plugward explain` lists them all.',
  );
}

export type Level = 'error' | 'warning' | 'information' | 'off';

/** Reads `--severity FINDING=LEVEL`, given any number of times. */
export function severitiesOf(given: readonly string[]): Record<string, Level> {
  const levels: readonly string[] = ['error', 'warning', 'information', 'off'] satisfies Level[];
  return Object.fromEntries(
    given.map((one) => {
      const [id = '', level = ''] = one.split('=');
      if (!levels.includes(level)) {
        throw new UsageError(
          `--severity needs FINDING=LEVEL, with error, warning, information or off, not '${one}'.`,
        );
      }
      return [knownFinding(id), level as Level];
    }),
  );
}
