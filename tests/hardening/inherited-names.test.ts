import { describe, expect, test } from 'vitest';
import type { AnyNode } from '../../server/src/document/node.ts';
import { check } from '../../server/src/features/check.ts';
import { lenses } from '../../server/src/features/lenses.ts';
import { print } from '../../server/src/features/print.ts';
import type { PrintKind } from '../../server/src/features/print.ts';
import { status } from '../../server/src/features/status.ts';
import { rangeOf } from '../../server/src/text/span.ts';
import { samples, sampleUri, sampleWorkspace } from '../support/files.ts';

/**
 * Names that every JavaScript object inherits (ECMA-262, properties of the Object prototype), each with letters that are
 * to be replaced, so that a word of the same length comes of it that no object has. A file may use either; Plugward must
 * say the same of both.
 */
const twins = [
  ['toString', 'oString', 'uStrong'],
  ['constructor', 'onstructor', 'anstructir'],
  ['__proto__', 'proto', 'prata'],
] as const;

const settings = { today: '2027-02-10' };
const files = samples();

interface Place {
  readonly file: string;
  readonly start: number;
  readonly end: number;
}

/** One place of each kind in the samples: a value at a path, a key of a group. */
function placesByPath(): Map<string, Place> {
  const workspace = sampleWorkspace();
  const places = new Map<string, Place>();
  for (const file of Object.keys(files)) {
    const document = workspace.document(sampleUri(file));
    if (!document?.root) continue;
    const note = (path: string, span: Parameters<typeof rangeOf>[0]): void => {
      const { start, end, uri } = rangeOf(span);
      // The faulty plan's places stand for those of all plans.
      if (uri === sampleUri(file)) places.set(`${document.kind} ${path}`, { file, start, end });
    };
    const visit = (node: AnyNode, path: string): void => {
      if (node.kind === 'scalar') return note(path, node.span);
      if (node.kind === 'list') return node.items.forEach((item) => visit(item as AnyNode, `${path}[]`));
      for (const { key, keySpan, value } of node.entries) {
        note(`${path}.${key} (key)`, keySpan);
        visit(value, `${path}.${key}`);
      }
    };
    visit(document.root as AnyNode, '');
  }
  return places;
}

const prints: readonly PrintKind[] = ['job-card', 'estimate', 'review'];

/** Everything that is said of the samples when `word` stands at a place. */
function saidWith(word: string, { file, start, end }: Place): string {
  const workspace = sampleWorkspace();
  const text = files[file]!;
  workspace.set(sampleUri(file), text.slice(0, start) + word + text.slice(end));
  return Object.keys(files)
    .map(sampleUri)
    .filter((uri) => workspace.dependents(sampleUri(file)).includes(uri))
    .slice(0, 2)
    .map((uri) =>
      JSON.stringify([
        check(workspace, uri, settings),
        lenses(workspace, uri, settings),
        status(workspace, uri, settings),
        prints.map((kind) => print(workspace, uri, kind, settings, new Map())?.html),
      ]),
    )
    .join('\n');
}

const places = placesByPath();

test('the samples contain the positions that are tried', () => {
  expect(places.size).toBeGreaterThan(150);
  expect([...places.keys()]).toEqual(expect.arrayContaining(['rate-sheet .plugward.sign-offs[]']));
});

describe.each(twins)('%s', (inherited, letters, others) => {
  const word = inherited.replace(letters, others);
  test('says what any other word says, wherever it stands', { timeout: 120_000 }, () => {
    const differing = [...places].filter(([, place]) => {
      try {
        const said = saidWith(inherited, place);
        return said.includes('Plugward failed') || said.replaceAll(letters, others) !== saidWith(word, place);
      } catch {
        return true;
      }
    });
    expect(differing.map(([path]) => path)).toEqual([]);
  });
});
