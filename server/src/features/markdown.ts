/**
 * Text from a plan inside Markdown: nothing in it may become a link, an image, HTML or formatting, and no line break
 * may end the line it stands in.
 */
export function escapeMarkdown(text: string): string {
  return text
    .replace(/[\u0000-\u001f\u007f]/g, ' ')
    .replace(/[\\`*_{}[\]()#+!|<>~&$]/g, (sign) => `\\${sign}`);
}
