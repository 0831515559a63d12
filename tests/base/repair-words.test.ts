import { readFileSync } from 'node:fs';
import path from 'node:path';
import { expect, test } from 'vitest';
import { parse } from 'yaml';
import { repairsByName, repairsByNote } from '../../server/src/base/repair-words.ts';
import {
  bridgesByName,
  dangerByName,
  dischargesBatteryByName,
  firesByName,
  harmsBatteryByName,
  liftsByName,
  opensBatteryByName,
  provenElsewhere,
  pushesByName,
  revivesByName,
  shortsByName,
  soundsLike,
  stillLearns,
} from '../../server/src/plan/tables/own-names.ts';

interface Rows {
  readonly notes: readonly (readonly [note: string, tells: string])[];
  readonly repairing: Readonly<Record<'yes' | 'no', readonly string[]>>;
  readonly bridging: Readonly<Record<'yes' | 'no', readonly string[]>>;
  readonly opening: Readonly<Record<'yes' | 'at-the-battery' | 'no', readonly string[]>>;
  readonly discharging: Readonly<Record<'yes' | 'no', readonly string[]>>;
  readonly harming: Readonly<Record<'yes' | 'at-the-battery' | 'no', readonly string[]>>;
  readonly shorting: Readonly<Record<'yes' | 'no', readonly string[]>>;
  readonly lifting: Readonly<Record<'yes' | 'no', readonly string[]>>;
  readonly pushing: Readonly<Record<'yes' | 'no', readonly string[]>>;
  readonly curtains: readonly string[];
  readonly sounds: Readonly<Record<string, readonly string[]>>;
  readonly connectors: Readonly<Record<string, readonly string[]>>;
  readonly lines: Readonly<Record<string, readonly string[]>>;
  readonly proven: Readonly<Record<'elsewhere' | 'no', readonly string[]>>;
  readonly learners: Readonly<Record<'yes' | 'no', readonly string[]>>;
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

test('names of tasks that discharge the traction battery', () => {
  expect(rows.discharging.yes.filter((name) => !dischargesBatteryByName(name))).toEqual([]);
  expect(rows.discharging.no.filter((name) => dischargesBatteryByName(name))).toEqual([]);
});

test('names of tasks that drop, strike or wet the traction battery', () => {
  expect(rows.harming.yes.filter((name) => !harmsBatteryByName(name, false))).toEqual([]);
  expect(rows.harming['at-the-battery'].filter((name) => harmsBatteryByName(name, false))).toEqual([]);
  expect(rows.harming['at-the-battery'].filter((name) => !harmsBatteryByName(name, true))).toEqual([]);
  expect(rows.harming.no.filter((name) => harmsBatteryByName(name, true))).toEqual([]);
});

test('names of tasks that discharge capacitors by hand', () => {
  expect(rows.shorting.yes.filter((name) => !shortsByName(name))).toEqual([]);
  expect(rows.shorting.no.filter((name) => shortsByName(name))).toEqual([]);
});

test('names of tasks that lift or lower the vehicle', () => {
  expect(rows.lifting.yes.filter((name) => !liftsByName(name))).toEqual([]);
  expect(rows.lifting.no.filter((name) => liftsByName(name))).toEqual([]);
});

test('names of tasks that push the vehicle, or let it roll', () => {
  expect(rows.pushing.yes.filter((name) => !pushesByName(name))).toEqual([]);
  expect(rows.pushing.no.filter((name) => pushesByName(name))).toEqual([]);
});

test('names of curtains that are no airbags', () => {
  expect(rows.curtains.filter((name) => revivesByName(name, false) || firesByName(name))).toEqual([]);
});

test.each(Object.entries(rows.sounds))('names that sound like %s', (task, names) => {
  expect(names.map((name) => [name, soundsLike(name) ?? 'nothing'])).toEqual(
    names.map((name) => [name, task]),
  );
});

const low = { class: 'low-voltage', medium: undefined } as const;
const line = { class: 'fluid-line', medium: 'other' } as const;
test.each([
  ...Object.entries(rows.connectors).map(([danger, names]) => [danger, low, names] as const),
  ...Object.entries(rows.lines).map(([danger, names]) => [danger, line, names] as const),
])('names that speak of %s at %j', (danger, as, names) => {
  // By its id alone, and by its name.
  const told = names.flatMap((name) => [
    dangerByName({ id: name, name, ...as }),
    dangerByName({ id: 'plug', name: name.replaceAll('-', ' '), ...as }),
  ]);
  expect(told.map((each) => each ?? 'nothing')).toEqual(told.map(() => danger));
});

test('names beside a class that knows of the danger', () => {
  const of = { id: 'hv-airbag', name: 'orange airbag', medium: undefined };
  expect(
    (['restraint', 'pyrotechnic', 'high-voltage-power', 'interlock', 'earth'] as const).map((kind) =>
      dangerByName({ ...of, class: kind }),
    ),
  ).toEqual(Array.from({ length: 5 }));
  expect(
    (['low-voltage', 'sensor', 'data', '48-volt'] as const).map((kind) =>
      dangerByName({ ...of, class: kind }),
    ),
  ).toEqual(Array.from({ length: 4 }, () => 'restraint'));
});

test('places at which nothing is proven of the high voltage', () => {
  expect(rows.proven.elsewhere.filter((place) => !provenElsewhere(place))).toEqual([]);
  expect(rows.proven.no.filter((place) => provenElsewhere(place))).toEqual([]);
});

test('people who still learn', () => {
  expect(rows.learners.yes.filter((name) => !stillLearns(name))).toEqual([]);
  expect(rows.learners.no.filter((name) => stillLearns(name))).toEqual([]);
});
