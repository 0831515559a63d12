import { textWidth } from './text-width.ts';
import type { Paint } from './human.ts';
import { printable } from './printable.ts';
import { wrap } from './wrap.ts';

/**
 * A page of Markdown set for a terminal: headings, paragraphs, lists, quotes and fenced examples, wrapped to
 * `width` columns, and tables, as wide as they are. Covers what the pages of this project are written in, not all of Markdown; anything else comes
 * out as it is written.
 */
export function terminalPage(
  markdown: string,
  options: { readonly width: number; readonly paint: Paint },
): string {
  const { width, paint } = options;
  const out: string[] = [];
  let paragraph: { first: string; rest: string; text: string } | undefined;
  let rows: string[] = [];
  const flush = (): void => {
    if (rows.length > 0) out.push(...table(rows, paint));
    rows = [];
    if (!paragraph) return;
    const { first, rest, text } = paragraph;
    // Two trailing spaces are a hard line break.
    const lines = text.split('\n').flatMap((line) => wrap(inline(line, paint), width - rest.length));
    lines.forEach((line, index) => out.push((index === 0 ? first : rest) + line));
    paragraph = undefined;
  };
  let fence = false;
  for (const raw of markdown.split(/\r?\n/)) {
    const line = printable(raw);
    if (/^\s*(```|~~~)/.test(line)) {
      flush();
      fence = !fence;
    } else if (fence) {
      out.push(`    ${line}`.trimEnd());
    } else if (/^(-{3,}|\*{3,}|_{3,})$/.test(line.trim())) {
      flush();
      out.push(paint('quiet', '─'.repeat(width)));
    } else if (line.trim() === '') {
      flush();
      if (out.at(-1) !== '') out.push('');
    } else if (/^\s*\|.*\|$/.test(line)) {
      if (paragraph) flush();
      rows.push(line.trim());
    } else {
      if (rows.length > 0) flush();
      const [, level, title] = /^(#{1,6})\s+(.*)$/.exec(line) ?? [];
      const [, lead, mark, item] = /^(\s*)([-*+>]|\d+[.)])\s+(.*)$/.exec(line) ?? [];
      if (level !== undefined && title !== undefined) {
        flush();
        out.push(
          paint(
            level.length === 1 ? 'file' : 'strong',
            inline(title, (_, text) => text),
          ),
        );
      } else if (
        lead !== undefined &&
        mark !== undefined &&
        item !== undefined &&
        !(mark === '>' && paragraph)
      ) {
        flush();
        const sign = /^[-*+]$/.test(mark) ? '•' : mark === '>' ? '│' : mark;
        const first = `${lead}${sign} `;
        paragraph = { first, rest: mark === '>' ? first : ' '.repeat(first.length), text: item };
      } else if (paragraph) {
        paragraph.text += ` ${line.replace(/^\s*(>\s?)?/, '')}`;
      } else {
        paragraph = { first: '', rest: '', text: line.trimStart() };
      }
      if (paragraph && line.endsWith('  ')) paragraph.text += '\n';
    }
  }
  flush();
  return `${out.join('\n').trimEnd()}\n`;
}

/** Rows of a Markdown table, the second of which aligns the columns, as columns of even width. */
function table([head = '', aligned = '', ...body]: readonly string[], paint: Paint): string[] {
  const cellsOf = (row: string): string[] =>
    row
      .slice(1, -1)
      .split(/(?<!\\)\|/)
      .map((cell) => inline(cell.trim(), paint));
  const ends = cellsOf(aligned).map((cell) => cell.endsWith('-:'));
  const rows = [cellsOf(head).map((cell) => paint('quiet', cell)), ...body.map(cellsOf)];
  const widths = ends.map((_, i) => Math.max(...rows.map((cells) => textWidth(cells[i] ?? ''))));
  return rows.map((cells) =>
    cells
      .map((cell, i) => {
        const blanks = ' '.repeat((widths[i] ?? 0) - textWidth(cell));
        return ends[i] ? blanks + cell : cell + blanks;
      })
      .join('  ')
      .trimEnd(),
  );
}

const unescape = (text: string): string => text.replace(/\\([!-/:-@[-`{-~])/g, '$1');

/** Renders emphasis and links; code keeps its backticks, which are readable anywhere. */
function inline(text: string, paint: Paint): string {
  const parts =
    /\\[!-/:-@[-`{-~]|`[^`]*`|\*\*((?:\\.|[^*\\])+)\*\*|\*((?=\S)(?:\\.|[^*\\])+)\*|\[([^\]]+)\]\(([^)\s]+)\)/g;
  return text.replace(
    parts,
    (whole: string, strong?: string, stressed?: string, label?: string, target?: string) => {
      if (strong !== undefined) return paint('strong', unescape(strong));
      if (stressed !== undefined) return paint('quiet', unescape(stressed));
      if (label !== undefined) return label === target ? label : `${unescape(label)} (${target})`;
      return whole.startsWith('`') ? whole : unescape(whole);
    },
  );
}
