import { readFileSync, readdirSync } from 'node:fs';
import path from 'node:path';
import { expect, test } from 'vitest';
import { caution } from '../../server/src/features/caution.ts';
import { check } from '../../server/src/features/check.ts';
import { estimate } from '../../server/src/report/print/estimate.ts';
import { jobCard } from '../../server/src/report/print/job-card.ts';
import { reasonsPage } from '../../server/src/report/print/reasons.ts';
import { review } from '../../server/src/report/print/review.ts';
import { Zones } from '../../server/src/plan/tables/zones.ts';
import { sampleUri, sampleWorkspace, samplesFolder, root, workspaceOf } from '../support/files.ts';

const folder = path.join(samplesFolder, 'es');
const files = Object.fromEntries(
  readdirSync(folder).map((name) => [name, readFileSync(path.join(folder, name), 'utf8')]),
);
const workspace = workspaceOf(files);
const uri = 'file:///plans/panel-lateral.repair-plan.yaml';
const plan = workspace.plan(uri)!;
const today = '2027-02-10';

test('the sample in Spanish has nothing to find', () => {
  expect(Object.keys(files)).toHaveLength(5);
  for (const name of Object.keys(files))
    expect(check(workspace, `file:///plans/${name}`, { today }).map(({ message }) => message)).toEqual([]);
});

test('it is the same repair as the sample in English: tasks, zones, times, in the same order', () => {
  const english = sampleWorkspace().plan(sampleUri('quarter-panel.repair-plan.yaml'))!;
  const steps = (one: typeof plan): unknown[] =>
    one.operations.map(({ taskId, planStep, zones, connectors, time }) => [
      planStep.id,
      taskId,
      zones.length,
      connectors.length,
      time?.text,
    ]);
  expect(steps(plan)).toEqual(steps(english));
});

/** Every fixed word of the language: enumerated values of the schemas, and built-in zones. */
function fixedWords(): string[] {
  const found = new Set(new Zones().names);
  const visit = (node: unknown): void => {
    if (node === null || typeof node !== 'object') return;
    for (const [key, value] of Object.entries(node)) {
      if (key === 'enum') for (const word of value as unknown[]) found.add(String(word));
      else visit(value);
    }
  };
  for (const kind of ['repair-plan', 'shop-procedure', 'connector-list', 'rate-sheet'])
    visit(JSON.parse(readFileSync(path.join(root, `schemas/${kind}.schema.json`), 'utf8')));
  return [...found].filter((word) => /^[a-z][a-z-]{3,}$/.test(word));
}

/** Those that are Spanish words too. */
const spanishToo = ['sensor', 'film', 'error'];

test.each(['es', 'es-MX'])('its prints say every fixed word of the language in words, in %s', (language) => {
  const options = { today, caution, language };
  const pages = [
    jobCard(plan, { ...options, errors: 0 }),
    estimate(plan, options),
    reasonsPage(plan, options),
    review({ plan, findings: [] }, { ...options, sources: workspace, name: () => 'archivo' }),
  ];
  const texts = pages.flatMap((page) => page.replaceAll(/<style[\s\S]*?<\/style>/g, '').split(/<[^>]*>/));
  const words = fixedWords();
  expect(words.length).toBeGreaterThan(90);
  const raw = words
    .filter((word) => !spanishToo.includes(word))
    .flatMap((word) => texts.filter((text) => new RegExp(`(?<![\\w-])${word}(?![\\w-])`).test(text)));
  expect(raw).toEqual([]);
});

test('its prints have the decimal sign of the region, also in what is quoted from the file', () => {
  const card = (language: string): string => jobCard(plan, { today, caution, language, errors: 0 });
  expect(card('es')).toContain('0,5\u00a0mΩ');
  expect(card('es')).not.toMatch(/\d\.\d+\u00a0(mΩ|h|min)/);
  expect(card('es-MX')).toContain('0.5\u00a0mΩ');
  expect(card('es-MX')).not.toMatch(/\d,\d+\u00a0(mΩ|h|min)/);
});
