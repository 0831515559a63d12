import { isSingleWidth } from './text-width.ts';

/**
 * Text that is safe to show in a terminal: control characters, characters that turn the reading direction, odd
 * line ends, byte-order marks and halves of surrogate pairs are written as escapes, so that a text can neither
 * move the cursor, hide itself nor read differently from what it is. A tab becomes two spaces.
 */
export function printable(text: string): string {
  if (isSingleWidth(text)) return text;
  return text
    .replaceAll('\t', '  ')
    .replace(
      /[\u0000-\u001f\u007f-\u009f\u061c\u200b\u200e\u200f\u2028-\u202e\u2060-\u2069\ufeff]|[\ud800-\udfff]/gu,
      (unsafe) => `\\u${unsafe.charCodeAt(0).toString(16).padStart(4, '0')}`,
    );
}
