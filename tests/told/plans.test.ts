import { readFileSync, readdirSync } from 'node:fs';
import path from 'node:path';
import { expect, test } from 'vitest';
import { root, samples } from '../support/files.ts';
import { Corpus } from './corpus.ts';

// Whole plans, with all that belongs to one: those of the samples and of the training bay. What this is for: corpus.ts.
const folder = path.join(root, 'tests/laws/plans');
const training = Object.fromEntries(
  readdirSync(folder).map((name) => [name, readFileSync(path.join(folder, name), 'utf8')] as const),
);
const shops = [samples(), training].flatMap((files) =>
  Object.keys(files).map((file) => [file, files] as const),
);

test.each(shops)('%s', async (file, files) => {
  const settings = { today: '2027-02-10' };
  const isPlan = file.endsWith('.repair-plan.yaml');
  // A shared file is judged by what is told of the plans that use it.
  const plans = isPlan ? [file] : Object.keys(files).filter((name) => files[name]!.includes(`./${file}`));
  const told = plans.slice(0, 2).map((name) => {
    const source = { name, file: name, text: files[name]!, files, settings };
    return isPlan
      ? new Corpus().tell(source, { single: 80, double: 16, edges: 44, around: 0 })
      : new Corpus().tell(source, { single: 0, double: 0, edges: 0, around: 40 }, [file]);
  });
  await expect(`${told.join('\n')}\n`).toMatchFileSnapshot(`plans/${path.basename(file, '.yaml')}.txt`);
});
