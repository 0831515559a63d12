import type { Settings } from '../features/check.ts';
import { summaryData, summaryFrom } from '../features/summarise.ts';
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
  readonly rests: Rests;
}

/** What findings rest on beside the text and the settings. */
interface Rests {
  /** Address and digest of the text of each file that is used. */
  readonly used: readonly (readonly [uri: string, digest: string])[];
  readonly photos: readonly (readonly [uri: string, isThere: boolean])[];
}

/** Entries of another shape are not understood. */
const shape = 1;

/**
 * What was found in closed plans, in a folder that outlasts the process. The key of an entry holds the text, the settings with
 * their day and language, and what the client is told; beside it stands what the findings rest on.
 */
export class KnownPlans {
  readonly #context: Context;
  readonly #cache: Cache;
  readonly #digests = new Map<string, string>();
  #hasPut = false;

  constructor(context: Context, cache: Cache) {
    this.#context = context;
    this.#cache = cache;
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
    const rests = this.#restsOf(key);
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
    const now = this.#restsOf(key);
    return now !== undefined && JSON.stringify(now) === JSON.stringify(rests);
  }

  /** After many were looked through. */
  sweep(): void {
    if (this.#hasPut) this.#cache.sweep();
    this.#hasPut = false;
  }

  #restsOf(key: string): Rests | undefined {
    const { workspace } = this.#context;
    const basis = workspace.basisOf(key);
    return (
      basis && {
        used: basis.used.map((uri) => [uri, this.#digestOf(workspace.text(uri)!)] as const),
        photos: basis.photos,
      }
    );
  }

  /** The last texts are remembered: shared files come again with every plan. */
  #digestOf(text: string): string {
    let known = this.#digests.get(text);
    if (known === undefined) {
      if (this.#digests.size >= 64) this.#digests.clear();
      this.#digests.set(text, (known = this.#cache.digest(text)));
    }
    return known;
  }

  #keyOf(key: string, text: string, { today, severities, language, ...rest }: Settings): string {
    // A setting that is added must be added here.
    rest satisfies Record<string, never>;
    const { client, host } = this.#context;
    const levels = Object.entries(severities ?? {}).sort(([a], [b]) => (a < b ? -1 : 1));
    const shown = [client.relatedInformation, client.diagnosticTags, host.pageOf('bare-connector')];
    return this.#cache.digest(JSON.stringify([shape, today, levels, language, shown, key, text]));
  }
}

const decoded = (bytes: Uint8Array): string => new TextDecoder().decode(bytes);
