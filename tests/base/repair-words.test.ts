import { readFileSync } from 'node:fs';
import path from 'node:path';
import { expect, test } from 'vitest';
import { parse } from 'yaml';
import { repairsByName, repairsByNote } from '../../server/src/base/repair-words.ts';
import { bridgesByName, opensBatteryByName, soundsLike } from '../../server/src/plan/tables/own-names.ts';

interface Rows {
  readonly notes: readonly (readonly [note: string, tells: string])[];
  readonly repairing: Readonly<Record<'yes' | 'no', readonly string[]>>;
  readonly bridging: Readonly<Record<'yes' | 'no', readonly string[]>>;
  readonly opening: Readonly<Record<'yes' | 'at-the-battery' | 'no', readonly string[]>>;
  readonly sounds: Readonly<Record<string, readonly string[]>>;
}
const rows = parse(readFileSync(path.join(import.meta.dirname, 'repair-words.yaml'), 'utf8')) as Rows;

test.each(rows.notes)('%s', (note, tells) => {
  expect(repairsByNote(note) ?? 'nothing').toBe(tells);
});

test('names of tasks that repair', () => {
  expect(rows.repairing.yes.filter((name) => !repairsByName(name))).toEqual([]);
  expect(rows.repairing.no.filter((name) => repairsByName(name))).toEqual([]);
});

test('names of tasks that bridge', () => {
  expect(rows.bridging.yes.filter((name) => !bridgesByName(name))).toEqual([]);
  expect(rows.bridging.no.filter((name) => bridgesByName(name))).toEqual([]);
});

test('names of tasks that open the traction battery', () => {
  expect(rows.opening.yes.filter((name) => !opensBatteryByName(name, false))).toEqual([]);
  expect(rows.opening['at-the-battery'].filter((name) => opensBatteryByName(name, false))).toEqual([]);
  expect(rows.opening['at-the-battery'].filter((name) => !opensBatteryByName(name, true))).toEqual([]);
  expect(rows.opening.no.filter((name) => opensBatteryByName(name, true))).toEqual([]);
});

test.each(Object.entries(rows.sounds))('names that sound like %s', (task, names) => {
  expect(names.map((name) => [name, soundsLike(name) ?? 'nothing'])).toEqual(
    names.map((name) => [name, task]),
  );
});
