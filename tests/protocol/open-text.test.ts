import fc from 'fast-check';
import { expect, test } from 'vitest';
import { TextDocument } from 'vscode-languageserver-textdocument';
import type { Position } from 'vscode-languageserver-textdocument';
import { OpenText } from '../../server/src/lsp/open-text.ts';

const text = fc
  .array(fc.constantFrom('plan: a', ' ', '\n', '\r\n', 'é😀', '\r', '- id\n'), { maxLength: 30 })
  .map((parts) => parts.join(''));
const position = fc.record({ line: fc.nat(12), character: fc.nat(12) });
const change = fc.oneof(
  { weight: 9, arbitrary: fc.record({ range: fc.record({ start: position, end: position }), text }) },
  { weight: 1, arbitrary: fc.record({ text }) },
);

test("an open text follows a client's changes as the protocol's own library does", () => {
  fc.assert(
    fc.property(text, fc.array(fc.array(change, { maxLength: 1 }), { maxLength: 12 }), (source, messages) => {
      let ours = OpenText.create('file:///a', 'a', 1, source);
      let theirs = TextDocument.create('file:///a', 'a', 1, source);
      messages.forEach((drawn, i) => {
        const inside = (at: Position): Position => ({ ...at, line: Math.min(at.line, theirs.lineCount - 1) });
        // Of places behind the last line the library makes no numbers once it has numbered the lines.
        const changes = drawn.map((one) =>
          'range' in one
            ? { ...one, range: { start: inside(one.range.start), end: inside(one.range.end) } }
            : one,
        );
        ours = OpenText.update(ours, changes, i + 2);
        theirs = TextDocument.update(theirs, changes, i + 2);
        expect(String(ours.text)).toBe(theirs.getText());
        expect(ours.version).toBe(theirs.version);
        for (let line = 0; line <= theirs.lineCount; line++) {
          for (const character of [0, 3, 100]) {
            const at = { line, character };
            expect(ours.offsetAt(at)).toBe(theirs.offsetAt(at));
          }
        }
      });
    }),
    { numRuns: 2_000 },
  );
});
