import { fingerprints } from './fingerprint.ts';
import { indented, lineColumnRange, formatListing, shownShard } from './listing.ts';
import type { Counts, ListedFile, Listing, ListingFormat, Severity, ShownShard, Sources } from './listing.ts';
import type { Range } from '../../text/span.ts';
import { jsonText } from './json-text.ts';

/** A place in a file. Lines and columns count from 1, columns and offsets in UTF-16 code units; the end is exclusive. */
interface JsonPlace {
  readonly file: string;
  readonly start: { readonly line: number; readonly column: number; readonly offset: number };
  readonly end: { readonly line: number; readonly column: number; readonly offset: number };
}

interface JsonFinding extends JsonPlace {
  readonly finding: string;
  readonly severity: Severity;
  readonly message: string;
  readonly operation?: string;
  readonly connector?: string;
  /** The trace, in reading order. */
  readonly trace: readonly (JsonPlace & { readonly message: string })[];
  /** Stays the same when lines move; unique in its file. */
  readonly fingerprint: string;
}

/**
 * The JSON printout. Keys are added in later versions, never renamed or removed while `format` is 1. File names
 * are relative to the folder the check ran in, with forward slashes.
 */
export interface JsonReport {
  readonly tool: { readonly name: 'plugward'; readonly version: string };
  readonly format: 1;
  /** Of a part of a run. */
  readonly shard?: ShownShard;
  readonly findings: readonly JsonFinding[];
  readonly unread: readonly { readonly file: string; readonly reason: string }[];
  readonly summary: {
    readonly files: number;
    readonly errors: number;
    readonly warnings: number;
    readonly information: number;
    readonly unread: number;
    readonly byFinding: Readonly<Record<string, number>>;
  };
}

interface JsonOptions {
  readonly version: string;
  /** The name of a file as the reader knows it. */
  readonly name: (uri: string) => string;
}

export const jsonSummary = (counts: Counts): JsonReport['summary'] => ({
  files: counts.files,
  errors: counts.error,
  warnings: counts.warning,
  information: counts.information,
  unread: counts.unread,
  byFinding: Object.fromEntries(counts.byFinding),
});

export function jsonPrintout({ version, name }: JsonOptions): ListingFormat {
  const tool: JsonReport['tool'] = { name: 'plugward', version };
  const format: JsonReport['format'] = 1;
  return {
    part: (file, sources) =>
      entriesOf(file, sources, name)
        .map((entry) => `\n${indented(jsonText(entry), 4)}`)
        .join(','),
    whole(files, { counts, unread, shard }) {
      const parts = files.map(({ part }) => part).filter((part) => part !== '');
      const rest: Pick<JsonReport, 'unread' | 'summary'> = {
        unread: unread.map(({ uri, reason }) => ({ file: name(uri), reason })),
        summary: jsonSummary({ ...counts, unread: unread.length }),
      };
      const start = opened(
        { tool, format, ...(shard && { shard: shownShard(shard, name) }) },
        ',\n  "findings": [',
      );
      const end = `${parts.length > 0 ? '\n  ' : ''}],${jsonText(rest).slice(1)}\n`;
      return start + parts.join(',') + end;
    },
  };
}

export const jsonReport = (listing: Listing, options: JsonOptions): string =>
  formatListing(jsonPrintout(options), listing);

/** Serialises an object, leaving it open to append `more`. */
const opened = (object: object, more: string): string => jsonText(object).replace(/\n\}$/, more);

function entriesOf(file: ListedFile, sources: Sources, name: (uri: string) => string): JsonFinding[] {
  const prints = fingerprints({ files: [file], sources });
  const place = (range: Range): JsonPlace => {
    const at = lineColumnRange(range, sources);
    return {
      file: name(range.uri),
      start: { line: at.line, column: at.column, offset: range.start },
      end: { line: at.endLine, column: at.endColumn, offset: range.end },
    };
  };
  return file.findings.map((found) => ({
    finding: found.finding,
    severity: found.severity,
    message: found.message,
    ...place(found.range),
    ...(found.operation !== undefined && { operation: found.operation }),
    ...(found.connector !== undefined && { connector: found.connector }),
    trace: found.trace.map((step) => ({ message: step.message, ...place(step.range) })),
    fingerprint: prints.get(found)!,
  }));
}
