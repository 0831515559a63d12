import { fingerprints } from './fingerprint.ts';
import { count, placeOf } from './listing.ts';
import type { ListedFinding, Listing, Severity } from './listing.ts';
import type { Range } from '../../document/text.ts';

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
  /** How the plan gets there, in reading order. */
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

export function jsonReport(
  listing: Listing,
  options: { readonly version: string; readonly name: (uri: string) => string },
): string {
  const prints = fingerprints(listing);
  const place = (range: Range): JsonPlace => {
    const at = placeOf(range, listing.sources);
    return {
      file: options.name(range.uri),
      start: { line: at.line, column: at.column, offset: range.start },
      end: { line: at.endLine, column: at.endColumn, offset: range.end },
    };
  };
  const entry = (found: ListedFinding): JsonFinding => ({
    finding: found.finding,
    severity: found.severity,
    message: found.message,
    ...place(found.range),
    ...(found.operation !== undefined && { operation: found.operation }),
    ...(found.connector !== undefined && { connector: found.connector }),
    trace: found.trace.map((step) => ({ message: step.message, ...place(step.range) })),
    fingerprint: prints.get(found)!,
  });
  const counts = count(listing);
  const report: JsonReport = {
    tool: { name: 'plugward', version: options.version },
    format: 1,
    findings: listing.files.flatMap((file) => file.findings.map(entry)),
    unread: listing.unread.map(({ uri, reason }) => ({ file: options.name(uri), reason })),
    summary: {
      files: counts.files,
      errors: counts.error,
      warnings: counts.warning,
      information: counts.information,
      unread: counts.unread,
      byFinding: Object.fromEntries(counts.byFinding),
    },
  };
  return `${JSON.stringify(report, null, 2)}\n`;
}
