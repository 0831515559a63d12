import { readFileSync, readdirSync } from 'node:fs';
import path from 'node:path';
import { expect, test } from 'vitest';
import { parse } from 'yaml';
import { exampleFiles, wholePlan } from '../support/frame.ts';
import { Corpus } from './corpus.ts';
import type { Source } from './corpus.ts';
import { rank } from './variants.ts';

interface Row {
  readonly name: string;
  readonly text: string;
  readonly file?: string;
  readonly files?: Readonly<Record<string, string>>;
  readonly today?: string;
}
const folder = path.join(import.meta.dirname, '../findings');
const fixtures = readdirSync(folder)
  .filter((name) => name.endsWith('.yaml'))
  .sort();
const unmarked = (text: string): string => text.replace(/ *# <- .*$/gm, '');

// What this is for: corpus.ts.
test.each(fixtures.map((name) => path.basename(name, '.yaml')))('%s', async (id) => {
  const corpus = new Corpus();
  const rows = parse(readFileSync(path.join(folder, `${id}.yaml`), 'utf8')) as Row[];
  const sources = rows.map((row): Source => {
    const { name, file = 'one.repair-plan.yaml', files, today = '2027-02-10' } = row;
    const text = unmarked(row.file ? row.text : wholePlan(row.text));
    return { name, file, text, files: { ...exampleFiles, ...files }, settings: { today } };
  });
  const told = sources.map((source, i) =>
    corpus.tell(
      source,
      { single: 9, double: 2, edges: 4, around: 8 },
      Object.keys(rows[i]!.files ?? {}),
      // Chosen by name, so that a row that is added moves no other.
      rank(source.name) % 2 === 0 ? sources[i + 1] : undefined,
    ),
  );
  // Half of a character cannot be written to a file.
  await expect(Buffer.from(`${told.join('\n')}\n`).toString()).toMatchFileSnapshot(`findings/${id}.txt`);
});

test('every file of what is told has a fixture', () => {
  const frozen = readdirSync(path.join(import.meta.dirname, 'findings'));
  expect(frozen.filter((name) => !fixtures.includes(name.replace('.txt', '.yaml')))).toEqual([]);
});
