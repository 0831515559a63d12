import { say } from '../language/phrase.ts';
import { currentFindingId } from '../plan/tables/renamed-findings.ts';
import { findingIds } from '../findings/registry.ts';
import type { Settings } from '../features/check.ts';
import { didYouMean, readDate, UsageError } from './arguments.ts';
import { currentLanguageTag } from './terminal.ts';
import { nearest } from '../base/nearest.ts';

/** The day to check for: the given one, or today by the clock of this machine. */
export function dayOf(given: string | undefined): string {
  if (given !== undefined) return readDate('--today', given);
  const now = new Date();
  const two = (number: number): string => String(number).padStart(2, '0');
  return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
}

/** The settings of a check, from its options. */
export function settingsOf(values: {
  readonly today: string | undefined;
  readonly severity: readonly string[];
}): Settings {
  const language = currentLanguageTag();
  return {
    today: dayOf(values.today),
    severities: severitiesOf(values.severity),
    ...(language && { language }),
  };
}

/** @throws UsageError when there is no such finding, with the likeliest one that is meant. */
export function requireFinding(id: string): string {
  const current = currentFindingId(id);
  if (findingIds.includes(current)) return current;
  const guess = nearest(id, findingIds);
  throw new UsageError(
    say`There is no finding '${id}'.${didYouMean(guess)} \`plugward explain\` lists them all.`,
  );
}

type Level = 'error' | 'warning' | 'information' | 'off';

/** Reads `--severity FINDING=LEVEL`, given any number of times. */
function severitiesOf(given: readonly string[]): Record<string, Level> {
  const levels: readonly string[] = ['error', 'warning', 'information', 'off'] satisfies Level[];
  return Object.fromEntries(
    given.map((one) => {
      const [id = '', level = ''] = one.split('=');
      if (!levels.includes(level)) {
        throw new UsageError(
          say`--severity needs FINDING=LEVEL, with error, warning, information or off, not '${one}'.`,
        );
      }
      return [requireFinding(id), level as Level];
    }),
  );
}
