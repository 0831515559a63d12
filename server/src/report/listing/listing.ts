import { severities } from '../../base/severities.ts';
import type { Severity } from '../../base/severities.ts';
import type { LineIndex } from '../../text/line-index.ts';
import type { Range } from '../../text/span.ts';

/**
 * What a run of the checker found, as every printout of this folder takes it. The shapes of `ListedFinding` and
 * `Sources` are those of the checker and of the workspace, so both are handed in as they are.
 */
export type { Severity } from '../../base/severities.ts';

/** Whether a finding is shown where milder ones are left out: that errors are lowered is always shown. */
export const isShown =
  (only: Severity | undefined) =>
  ({ finding, severity }: Pick<ListedFinding, 'finding' | 'severity'>): boolean =>
    only === undefined ||
    severities.indexOf(severity) <= severities.indexOf(only) ||
    finding === 'errors-lowered';

export interface ListedFinding {
  readonly finding: string;
  readonly severity: Severity;
  readonly message: string;
  readonly range: Range;
  readonly trace: readonly { readonly message: string; readonly range: Range }[];
  readonly operation?: string | undefined;
  readonly connector?: string | undefined;
}

/** The texts that the ranges of a listing point into. */
export interface Sources {
  text(uri: string): string | undefined;
  lines(uri: string): LineIndex | undefined;
}

export interface Listing {
  /** Every checked file, in the requested order, with or without findings. */
  readonly files: readonly { readonly uri: string; readonly findings: readonly ListedFinding[] }[];
  /** What could not be read: the name to show and the reason in plain words. */
  readonly unread: readonly { readonly uri: string; readonly reason: string }[];
  readonly sources: Sources;
}

/** A file that was checked. */
export type ListedFile = Listing['files'][number];
type Unread = Listing['unread'];

/** A file of a shard, and its place in the whole run. */
export interface ShardFile {
  readonly uri: string;
  readonly at: number;
}

/** A run that was one of several parts. `plugward merge` puts them together by this. */
export interface ShardRecord {
  /** From 1. */
  readonly number: number;
  readonly of: number;
  /** How many files the whole run has. */
  readonly total: number;
  readonly today: string;
  readonly files: readonly ShardFile[];
  /** How many findings each file has; absent for one that was not checked. */
  readonly findings: ReadonlyMap<string, number>;
}

/** A shard as its report says it; files by the names of that report, `null` for one that was not checked. */
export interface ShownShard extends Omit<ShardRecord, 'files' | 'findings'> {
  readonly files: readonly (readonly [name: string, at: number, findings: number | null])[];
}

export const shownShard = (
  { files, findings, ...rest }: ShardRecord,
  name: (uri: string) => string,
): ShownShard => ({ ...rest, files: files.map(({ uri, at }) => [name(uri), at, findings.get(uri) ?? null]) });

/** Result of a run. */
export interface Outcome {
  readonly shard?: ShardRecord | undefined;
  readonly counts: Counts;
  readonly unread: Unread;
  readonly exitCode: number;
}

/** A formatter that works file by file, so that files need not be kept in memory. */
export interface ListingFormat {
  /** A file's part of it, made while the file is at hand; '' when there is nothing to say. */
  part(file: ListedFile, sources: Sources): string;
  /** Assembles the whole printout from the parts, in the order requested. */
  whole(files: readonly { readonly uri: string; readonly part: string }[], outcome: Outcome): string;
}

export function formatListing(printout: ListingFormat, listing: Listing, exitCode = 0): string {
  const parts = listing.files.map((file) => ({ uri: file.uri, part: printout.part(file, listing.sources) }));
  return printout.whole(parts, { counts: count(listing), unread: listing.unread, exitCode });
}

/** Indents JSON by `blanks` spaces for embedding. */
export function indented(json: string, blanks: number): string {
  const margin = ' '.repeat(blanks);
  return margin + json.replaceAll('\n', `\n${margin}`);
}

/** A range as people and most tools count it: lines and columns from 1, columns in UTF-16 code units. */
export interface LineColumnRange {
  readonly line: number;
  readonly column: number;
  readonly endLine: number;
  readonly endColumn: number;
}

/** The place of a range; the start of the file when its text is not known. */
export function lineColumnRange(range: Range, sources: Sources): LineColumnRange {
  const lines = sources.lines(range.uri);
  if (!lines) return { line: 1, column: 1, endLine: 1, endColumn: 1 };
  const start = lines.positionAt(range.start);
  const end = lines.positionAt(range.end);
  return {
    line: start.line + 1,
    column: start.character + 1,
    endLine: end.line + 1,
    endColumn: end.character + 1,
  };
}

export interface Counts {
  readonly files: number;
  readonly error: number;
  readonly warning: number;
  readonly information: number;
  readonly unread: number;
  /** How often each finding occurs, the commonest first, equals by name. */
  readonly byFinding: readonly (readonly [finding: string, count: number])[];
}

/** Counts findings file by file. */
export class Tally {
  readonly #bySeverity = { error: 0, warning: 0, information: 0 };
  readonly #byFinding = new Map<string, number>();
  #files = 0;

  add(findings: readonly Pick<ListedFinding, 'finding' | 'severity'>[]): void {
    this.#files++;
    for (const { finding, severity } of findings) {
      this.#bySeverity[severity]++;
      this.#byFinding.set(finding, (this.#byFinding.get(finding) ?? 0) + 1);
    }
  }

  get counts(): Omit<Counts, 'unread'> {
    return {
      files: this.#files,
      ...this.#bySeverity,
      byFinding: [...this.#byFinding].sort((a, b) => b[1] - a[1] || (a[0] < b[0] ? -1 : 1)),
    };
  }
}

function count(listing: Listing): Counts {
  const tally = new Tally();
  for (const { findings } of listing.files) tally.add(findings);
  return { ...tally.counts, unread: listing.unread.length };
}
