import { printable } from './printable.ts';
import { lineColumnRange, formatListing } from './listing.ts';
import type { ListedFinding, Listing, ListingFormat, Severity, Sources } from './listing.ts';

const commandOf: Readonly<Record<Severity, string>> = {
  error: 'error',
  warning: 'warning',
  information: 'notice',
};

/** Line ends and percent signs as the workflow commands want them, so that no text or name becomes a command. */
function data(text: string): string {
  const lines = text.replaceAll('\r', '').split('\n').map(printable);
  return lines.join('\n').replaceAll('%', '%25').replaceAll('\n', '%0A');
}

function property(text: string): string {
  return data(text).replaceAll(':', '%3A').replaceAll(',', '%2C');
}

/**
 * Build annotations in the common `::error file=…,line=…::message` form, one line a finding; the trace follows
 * its message. `name` gives the file's path from the root of the repository.
 */
export function annotationsPrintout({ name }: { readonly name: (uri: string) => string }): ListingFormat {
  const command = (kind: string, properties: Record<string, string | number>, message: string): string => {
    const list = Object.entries(properties).map(([key, value]) => `${key}=${property(String(value))}`);
    return `::${kind} ${list.join(',')}::${data(message)}\n`;
  };
  const line = (found: ListedFinding, sources: Sources): string => {
    const at = lineColumnRange(found.range, sources);
    const trace = found.trace.map((step) => {
      const where = lineColumnRange(step.range, sources).line;
      const file = step.range.uri === found.range.uri ? '' : `${name(step.range.uri)} `;
      return `\n↳ ${file}line ${where}: ${step.message}`;
    });
    const properties = {
      file: name(found.range.uri),
      line: at.line,
      endLine: at.endLine,
      // Columns are only understood for a range inside one line.
      ...(at.line === at.endLine && { col: at.column, endColumn: at.endColumn }),
      title: found.finding,
    };
    return command(commandOf[found.severity], properties, found.message + trace.join(''));
  };
  return {
    part: ({ findings }, sources) => findings.map((found) => line(found, sources)).join(''),
    whole: (files, { unread }) =>
      [
        ...unread.map(({ uri, reason }) =>
          command('error', { file: name(uri), title: 'not checked' }, reason),
        ),
        ...files.map(({ part }) => part),
      ].join(''),
  };
}

export const annotations = (listing: Listing, options: { readonly name: (uri: string) => string }): string =>
  formatListing(annotationsPrintout(options), listing);
