import fc from 'fast-check';
import { expect, test } from 'vitest';
import { TextDocument } from 'vscode-languageserver-textdocument';
import { numbersOf } from '../../server/src/base/numbers.ts';
import { LineIndex } from '../../server/src/text/line-index.ts';
import { Rope } from '../../server/src/text/rope.ts';

const text = fc.string({
  unit: fc.constantFrom('a', ' ', '\n', '\n', '\r', '\r\n', 'é', '😀'),
  maxLength: 24,
});

/** The protocol's own library says where a line ends (Language Server Protocol 3.17, Text Documents). */
const same = (lines: LineIndex, of: string): void => {
  const document = TextDocument.create('file:///a', 'a', 1, of);
  expect(lines.lineCount).toBe(document.lineCount);
  for (let line = 0; line < lines.lineCount; line++) {
    expect(lines.lineStart(line)).toBe(document.offsetAt({ line, character: 0 }));
  }
  for (let offset = 0; offset <= of.length; offset++) {
    const { line, character } = lines.positionAt(offset);
    expect(lines.lineStart(line) + character).toBe(offset);
    if (line + 1 < lines.lineCount) expect(lines.lineStart(line + 1)).toBeGreaterThan(offset);
  }
};

test('lines are where the protocol says, for a new text and after any edit', () => {
  fc.assert(
    fc.property(fc.array(text, { minLength: 1, maxLength: 5 }), (texts) => {
      let before = texts[0]!;
      let lines = new LineIndex(Rope.of(before));
      same(lines, before);
      for (const next of texts.slice(1)) {
        // An edit in the middle keeps what stands around it.
        const after = before.slice(0, before.length >> 1) + next + before.slice((before.length >> 1) + 2);
        const change = Rope.of(before).diffTo(Rope.of(after));
        lines = change ? new LineIndex(Rope.of(after), { before: lines, change }) : lines;
        same(lines, after);
        same(new LineIndex({ starts: numbersOf(lines.starts), length: after.length }), after);
        before = after;
      }
    }),
    { numRuns: 6_000 },
  );
});
