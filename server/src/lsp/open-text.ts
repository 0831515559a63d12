import type { Position, TextDocumentContentChangeEvent } from 'vscode-languageserver';
import { LineIndex } from '../text/line-index.ts';
import { Rope } from '../text/rope.ts';

/** One state of a file that is open in the editor. */
export class OpenText {
  #lines: LineIndex | undefined;

  private constructor(
    /** As the client writes it. */
    readonly uri: string,
    readonly version: number,
    readonly text: Rope,
    lines?: LineIndex,
  ) {
    this.#lines = lines;
  }

  static create(uri: string, _languageId: string, version: number, content: string): OpenText {
    return new OpenText(uri, version, Rope.of(content));
  }

  static update(
    before: OpenText,
    changes: readonly TextDocumentContentChangeEvent[],
    version: number,
  ): OpenText {
    let now = new OpenText(before.uri, version, before.text, before.#lines);
    for (const change of changes) {
      if (!('range' in change)) {
        now = new OpenText(now.uri, version, Rope.of(change.text));
        continue;
      }
      const [one, other] = [now.offsetAt(change.range.start), now.offsetAt(change.range.end)];
      const [start, end] = [Math.min(one, other), Math.max(one, other)];
      const text = now.text.replaced(start, end, change.text);
      const edited = { before: now.lines, change: { start, end, newEnd: start + change.text.length } };
      now = new OpenText(now.uri, version, text, new LineIndex(text, edited));
    }
    return now;
  }

  get lines(): LineIndex {
    return (this.#lines ??= new LineIndex(this.text));
  }

  /** A character beyond the end of the line means the end of the line (LSP). */
  offsetAt({ line, character }: Position): number {
    const start = this.lines.lineStart(line);
    let offset = this.lines.offsetAt({ line, character });
    while (offset > start && /[\r\n]/.test(this.text.slice(offset - 1, offset))) offset--;
    return offset;
  }
}
