import { keepQuantities } from '../../language/quantities.ts';
import { isSingleWidth, textWidth } from './text-width.ts';

/**
 * Breaks a text into lines of at most `width` columns at its white space, but not between a number and its unit; a longer
 * word keeps a line of its own.
 */
export function wrap(text: string, width: number): string[] {
  const lines: string[] = [];
  const even = isSingleWidth(text);
  let line = '';
  let used = 0;
  for (const part of keepQuantities(text).split(/[^\S\u00a0]+/)) {
    if (part === '') continue;
    // A terminal and whoever searches its output know one kind of space.
    const word = part.replaceAll('\u00a0', ' ');
    const columns = even ? word.length : textWidth(word);
    if (line !== '' && used + 1 + columns <= width) {
      line += ` ${word}`;
      used += 1 + columns;
    } else {
      if (line !== '') lines.push(line);
      line = word;
      used = columns;
    }
  }
  if (line !== '') lines.push(line);
  return lines;
}
