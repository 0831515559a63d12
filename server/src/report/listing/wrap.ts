import { textWidth } from './text-width.ts';

/** Breaks a text into lines of at most `width` columns at its white space; a longer word keeps a line of its own. */
export function wrap(text: string, width: number): string[] {
  const lines: string[] = [];
  let line = '';
  let used = 0;
  for (const word of text.split(/\s+/)) {
    if (word === '') continue;
    const columns = textWidth(word);
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
