import { readFileSync } from 'node:fs';
import path from 'node:path';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { parse } from 'yaml';
import { applyEdits, rangeOf } from '../../server/src/text/span.ts';
import type { Edit } from '../../server/src/text/span.ts';
import { check } from '../../server/src/features/check.ts';
import { localize } from '../../server/src/features/in-words.ts';
import { namesIn } from '../../server/src/features/names.ts';
import { definitionsAt, highlightsAt, occurrencesAt } from '../../server/src/features/navigation.ts';
import { prepareRename, rename } from '../../server/src/features/rename.ts';
import type { Workspace } from '../../server/src/workspace/workspace.ts';
import { openAt, placed } from '../support/cursor.ts';
import { sampleWorkspace } from '../support/files.ts';

interface Case {
  readonly name: string;
  readonly files: Readonly<Record<string, string>>;
  readonly defined?: readonly string[];
  readonly stands?: readonly string[];
  readonly renamed?: string;
  readonly refused?: string;
  readonly changes?: Readonly<Record<string, readonly string[]>>;
}

const source = readFileSync(path.join(import.meta.dirname, 'names.yaml'), 'utf8');
const cases = parse(source, { merge: true }) as Case[];

describe('a name', () => {
  test.each(cases.map((one) => [one.name, one] as const))('%s', (_, one) => {
    const { workspace, uri, offset } = openAt(one.files);
    if (one.defined)
      expect(
        definitionsAt(workspace, uri, offset)
          .map((range) => placed(workspace, range))
          .sort(),
      ).toEqual([...one.defined].sort());
    if (one.stands) {
      const found = occurrencesAt(workspace, uri, offset)!;
      const all = [...found.definitions, ...found.references];
      expect(all.map((range) => placed(workspace, range)).sort()).toEqual(one.stands);
      const here = all.filter((range) => range.uri === uri).map((range) => placed(workspace, range));
      const lit = highlightsAt(workspace, uri, offset).map(({ range }) => placed(workspace, range));
      expect(lit.sort()).toEqual(here.sort());
    }
    if (one.renamed === undefined) return;
    const result = rename(workspace, uri, offset, one.renamed);
    if (one.refused !== undefined) {
      const refused = 'refused' in result ? result.refused : undefined;
      expect(String(refused)).toContain(one.refused);
      // An editor shows it in a notice that cuts off what is longer.
      for (const language of ['en', 'es'])
        expect(localize(refused!, { language }).length).toBeLessThanOrEqual(120);
      return;
    }
    expect(prepareRename(workspace, uri, offset)).toHaveProperty('id');
    expect(changed(workspace, 'edits' in result ? result.edits : [])).toEqual(one.changes);
  });
});

/** The lines that edits change, by the first word of the file's name. */
function changed(workspace: Workspace, edits: readonly Edit[]): Record<string, string[]> {
  const found: Record<string, string[]> = {};
  for (const uri of new Set(edits.map((edit) => edit.uri))) {
    const before = workspace.text(uri)!.split('\n');
    const after = applyEdits(workspace.text(uri)!, edits, uri).split('\n');
    found[uri.slice(uri.lastIndexOf('/') + 1).split('.')[0]!] = after.filter((line, i) => line !== before[i]);
  }
  return found;
}

describe('renaming in the samples', () => {
  const workspace = sampleWorkspace();
  const before = new Map(workspace.uris.map((uri) => [uri, workspace.text(uri)!]));
  const places = workspace.uris.flatMap((uri) =>
    namesIn(workspace.plan(uri)!).map(({ span, id }) => ({ uri, offset: rangeOf(span).start + 1, id })),
  );
  const apply = (edits: readonly Edit[]): void => {
    for (const uri of new Set(edits.map((edit) => edit.uri)))
      workspace.set(uri, applyEdits(workspace.text(uri)!, edits, uri));
  };
  /** Findings in words, with one name put in the place of another. */
  const findings = (from: string, to: string): string[] =>
    workspace.uris.flatMap((uri) =>
      check(workspace, uri, { today: '2027-02-10' }).map(({ finding, message, severity }) =>
        `${uri} ${finding} ${severity} ${message}`.replaceAll(
          new RegExp(`(?<![\\w-])${from}(?![\\w-])`, 'g'),
          to,
        ),
      ),
    );

  test('renaming back restores the text, and in between the findings differ only in the name', () => {
    let done = 0;
    fc.assert(
      fc.property(
        fc.constantFrom(...places),
        fc.constantFrom('zz-new', 'renamed-1'),
        ({ uri, offset, id }, to) => {
          const there = rename(workspace, uri, offset, to);
          if (!('edits' in there)) return;
          done++;
          const expected = findings(id, to);
          apply(there.edits);
          try {
            expect(findings(id, to).sort()).toEqual(expected.sort());
            // The name has moved by what the edits before it added.
            const moved = there.edits
              .filter((edit) => edit.uri === uri && edit.start < offset - 1)
              .reduce((sum, edit) => sum + edit.text.length - (edit.end - edit.start), 0);
            const back = rename(workspace, uri, offset + moved, id);
            expect(back).toHaveProperty('edits');
            if ('edits' in back) apply(back.edits);
            for (const [file, text] of before) expect(workspace.text(file)).toBe(text);
          } finally {
            for (const [file, text] of before) workspace.set(file, text);
          }
        },
      ),
      { numRuns: 40 },
    );
    expect(done).toBeGreaterThan(10);
  });
});
