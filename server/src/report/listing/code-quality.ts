import { fingerprints, fnv1a64 } from './fingerprint.ts';
import { jsonText } from './json-text.ts';
import { lineColumnRange } from './listing.ts';
import type { ListingFormat, Severity } from './listing.ts';
import { notChecked } from './lines.ts';

/** The words of the format, whose scale is info, minor, major, critical, blocker. */
const severityOf: Readonly<Record<Severity, string>> = {
  error: 'critical',
  warning: 'minor',
  information: 'info',
};

interface Place {
  readonly line: number;
  readonly column: number;
  readonly endLine: number;
  readonly endColumn: number;
}

/**
 * GitLab's code quality report (docs.gitlab.com, "Code Quality report format"): an array with an entry for each finding, its
 * path from the root of the repository. A file that could not be checked is an entry of the gravest severity.
 */
export function codeQualityPrintout({ name }: { readonly name: (uri: string) => string }): ListingFormat {
  const entry = (
    id: string,
    severity: string,
    file: string,
    print: string,
    { line, column, endLine, endColumn }: Place,
    description: string,
  ): string =>
    jsonText({
      engine_name: 'plugward',
      type: 'issue',
      check_name: id,
      description,
      categories: ['Bug Risk'],
      severity,
      fingerprint: print,
      location: {
        path: file,
        lines: { begin: line, end: endLine },
        positions: { begin: { line, column }, end: { line: endLine, column: endColumn } },
      },
    });
  return {
    part(file, sources) {
      const prints = fingerprints({ files: [file], sources });
      return file.findings
        .map((found) => {
          const path = name(found.range.uri);
          // Two files may hold the same lines: one fingerprint stands for one entry of the whole report.
          const print = fnv1a64(`${path}\0${prints.get(found)!}`);
          const at = lineColumnRange(found.range, sources);
          return entry(found.finding, severityOf[found.severity], path, print, at, found.message);
        })
        .join(',\n');
    },
    whole(files, { unread }) {
      const start: Place = { line: 1, column: 1, endLine: 1, endColumn: 1 };
      const entries = [
        ...unread.map(({ uri, reason }) => {
          const path = name(uri);
          return entry(notChecked, 'blocker', path, fnv1a64(`${path}\0${notChecked}`), start, reason);
        }),
        ...files.map(({ part }) => part).filter((part) => part !== ''),
      ];
      return entries.length === 0 ? '[]\n' : `[\n${entries.join(',\n')}\n]\n`;
    },
  };
}
