import { readFileSync } from 'node:fs';
import path from 'node:path';
import { expect, test } from 'vitest';
import { standards } from '../../server/src/base/standards.ts';
import { findings } from '../../server/src/findings/registry.ts';
import { languageOf } from '../../server/src/language/language.ts';
import { root } from '../support/files.ts';

/** A rule of the table without its edition, or in another one. */
function unedited(text: string): string[] {
  const names = Object.values(standards).map((edition) => edition.split(/ Rev|:/)[0]!);
  return names.flatMap((name) =>
    [...text.matchAll(new RegExp(`${name}(?!\\d)(?: Rev\\. \\d|:\\d{4})?`, 'g'))]
      .map(([cited]) => cited)
      .filter((cited) => !(Object.values(standards) as string[]).includes(cited)),
  );
}

test.each([undefined, 'es', 'es-MX'])('the sources of findings cite rules in one edition, in %s', (tag) => {
  const sources = findings.map(({ page }) => page().source.in(languageOf(tag)));
  expect(sources.flatMap(unedited)).toEqual([]);
  const citing = sources.filter((source) => Object.values(standards).some((one) => source.includes(one)));
  expect(citing.length).toBeGreaterThan(4);
  expect(unedited('UN R100, 5.1.2.2; ISO 6469-4:2018')).toEqual(['UN R100', 'ISO 6469-4:2018']);
});

test('so do the published checks and the README', () => {
  for (const file of ['README.md', 'tests/published/safety.ts', 'tests/published/discharge.ts'])
    expect(unedited(readFileSync(path.join(root, file), 'utf8')), file).toEqual([]);
});
