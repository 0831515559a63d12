import type { Range } from '../../text/span.ts';
import { fingerprints } from './fingerprint.ts';
import { indented, lineColumnRange, formatListing, shownShard } from './listing.ts';
import type { ListedFinding, Listing, Outcome, ListingFormat, Severity, Sources } from './listing.ts';
import { jsonText } from './json-text.ts';

/** What the report says of one finding, whether it occurs or not. */
interface SarifRule {
  readonly id: string;
  readonly title: string;
  readonly means: string;
  /** Its usual severity; a shop may set another one. */
  readonly severity: Severity;
  /** The finding's page, in Markdown. */
  readonly page: string;
}

export interface SarifOptions {
  readonly version: string;
  readonly rules: readonly SarifRule[];
  /** URI of the repository's root folder, ending in a slash; what lies in it is named relative to it. */
  readonly root: string;
}

/**
 * A message that holds no link, whatever a plan says: `[text](target)` is one in SARIF (3.11.6) and in the Markdown that
 * viewers make of it. A space parts them, because few viewers take the standard's backslashes away again.
 */
const message = (text: string): { text: string } => ({ text: text.replaceAll('](', '] (') });

const base = 'SRCROOT';

const levelOf: Readonly<Record<Severity, string>> = {
  error: 'error',
  warning: 'warning',
  information: 'note',
};

/** A SARIF 2.1.0 log (OASIS standard) with one run: every finding as a rule with its page, every occurrence as a result. */
export function sarifPrintout(options: SarifOptions): ListingFormat {
  const ruleIndex = new Map(options.rules.map((rule, index) => [rule.id, index]));
  const artifactUri = (uri: string): string =>
    uri.startsWith(options.root) ? uri.slice(options.root.length) : uri;
  const artifactLocation = (uri: string): object =>
    uri.startsWith(options.root) ? { uri: artifactUri(uri), uriBaseId: base } : { uri };
  const location = (range: Range, sources: Sources): object => {
    const { line, column, endLine, endColumn } = lineColumnRange(range, sources);
    return {
      physicalLocation: {
        artifactLocation: artifactLocation(range.uri),
        region: { startLine: line, startColumn: column, endLine, endColumn },
      },
    };
  };
  const result = (found: ListedFinding, print: string, sources: Sources): object => ({
    ruleId: found.finding,
    ...(ruleIndex.has(found.finding) && { ruleIndex: ruleIndex.get(found.finding) }),
    level: levelOf[found.severity],
    message: message(found.message),
    locations: [location(found.range, sources)],
    ...(found.trace.length > 0 && {
      relatedLocations: found.trace.map((step, id) => ({
        id,
        message: message(step.message),
        ...location(step.range, sources),
      })),
    }),
    partialFingerprints: { 'plugwardFinding/v1': print },
    properties: {
      ...(found.operation !== undefined && { operation: found.operation }),
      ...(found.connector !== undefined && { connector: found.connector }),
    },
  });
  const log = (files: readonly { readonly uri: string }[], { unread, exitCode, shard }: Outcome): object => ({
    $schema: 'https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json',
    version: '2.1.0',
    runs: [
      {
        tool: {
          driver: {
            name: 'Plugward',
            semanticVersion: options.version,
            version: options.version,
            language: 'en',
            rules: options.rules.map((rule) => ({
              id: rule.id,
              shortDescription: { text: rule.title },
              fullDescription: { text: rule.means },
              defaultConfiguration: { level: levelOf[rule.severity] },
              help: { text: rule.page, markdown: rule.page },
            })),
          },
        },
        invocations: [
          {
            executionSuccessful: unread.length === 0,
            exitCode,
            toolExecutionNotifications: unread.map(({ uri, reason }) => ({
              level: 'error',
              message: message(reason),
              locations: [{ physicalLocation: { artifactLocation: artifactLocation(uri) } }],
            })),
          },
        ],
        originalUriBaseIds: {
          [base]: { uri: options.root, description: { text: 'The root of the repository.' } },
        },
        artifacts: files.map(({ uri }) => ({
          location: artifactLocation(uri),
          roles: ['analysisTarget'],
          mimeType: 'application/yaml',
          encoding: 'utf-8',
        })),
        results: [],
        columnKind: 'utf16CodeUnits',
        newlineSequences: ['\r\n', '\n', '\r'],
        ...(shard && { properties: { shard: shownShard(shard, artifactUri) } }),
      },
    ],
  });
  return {
    part(file, sources) {
      const prints = fingerprints({ files: [file], sources });
      return file.findings
        .map((found) => indented(jsonText(result(found, prints.get(found)!, sources)), 8))
        .join(',\n');
    },
    whole(files, outcome) {
      const parts = files.map(({ part }) => part).filter((part) => part !== '');
      const text = jsonText(log(files, outcome));
      if (parts.length === 0) return `${text}\n`;
      // The empty results array is unique: in plan text, quotes are escaped.
      const empty = '\n      "results": []';
      const at = text.lastIndexOf(empty);
      return `${text.slice(0, at)}${empty.slice(0, -1)}\n${parts.join(',\n')}\n      ]${text.slice(at + empty.length)}\n`;
    },
  };
}

export const sarifReport = (
  listing: Listing,
  options: SarifOptions & { readonly exitCode: number },
): string => formatListing(sarifPrintout(options), listing, options.exitCode);
