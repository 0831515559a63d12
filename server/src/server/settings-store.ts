import type { Settings } from '../features/check.ts';
import { findingIds } from '../findings/registry.ts';
import type { Context } from './context.ts';

const levels = ['error', 'warning', 'information', 'off'] as const;
type Level = (typeof levels)[number];

/** The client's `plugward` section, as far as it makes sense. */
export class SettingsStore {
  readonly #context: Context;
  #severities: Record<string, Level> = {};

  constructor(context: Context, initial: unknown) {
    this.#context = context;
    this.take(initial);
  }

  get current(): Settings {
    return { today: this.#context.host.today(), severities: this.#severities };
  }

  take(section: unknown): void {
    const { severities, ignored } = readSeverities(section);
    this.#severities = severities;
    if (ignored.length === 0) return;
    this.#context.connection.console.warn(`Settings that name no finding or no level: ${ignored.join(', ')}`);
  }
}

function readSeverities(section: unknown): { severities: Record<string, Level>; ignored: string[] } {
  const severities: Record<string, Level> = {};
  const ignored: string[] = [];
  const given = (section as { severities?: unknown } | null | undefined)?.severities;
  for (const [finding, level] of Object.entries(given ?? {})) {
    const known = levels.find((each) => each === level);
    if (known && (findingIds as readonly string[]).includes(finding)) severities[finding] = known;
    else ignored.push(`${finding}: ${String(level)}`);
  }
  return { severities, ignored };
}
