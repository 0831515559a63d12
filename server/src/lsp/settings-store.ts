import { currentFindingId } from '../plan/tables/renamed-findings.ts';
import type { Settings } from '../features/check.ts';
import { isFinding } from '../features/explain.ts';
import type { HintSettings } from '../features/hints.ts';
import type { Context } from './context.ts';

const levels = ['error', 'warning', 'information', 'off'] as const;
type Level = (typeof levels)[number];

/** The client's `plugward` section, as far as it makes sense. */
export class SettingsStore {
  readonly #context: Context;
  #severities: Record<string, Level> = {};
  #hints: HintSettings = {};
  /** Whether what is found in closed plans may be kept for the next start. */
  keepsFindings = true;

  constructor(context: Context, initial: unknown) {
    this.#context = context;
    this.replaceSettings(initial);
  }

  get current(): Settings & { readonly today: string } {
    const { host, language } = this.#context;
    return { today: host.today(), severities: this.#severities, ...(language !== undefined && { language }) };
  }

  /** The inlay hints that are enabled. */
  get hints(): HintSettings {
    return this.#hints;
  }

  replaceSettings(section: unknown): void {
    const hints = (section as { hints?: Record<string, unknown> } | null | undefined)?.hints;
    this.#hints = {
      order: hints?.['order'] === true,
      duration: hints?.['duration'] === true,
      heat: hints?.['heat'] === true,
    };
    this.keepsFindings = (section as { cache?: unknown } | null | undefined)?.cache !== false;
    const { severities, ignored } = readSeverities(section);
    this.#severities = severities;
    if (ignored.length === 0) return;
    this.#context.connection.console.warn(`Settings that name no finding or no level: ${ignored.join(', ')}`);
  }
}

function readSeverities(section: unknown): { severities: Record<string, Level>; ignored: string[] } {
  const severities = new Map<string, Level>();
  const ignored: string[] = [];
  const given = (section as { severities?: unknown } | null | undefined)?.severities;
  for (const [finding, level] of Object.entries(given ?? {})) {
    const known = levels.find((each) => each === level);
    if (known && isFinding(finding)) severities.set(currentFindingId(finding), known);
    else ignored.push(`${finding}: ${String(level)}`);
  }
  return { severities: Object.fromEntries(severities), ignored };
}
