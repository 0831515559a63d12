import type { Paint } from './human.ts';
import { printable } from './printable.ts';
import { wrap } from './wrap.ts';

/**
 * A page of Markdown set for a terminal: headings, paragraphs, lists, quotes and fenced examples, wrapped to
 * `width` columns. Covers what the pages of this project are written in, not all of Markdown; anything else comes
 * out as it is written.
 */
export function terminalPage(
  markdown: string,
  options: { readonly width: number; readonly paint: Paint },
): string {
  const { width, paint } = options;
  const out: string[] = [];
  let paragraph: { first: string; rest: string; text: string } | undefined;
  const flush = (): void => {
    if (!paragraph) return;
    const { first, rest, text } = paragraph;
    const lines = wrap(inline(text, paint), width - rest.length);
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
    } else {
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
        paragraph = { first: '', rest: '', text: line.trim() };
      }
    }
  }
  flush();
  return `${out.join('\n').trimEnd()}\n`;
}

/** Stress and links inside a line; code keeps its backticks, which read well everywhere. */
function inline(text: string, paint: Paint): string {
  return text
    .split(/(`[^`]*`)/)
    .map((part) =>
      part.startsWith('`')
        ? part
        : part
            .replace(/\*\*([^*]+)\*\*/g, (_, stressed: string) => paint('strong', stressed))
            .replace(/\[([^\]]+)\]\(([^)\s]+)\)/g, (_, label: string, target: string) =>
              label === target ? target : `${label} (${target})`,
            ),
    )
    .join('');
}
