import { printable } from '../report/listing/printable.ts';

/**
 * Text from a plan inside Markdown: nothing in it may become a link, an image, HTML or formatting, and no line break
 * may end the line it stands in. Characters that hide or turn text are shown.
 */
export function escapeMarkdown(text: string): string {
  return printable(text.replace(/[\u0000-\u001f\u007f\u0085\u2028\u2029]/g, ' ')).replace(
    /[\\`*_{}[\]()#+!|<>~&$]/g,
    (sign) => `\\${sign}`,
  );
}
