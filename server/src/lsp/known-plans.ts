import { settingsKey } from '../features/check.ts';
import type { Settings } from '../features/check.ts';
import { summaryData, summaryFrom } from '../features/summarise.ts';
import { memoOfLastTexts } from '../incremental/memo.ts';
import type { Basis } from '../workspace/basis.ts';
import type { Summary } from '../workspace/summary.ts';
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
const shape = 2;

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
      const end = bytes.indexOf(10);
      const from = end + 1 + Number(decoded(bytes.subarray(0, end)));
      const head = bytes.subarray(end + 1, from);
      const { packing } = this.#context.host;
      const { summary, ...rest } = JSON.parse(decoded(packing ? packing.unpack(head) : head)) as Omit<
        KnownPlan,
        'summary' | 'said'
      > & { summary: unknown };
      return { ...rest, summary: summaryFrom(summary, text), said: Uint8Array.from(bytes.subarray(from)) };
    } catch {
      return undefined;
    }
  }

  /** Keeps what was found, if all it rests on can be told. */
  keep(key: string, text: string, settings: Settings, found: Omit<KnownPlan, 'rests'>): void {
    const rests = this.#basisOf(key);
    if (!rests) return;
    const { summary, said, errors, findings } = found;
    const json = JSON.stringify({ summary: summaryData(summary), errors, findings, rests });
    const bytes = new TextEncoder().encode(json);
    const head = this.#context.host.packing?.pack(bytes) ?? bytes;
    const start = new TextEncoder().encode(`${head.length}\n`);
    const entry = new Uint8Array(start.length + head.length + said.length);
    entry.set(start);
    entry.set(head, start.length);
    entry.set(said, start.length + head.length);
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
    return this.#cache.digest(`${JSON.stringify([shape, ...settingsKey(settings), shown, key])}\n${text}`);
  }
}

const decoder = new TextDecoder();
const decoded = (bytes: Uint8Array): string => decoder.decode(bytes);
