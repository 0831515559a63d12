import { printable } from './printable.ts';
import { isShown, lineColumnRange } from './listing.ts';
import type { ListingFormat, Severity } from './listing.ts';

interface LinesOptions {
  /** The name of a file as the reader knows it. */
  readonly name: (uri: string) => string;
  /** Leave out what is milder. */
  readonly only?: Severity | undefined;
}

/** One line a finding, `file:line:column: severity id: message`, as editors read lists of errors. */
export function linesPrintout({ name, only }: LinesOptions): ListingFormat {
  return {
    part: ({ findings }, sources) =>
      findings
        .filter(isShown(only))
        .map(({ range, severity, finding, message }) => {
          const { line, column } = lineColumnRange(range, sources);
          return `${printable(`${name(range.uri)}:${line}:${column}: ${severity} ${finding}: ${message.replaceAll(/\s+/g, ' ')}`)}\n`;
        })
        .join(''),
    whole: (files, { unread }) =>
      [
        ...unread.map(
          ({ uri, reason }) => `${printable(`${name(uri)}:1:1: error ${notChecked}: ${reason}`)}\n`,
        ),
        ...files.map(({ part }) => part),
      ].join(''),
  };
}

/** Stands in the place of a finding's id for a file that could not be read or checked. */
export const notChecked = 'not-checked';
