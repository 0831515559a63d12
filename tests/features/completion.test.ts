import { readFileSync } from 'node:fs';
import path from 'node:path';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { parse } from 'yaml';
import { applyEdits } from '../../server/src/text/span.ts';
import { complete } from '../../server/src/features/completion.ts';
import { plainText } from '../../server/src/features/snippets.ts';
import { openAt } from '../support/cursor.ts';
import { samples, sampleUri, sampleWorkspace } from '../support/files.ts';
import { exampleFiles, wholePlan } from '../support/frame.ts';

interface Case {
  readonly name: string;
  readonly text: string;
  readonly file?: string;
  readonly files?: Readonly<Record<string, string>>;
  readonly has?: readonly string[];
  readonly lacks?: readonly string[];
  readonly first?: readonly string[];
  readonly only?: readonly string[];
  readonly detail?: Readonly<Record<string, string>>;
  /** Words that what stands beside a label must hold. */
  readonly tells?: Readonly<Record<string, string>>;
  readonly pick?: string;
  readonly gives?: string;
}

const cases = parse(readFileSync(path.join(import.meta.dirname, 'completion.yaml'), 'utf8')) as Case[];
const today = '2027-02-10';

describe('completion', () => {
  test.each(cases.map((one) => [one.name, one] as const))('%s', (_, one) => {
    const text = one.file ? one.text : wholePlan(one.text);
    const files = { ...exampleFiles, ...one.files, [one.file ?? 'one.repair-plan.yaml']: text };
    const { workspace, uri, offset, text: plain } = openAt(files);
    const { items } = complete(workspace, uri, offset, { today });
    const labels = items.map(({ label }) => label);
    if (one.only) expect(labels).toEqual(one.only);
    if (one.first) expect(labels.slice(0, one.first.length)).toEqual(one.first);
    for (const label of one.has ?? []) expect(labels).toContain(label);
    for (const label of one.lacks ?? []) expect(labels).not.toContain(label);
    for (const [label, detail] of Object.entries(one.detail ?? {}))
      expect(items.find((item) => item.label === label)?.detail).toBe(detail);
    for (const [label, words] of Object.entries(one.tells ?? {}))
      expect(String(items.find((item) => item.label === label)?.documentation?.())).toContain(words);
    if (one.pick === undefined) return;
    const item = items.find(({ label }) => label === one.pick);
    expect(labels).toContain(one.pick);
    const edit = { ...item!.edit, text: item!.snippet ? plainText(item!.edit.text, '…') : item!.edit.text };
    const after = applyEdits(plain, [edit]);
    const start = plain.lastIndexOf('\n', offset - 1) + 1;
    const tail = plain.slice(plain.indexOf('\n', offset));
    expect(after.slice(start, after.length - tail.length)).toBe(one.gives);
  });
});

describe('for any typed text', () => {
  const files = samples();
  const names = Object.keys(files);
  const workspace = sampleWorkspace();

  test('completion answers at any cut of any sample, and changes only what stands at the cursor', () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...names),
        fc.double({ min: 0, max: 1, noNaN: true }),
        fc.nat({ max: 60 }),
        fc.constantFrom('', '{', '[', "'", '"', '- ', ': ', '#', '|\n', '\t', '\r\n', '$', '&a '),
        (name, at, lost, typed) => {
          const whole = files[name]!;
          const offset = Math.round(at * whole.length);
          const text = whole.slice(0, offset) + typed + whole.slice(offset + lost);
          const uri = sampleUri(name);
          workspace.set(uri, text);
          const here = offset + typed.length;
          for (const { edit } of complete(workspace, uri, here, { today }).items) {
            expect(edit.start).toBeLessThanOrEqual(here);
            expect(edit.end).toBeGreaterThanOrEqual(here);
            expect(text.slice(edit.start, edit.end)).not.toContain('\n');
          }
          workspace.set(uri, whole);
        },
      ),
      { numRuns: 120 },
    );
  });

  test('every step group leaves a valid plan, with unique ids', () => {
    const name = 'quarter-panel.repair-plan.yaml';
    const whole = files[name]!;
    const ends = [...whole.matchAll(/^ {2}- \{ id: op.*\n/gm)].map((match) => match.index + match[0].length);
    for (const offset of ends) {
      const uri = sampleUri(name);
      const text = `${whole.slice(0, offset)}  \n${whole.slice(offset)}`;
      workspace.set(uri, text);
      const { items } = complete(workspace, uri, offset + 2, { today });
      for (const item of items
        .filter(({ kind, filter }) => kind === 'steps' && filter !== 'operations')
        .slice(0, 3)) {
        workspace.set(uri, applyEdits(text, [{ ...item.edit, text: plainText(item.edit.text) }]));
        const plan = workspace.plan(uri)!;
        expect(plan.document.problems).toEqual([]);
        expect(plan.document.mistakes).toEqual([]);
        const ids = plan.steps.map(({ id }) => id);
        expect(new Set(ids).size).toBe(ids.length);
      }
    }
  });
});
