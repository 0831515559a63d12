import { readdirSync, readFileSync } from 'node:fs';
import path from 'node:path';
import ts from 'typescript';
import { describe, expect, test } from 'vitest';
import { parse } from 'yaml';
import { languageTags } from '../../server/src/language/language.ts';
import { root } from '../support/files.ts';

const read = (file: string): string => readFileSync(path.join(root, file), 'utf8');
const json = (file: string) => JSON.parse(read(file)) as Record<string, string>;

/** Every text that the client hands to the editor's `l10n.t`. */
function inClient(): string[] {
  const found: string[] = [];
  for (const name of readdirSync(path.join(root, 'client/src'))) {
    const visit = (node: ts.Node): void => {
      if (ts.isCallExpression(node) && node.expression.getText() === 'l10n.t') {
        const [words] = node.arguments;
        expect(words && ts.isStringLiteralLike(words), `${name}: ${node.getText()}`).toBe(true);
        found.push((words as ts.StringLiteralLike).text);
      }
      ts.forEachChild(node, visit);
    };
    visit(ts.createSourceFile(name, read(`client/src/${name}`), ts.ScriptTarget.ESNext, true));
  }
  return found;
}

const places = (text: string): string[] =>
  (text.match(/\{\d+\}|(`+)[^`]+\1|\]\(command:[^)]+\)/g) ?? []).sort();

describe.each(languageTags.filter((tag) => tag !== 'en'))(
  'what the editor shows without the server, in %s',
  (tag) => {
    const catalogue = parse(read(`client/l10n/${tag}.yaml`)) as Record<string, string>;
    const inManifest = json('dist/package/package.nls.json');

    test('translates every text of the client and of the manifest, and nothing else', () => {
      // The names of the findings are the server's words.
      const own = Object.entries(inManifest).filter(([name]) => !name.startsWith('finding-'));
      const said = new Set([...inClient(), ...own.map(([, text]) => text)]);
      expect(said.size).toBeGreaterThan(35);
      expect(Object.keys(catalogue).sort()).toEqual([...said].sort());
    });

    test('keeps placeholders, keys and commands', () => {
      for (const [english, other] of Object.entries(catalogue))
        expect(places(other)).toEqual(places(english));
    });

    test('is in the package, and the manifest refers only to existing texts', () => {
      expect(json(`dist/package/client/l10n/bundle.l10n.${tag}.json`)).toEqual(catalogue);
      const named = json(`dist/package/package.nls.${tag}.json`);
      expect(Object.keys(named)).toEqual(Object.keys(inManifest));
      const packed = read('dist/package/package.json');
      const used = [...packed.matchAll(/"%([\w-]+)%"/g)].map(([, name]) => name);
      expect([...new Set(used)].sort()).toEqual(Object.keys(inManifest).sort());
      // What a person reads in the manifest as it is kept: nothing of it is left in the packed one.
      expect(packed).not.toContain('Restart language server');
    });
  },
);
