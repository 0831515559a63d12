import { mkdirSync, readdirSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import { beforeEach, expect, test } from 'vitest';
import { fileUri, TestClient } from './client.ts';
import { faultyPlan, temporaryFolder } from './folder.ts';

/** The server starts the checker from the code that V8 made of it in an earlier start. */

let folder: string;
let kept: string;
beforeEach(() => {
  folder = temporaryFolder();
  kept = temporaryFolder();
});

async function findings(where: string | null = kept, settings: object = {}): Promise<string[]> {
  const options = { ...settings, ...(where === null ? {} : { cacheFolder: fileUri(where) }) };
  const client = await TestClient.start(folder, undefined, options);
  const uri = fileUri(path.join(folder, 'a.repair-plan.yaml'));
  await client.open(uri, faultyPlan);
  const told = await client.diagnostics(uri, 1);
  expect(client.errors).toEqual([]);
  expect(await client.stop()).toBe(0);
  return told.map(({ code, message }) => `${String(code)} ${message}`);
}

/** Code is far larger than what is kept of a plan. */
function code(where = kept): string[] {
  return readdirSync(where, { recursive: true, encoding: 'utf8' })
    .map((name) => path.join(where, name))
    .filter((file) => statSync(file).isFile() && statSync(file).size > 500_000);
}

test('kept once, and used', async () => {
  const first = await findings();
  expect(first.length).toBeGreaterThan(0);
  expect(code()).toHaveLength(1);
  const before = readFileSync(code()[0]!);
  expect(await findings()).toEqual(first);
  expect(code()).toHaveLength(1);
  // Code that V8 had refused would have been written anew.
  expect(readFileSync(code()[0]!).equals(before)).toBe(true);
});

test.each([
  ['garbage', (bytes: Buffer) => Buffer.alloc(bytes.length, 7)],
  ['half a file', (bytes: Buffer) => bytes.subarray(0, bytes.length >> 1)],
])('%s in its place is made anew', async (_, torn) => {
  const first = await findings();
  const [file] = code();
  const whole = readFileSync(file!);
  writeFileSync(file!, torn(whole));
  expect(await findings()).toEqual(first);
  const anew = readFileSync(file!);
  expect(anew.length).toBeGreaterThan(whole.length * 0.9);
  expect(await findings()).toEqual(first);
  expect(readFileSync(file!).equals(anew)).toBe(true);
});

test('none is kept without a folder, in one that belongs to the work, or where the settings keep nothing', async () => {
  const first = await findings(null);
  expect(readdirSync(kept)).toEqual([]);
  const inside = path.join(folder, 'inside');
  mkdirSync(inside);
  expect(await findings(inside)).toEqual(first);
  expect(code(inside)).toEqual([]);
  expect(await findings(kept, { cache: false })).toEqual(first);
  expect(code()).toEqual([]);
});
