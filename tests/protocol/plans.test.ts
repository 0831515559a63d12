import { writeFileSync } from 'node:fs';
import path from 'node:path';
import { expect, it } from 'vitest';
import { samples } from '../support/files.ts';
import { fileUri } from './client.ts';
import { startClient, temporaryFolder } from './folder.ts';

interface Folder {
  readonly plans: readonly { readonly uri: string; readonly name: string; readonly errors: number }[];
  readonly files: number;
  readonly errors: number;
  readonly findings: number;
  readonly unknown: number;
}

it('all plans of the folders are summed up, closed ones too, and follow an edit', async () => {
  const folder = temporaryFolder();
  const texts = samples();
  for (const [name, text] of Object.entries(texts)) writeFileSync(path.join(folder, name), text);
  const client = await startClient(folder);
  const ask = () => client.connection.sendRequest<Folder>('plugward/plans', {});
  const before = await ask();
  expect(before.files).toBe(Object.keys(texts).length);
  expect(before.plans.map(({ uri }) => path.basename(new URL(uri).pathname)).sort()).toEqual(
    Object.keys(texts).filter((name) => name.endsWith('.repair-plan.yaml')),
  );
  expect(before.unknown).toBe(0);
  expect(before.plans[0]!.uri).toContain('quarter-panel-faulty');
  expect(before.plans[0]!.errors).toBeGreaterThan(0);
  const uri = fileUri(path.join(folder, 'quarter-panel-faulty.repair-plan.yaml'));
  await client.open(uri, 'plan: HL-0001\noperations: []\n');
  const after = await ask();
  expect(after.errors).toBe(
    before.errors - before.plans[0]!.errors + after.plans.find((one) => one.uri === uri)!.errors,
  );
  expect(after.findings).toBeLessThan(before.findings);
  expect(client.errors).toEqual([]);
});
