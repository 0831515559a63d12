import { settingsKey } from '../features/check.ts';
import type { Settings } from '../features/check.ts';
import { summaryFrom, summaryParts } from '../features/summarise.ts';
import { bytesOf, numbersFrom } from '../base/numbers.ts';
import { memoOfLastTexts } from '../incremental/memo.ts';
import type { Basis } from '../workspace/basis.ts';
import type { Summary } from '../workspace/summary.ts';
import { atLineBreak, decoded } from './bytes.ts';
import type { Context } from './context.ts';
import type { Cache } from './host.ts';

/** What was found in a closed plan, as another process of the same program found it. */
export interface KnownPlan {
  readonly summary: Summary;
  /** As `ClosedPlans` keeps it. */
  readonly said: Uint8Array;
  readonly errors: number;
  readonly findings: number;
  readonly rests: Basis;
}

/** Entries of another shape are not understood. */
const shape = 4;

/**
 * What was found in closed plans, in a folder that outlasts the process. The key of an entry holds the text, the settings with
 * their day and language, and what the client is told; beside it stands what the findings rest on.
 */
export class KnownPlans {
  readonly #context: Context;
  readonly #cache: Cache;
  readonly #digestOf: (text: string) => string;
  #hasPut = false;

  constructor(context: Context, cache: Cache) {
    this.#context = context;
    this.#cache = cache;
    this.#digestOf = memoOfLastTexts((text) => cache.digest(text));
  }

  find(key: string, text: string, settings: Settings): KnownPlan | undefined {
    try {
      const bytes = this.#cache.get(this.#keyOf(key, text, settings));
      if (!bytes) return undefined;
      const [sizes, parts] = atLineBreak(bytes);
      const [numbers, json, ...lengths] = decoded(sizes).split(' ').map(Number) as [
        number,
        number,
        ...number[],
      ];
      const rows = numbersFrom(parts.subarray(0, numbers), lengths);
      const said = parts.subarray(numbers + json);
      const { summary: data, ...rest } = JSON.parse(decoded(parts.subarray(numbers, numbers + json))) as Omit<
        KnownPlan,
        'summary' | 'said'
      > & { summary: unknown };
      const summary = summaryFrom({ data, rows });
      return { ...rest, summary, said: Uint8Array.from(said) };
    } catch {
      return undefined;
    }
  }

  /** Keeps what was found, if all it rests on can be told. */
  keep(key: string, text: string, settings: Settings, found: Omit<KnownPlan, 'rests'>): void {
    const rests = this.#basisOf(key);
    if (!rests) return;
    const { summary, said, errors, findings } = found;
    const { data, rows } = summaryParts(summary);
    const encoder = new TextEncoder();
    const json = encoder.encode(JSON.stringify({ summary: data, errors, findings, rests }));
    const numbers = bytesOf(rows);
    const sizes = [numbers, json, ...rows].map(({ length }) => length).join(' ');
    const entry = joined([encoder.encode(`${sizes}\n`), numbers, json, said]);
    this.#cache.put(this.#keyOf(key, text, settings), entry);
    this.#hasPut = true;
  }

  /** Whether a plan still rests on the same. What it uses has been read. */
  isCurrent(key: string, { rests }: KnownPlan): boolean {
    const now = this.#basisOf(key);
    return now !== undefined && JSON.stringify(now) === JSON.stringify(rests);
  }

  /** After many were looked through. */
  sweep(): void {
    if (this.#hasPut) this.#cache.sweep();
    this.#hasPut = false;
  }

  #basisOf(key: string): Basis | undefined {
    return this.#context.workspace.basisOf(key, this.#digestOf);
  }

  #keyOf(key: string, text: string, settings: Settings): string {
    const { client, host } = this.#context;
    const shown = [client.relatedInformation, client.diagnosticTags, host.pageOf('bare-connector')];
    // JSON has no bare line break.
    return this.#cache.digest(`${JSON.stringify([shape, ...settingsKey(settings), shown, key])}\n`, text);
  }
}

function joined(parts: readonly Uint8Array[]): Uint8Array {
  const whole = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    whole.set(part, at);
    at += part.length;
  }
  return whole;
}
