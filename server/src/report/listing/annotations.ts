import { placeOf } from './listing.ts';
import type { Listing, Severity } from './listing.ts';

const commandOf: Readonly<Record<Severity, string>> = {
  error: 'error',
  warning: 'warning',
  information: 'notice',
};

/** Line ends and percent signs as the workflow commands want them, so that no text of a plan becomes a command. */
function data(text: string): string {
  return text.replaceAll('%', '%25').replaceAll('\r', '%0D').replaceAll('\n', '%0A');
}

function property(text: string): string {
  return data(text).replaceAll(':', '%3A').replaceAll(',', '%2C');
}

/**
 * Build annotations in the common `::error file=…,line=…::message` form, one line a finding; the trace follows
 * its message. `name` gives the file's path from the root of the repository.
 */
export function annotations(listing: Listing, options: { readonly name: (uri: string) => string }): string {
  const command = (kind: string, properties: Record<string, string | number>, message: string): string => {
    const list = Object.entries(properties).map(([key, value]) => `${key}=${property(String(value))}`);
    return `::${kind} ${list.join(',')}::${data(message)}\n`;
  };
  const lines: string[] = [];
  for (const { uri, reason } of listing.unread) {
    lines.push(command('error', { file: options.name(uri), title: 'not checked' }, reason));
  }
  for (const { findings } of listing.files) {
    for (const found of findings) {
      const at = placeOf(found.range, listing.sources);
      const trace = found.trace.map((step) => {
        const where = placeOf(step.range, listing.sources).line;
        const file = step.range.uri === found.range.uri ? '' : `${options.name(step.range.uri)} `;
        return `\n↳ ${file}line ${where}: ${step.message}`;
      });
      lines.push(
        command(
          commandOf[found.severity],
          {
            file: options.name(found.range.uri),
            line: at.line,
            endLine: at.endLine,
            // Columns are only understood for a range inside one line.
            ...(at.line === at.endLine && { col: at.column, endColumn: at.endColumn }),
            title: found.finding,
          },
          found.message + trace.join(''),
        ),
      );
    }
  }
  return lines.join('');
}
