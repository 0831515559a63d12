import { readFileSync } from 'node:fs';
import path from 'node:path';
import fc from 'fast-check';
import type { Diagnostic, TextDocumentContentChangeEvent } from 'vscode-languageserver/node';
import { TextDocument } from 'vscode-languageserver-textdocument';
import { expect, it } from 'vitest';
import { fileUri } from './client.ts';
import { faultyPlan, startClient } from './folder.ts';

const samples = path.resolve('samples');
const uri = fileUri(path.join(samples, 'quarter-panel-faulty.repair-plan.yaml'));
const sample = readFileSync(path.join(samples, 'quarter-panel-faulty.repair-plan.yaml'), 'utf8');

/** An edit as a hand makes it, at places given as fractions of whatever the text is by then. */
const edits = fc.array(
  fc.record({
    at: fc.double({ min: 0, max: 1, noNaN: true }),
    length: fc.nat({ max: 40 }),
    text: fc.oneof(
      fc.constantFrom(
        '',
        '\n',
        '\r\n',
        '\r',
        ': ',
        '- ',
        '{',
        ']',
        '"',
        '#',
        '\t',
        'Ω',
        '🔌',
        '&a ',
        '*a',
        '<<: ',
      ),
      fc.string({ unit: 'grapheme', maxLength: 12 }),
    ),
    /** Whether the whole text is sent instead of the change. */
    whole: fc.nat({ max: 9 }).map((value) => value === 9),
  }),
  { minLength: 1, maxLength: 25 },
);

it('holds the same text as its client after any sequence of edits', async () => {
  const edited = await startClient(samples);
  const fresh = await startClient(samples);
  await fc.assert(
    fc.asyncProperty(edits, async (sequence) => {
      const document = TextDocument.create(uri, 'plugward-repair-plan', 1, sample);
      await edited.open(uri, sample);
      for (const { at, length, text, whole } of sequence) {
        const start = Math.round(at * document.getText().length);
        const range = {
          start: document.positionAt(start),
          end: document.positionAt(Math.min(start + length, document.getText().length)),
        };
        let change: TextDocumentContentChangeEvent = { range, text };
        const version = document.version + 1;
        TextDocument.update(document, [change], version);
        if (whole) change = { text: document.getText() };
        await edited.change(uri, version, change);
      }
      const { version } = document;
      const after = await edited.diagnostics(uri, version);
      await fresh.open(uri, document.getText(), version);
      const expected = await fresh.diagnostics(uri, version);
      expect(sorted(after)).toEqual(sorted(expected));
      for (const client of [edited, fresh]) {
        await client.close(uri);
        client.published.length = 0;
      }
    }),
    { numRuns: 25 },
  );
  expect(edited.errors).toEqual([]);
  expect(fresh.errors).toEqual([]);
});

function sorted(diagnostics: readonly Diagnostic[]): string[] {
  return diagnostics.map((diagnostic) => JSON.stringify(diagnostic)).sort();
}

it('checks a burst of keystrokes once, after its last', async () => {
  const client = await startClient(undefined);
  const plan = 'untitled:burst.repair-plan.yaml';
  await client.open(plan, faultyPlan);
  await client.diagnostics(plan, 1);
  const end = { line: 8, character: 0 };
  client.write(
    ...Array.from({ length: 50 }, (_, i) => ({
      method: 'textDocument/didChange',
      params: {
        textDocument: { uri: plan, version: i + 2 },
        contentChanges: [{ range: { start: end, end }, text: '#' }],
      },
    })),
  );
  await client.diagnostics(plan, 51);
  expect(client.published.map(({ version }) => version)).toEqual([1, 51]);
});
