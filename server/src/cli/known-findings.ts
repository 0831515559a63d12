import { readFileSync } from 'node:fs';
import { Entries, digest, programDigest } from '../disk/entries.ts';
import { cacheFolder, trustedCacheFolder } from '../disk/cache-folder.ts';
import { settingsKey } from '../features/check.ts';
import type { Diagnosis, Settings } from '../features/check.ts';
import { memoOfLastTexts } from '../incremental/memo.ts';
import type { Sources } from '../report/listing/listing.ts';
import { LineIndex } from '../text/line-index.ts';
import { Rope } from '../text/rope.ts';
import type { Basis } from '../workspace/basis.ts';
import type { Workspace } from '../workspace/workspace.ts';
import { decode } from './files.ts';
import type { TextSource } from './gather.ts';
import type { ListingOptions } from './listing.ts';

/** Where findings are kept between runs: plain data, so that it can be handed to another thread. */
export interface CachePlace {
  readonly folder: string;
  /** Says which program, on which engine, made the findings. */
  readonly program: string;
}

/**
 * The place of the cache.
 * @param looked the folders that are looked at: a cache in one of them is not believed
 * @param program the files that hold the whole program
 * @returns undefined where it must be done without
 */
export function cachePlace(looked: readonly string[], program: readonly string[]): CachePlace | undefined {
  const wanted = cacheFolder();
  const folder = wanted === undefined ? undefined : trustedCacheFolder(wanted, looked);
  if (folder === undefined) return undefined;
  try {
    return { folder, program: programDigest(program.map((file) => readFileSync(file))) };
  } catch {
    return undefined;
  }
}

/** What is counted of a finding. */
type Counted = Pick<Diagnosis, 'finding' | 'severity'>;

/** The findings of a file as an earlier run found them. */
interface KnownFindings {
  readonly counted: readonly Counted[];
  /** As they were printed in each format, if they are to be printed in the same way. */
  readonly parts: readonly string[] | undefined;
  /** All of them, and the texts that they point into. */
  all(): { readonly findings: readonly Diagnosis[]; readonly sources: Sources };
  /** Keeps how they are printed now. */
  printed(parts: readonly string[]): void;
}

/** The first line of an entry: what findings rest on beside what is in their key, and what is counted. */
interface Head extends Basis {
  readonly counted: readonly Counted[];
}

/** Shapes of entries that are understood. */
const shape = 2;

/**
 * Findings kept between runs. A file is known if nothing differs of what its findings rest on: the checker, the settings with
 * their day and language, its text, the text of every file it uses as it would be read now, and which of its photographs
 * are there. The rest is not kept: results of a check that failed, and of files that use what is missing or misspelled.
 */
export class FindingsCache {
  readonly #entries: Entries;
  readonly #run: readonly unknown[];
  readonly #look: string;
  readonly #source: TextSource;
  /** The files that others use, as they are read in this run. */
  readonly #used = new Map<string, Promise<UsedText | undefined>>();
  #hasWritten = false;

  /** @param source where the texts of used files come from, with the same limits as when they are read for a check */
  constructor({ folder, program }: CachePlace, settings: Settings, look: ListingOptions, source: TextSource) {
    this.#entries = new Entries(folder);
    this.#run = [shape, program, ...settingsKey(settings)];
    this.#look = digest(JSON.stringify(look));
    this.#source = source;
  }

  async find(uri: string, bytes: Uint8Array): Promise<KnownFindings | undefined> {
    const key = this.#keyOf(uri, bytes);
    const body = this.#entries.get(key);
    try {
      return body && (await this.#known(key, body, uri, bytes));
    } catch {
      return undefined;
    }
  }

  async #known(
    key: string,
    body: Buffer,
    uri: string,
    bytes: Uint8Array,
  ): Promise<KnownFindings | undefined> {
    const [head, findings, look, parts] = linesOf(body);
    const { used, photos, counted } = JSON.parse(String(head)) as Head;
    const texts = new Map<string, string>();
    for (const [one, known] of used) {
      const now = await this.#usedText(one);
      if (now?.digest !== known) return undefined;
      texts.set(one, now.text);
    }
    for (const [photo, wasThere] of photos) {
      if ((await this.#source.has(photo).catch(() => false)) !== wasThere) return undefined;
    }
    return {
      counted,
      parts: String(look) === this.#look ? (JSON.parse(String(parts)) as string[]) : undefined,
      all: () => ({
        findings: JSON.parse(String(findings)) as Diagnosis[],
        sources: sourcesOf(texts.set(uri, decode(bytes).text)),
      }),
      printed: (made) => this.#put(key, [String(head), String(findings), this.#look, JSON.stringify(made)]),
    };
  }

  /** Keeps the findings of a file that was checked, and how they are printed, if all they rest on can be told. */
  keep(
    uri: string,
    bytes: Uint8Array,
    workspace: Workspace,
    { findings, parts }: { readonly findings: readonly Diagnosis[]; readonly parts: readonly string[] },
  ): void {
    const basis = workspace.basisOf(uri, digestOf);
    if (!basis) return;
    const counted = findings.map(({ finding, severity }) => ({ finding, severity }));
    const head: Head = { ...basis, counted };
    // JSON writes a line end as an escape.
    const lines = [JSON.stringify(head), JSON.stringify(findings), this.#look, JSON.stringify(parts)];
    this.#put(this.#keyOf(uri, bytes), lines);
  }

  #put(key: string, lines: readonly string[]): void {
    this.#entries.put(key, lines.join('\n'));
    this.#hasWritten = true;
  }

  /** At the end of a run. */
  close(): void {
    if (this.#hasWritten) this.#entries.sweep();
  }

  #keyOf(uri: string, bytes: Uint8Array): string {
    return digest(JSON.stringify([...this.#run, uri, digest(bytes)]));
  }

  #usedText(uri: string): Promise<UsedText | undefined> {
    let used = this.#used.get(uri);
    if (!used) this.#used.set(uri, (used = this.#read(uri)));
    return used;
  }

  /** A file as it would be read for one that uses it; undefined if it is not there under its own name. */
  async #read(uri: string): Promise<UsedText | undefined> {
    try {
      if (((await this.#source.spelling(uri)) ?? uri) !== uri) return undefined;
      const text = await this.#source.text(uri);
      return text === undefined ? undefined : { text, digest: digestOf(text) };
    } catch {
      return undefined;
    }
  }
}

interface UsedText {
  readonly text: string;
  readonly digest: string;
}

/** The lines of an entry. */
function linesOf(body: Buffer): Buffer[] {
  const lines: Buffer[] = [];
  for (let from = 0; from <= body.length;) {
    const end = body.indexOf(10, from);
    lines.push(body.subarray(from, end < 0 ? body.length : end));
    from = (end < 0 ? body.length : end) + 1;
  }
  return lines;
}

const digestOf = memoOfLastTexts(digest);

function sourcesOf(texts: ReadonlyMap<string, string>): Sources {
  const lines = new Map<string, LineIndex>();
  return {
    text: (uri) => texts.get(uri),
    lines(uri) {
      const text = texts.get(uri);
      let known = lines.get(uri);
      if (!known && text !== undefined) lines.set(uri, (known = new LineIndex(Rope.of(text))));
      return known;
    },
  };
}
