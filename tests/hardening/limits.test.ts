import { expect, test } from 'vitest';
import { Lexer } from 'yaml';
import { mistakeLimit } from '../../server/src/document/validate.ts';
import { limits } from '../../server/src/document/parse.ts';
import { check } from '../../server/src/features/check.ts';
import { operationLimit } from '../../server/src/plan/network.ts';
import { workspaceOf } from '../support/files.ts';

/** The findings of a plan that its text or its size raises, with the lines they stand on. */
function limitsMet(text: string, files: Readonly<Record<string, string>> = {}): string[] {
  const uri = 'file:///plans/one.repair-plan.yaml';
  const workspace = workspaceOf({ ...files, 'one.repair-plan.yaml': text });
  return check(workspace, uri, { today: '2027-02-10' })
    .filter(({ finding }) => finding === 'too-large' || finding === 'not-yaml')
    .map(({ finding, range }) => `${workspace.lines(uri)!.positionAt(range.start).line + 1} ${finding}`);
}

const repeat = (count: number, line: (i: number) => string): string =>
  Array.from({ length: count }, (_, i) => `${line(i)}\n`).join('');

const ofSize = (characters: number): string =>
  `plan: L-1\n${'#\n'.repeat(characters / 2)}`.slice(0, characters);

/** A thousand values a line from line 3 on. */
const ofValues = (values: number): string =>
  `plan: L-1\nx-dump:\n${repeat(values / 1_000, () => `  - [${'1,'.repeat(999)}]`)}`;

/** The first level stands on line 3. */
const blocks = (levels: number): string =>
  `plan: L-1\nx-deep:\n${repeat(levels, (i) => `${' '.repeat(i + 1)}a:`)}`;
const brackets = (levels: number): string =>
  `plan: L-1\nx-deep:\n${repeat(levels, () => '  [')}${repeat(levels, () => '  ]')}`;

/** A thousand values on line 2, and as many times more as it takes from line 4 on. */
const repeated = (values: number): string =>
  `plan: L-1\nx-much: &much [${'1,'.repeat(999)}]\nx-more:\n${repeat(values / 1_000 - 1, () => '  - *much')}`;

const ofEntries = (entries: number): string => `plan: L-1\nx-list:\n${repeat(entries, () => '  - a')}`;
const onOneLine = (entries: number): string => `plan: L-1\nx-list: [${'a, '.repeat(entries)}]\n`;
const anchored = (entries: number): string =>
  `plan: L-1\nx-list:\n${repeat(entries, (i) => (i ? '  - *a' : '  - &a b'))}`;

const slips = (count: number): string =>
  `plan: L-1\noperations:\n${repeat(count, (i) => `  - { id: op${i}, do: [ }`)}`;

test.each([
  ['characters', ofSize(limits.text), ofSize(limits.text + 1), ['1 too-large']],
  ['values', ofValues(limits.nodes - 1_000), ofValues(limits.nodes), ['402 too-large']],
  ['values that an alias repeats', repeated(limits.nodes - 1_000), repeated(limits.nodes), ['402 too-large']],
  [
    'entries of a list',
    ofEntries(limits.entries),
    ofEntries(limits.entries + 1),
    [`${limits.entries + 3} too-large`],
  ],
  ['entries on one line', onOneLine(limits.entries), onOneLine(limits.entries + 1), ['2 too-large']],
  [
    'entries beside an anchor',
    anchored(limits.entries),
    anchored(limits.entries + 1),
    [`${limits.entries + 3} too-large`],
  ],
  ['levels of blocks', blocks(limits.depth - 1), blocks(limits.depth), ['62 too-large']],
  ['levels of brackets', brackets(limits.depth), brackets(limits.depth + 1), ['63 too-large']],
  // Beyond four times as many nothing of the entry is composed, and one finding stands for it.
  ['levels that are not even read', '', brackets(10 * limits.depth), ['242 too-large']],
])('%s at the limit are read; one more is a finding at its position', (_, within, beyond, found) => {
  expect(limitsMet(within).filter((one) => one.endsWith('too-large'))).toEqual([]);
  expect(limitsMet(beyond)).toEqual(found);
});

test('words and signs that the library must read in one go, up to the limit; beyond it they are not read', () => {
  // Lists of a list over many lines, each short enough by itself.
  const section = (lines: number): string =>
    `x-much: [[\n${repeat(lines, (i) => (i % 9_000 === 8_999 ? ' ], [' : ' a,'))} ]]\n`;
  const words = (lines: number): number => [...new Lexer().lex(section(lines))].length;
  const each = (words(36_000) - words(18_000)) / 18_000;
  let lines = Math.floor(18_000 + (limits.words - words(18_000)) / each);
  while (words(lines) > limits.words) lines--;
  expect(words(lines + 2)).toBeGreaterThan(limits.words);
  expect(limitsMet(`plan: L-1\n${section(lines)}`)).toEqual([]);
  const [found, ...more] = limitsMet(`plan: L-1\n${section(lines + 2)}`);
  expect(more).toEqual([]);
  expect(found).toMatch(/too-large$/);
  expect(parseInt(found!)).toBeGreaterThan(lines);
});

test('of a text full of syntax errors the first twenty are reported', () => {
  expect(limitsMet(slips(limits.problems - 1))).toHaveLength(limits.problems - 1);
  expect(limitsMet(slips(limits.problems + 10))).toHaveLength(limits.problems);
});

test('procedures expand up to the step limit; the step that exceeds it is named', () => {
  const procedure = `procedure: p\noperations:\n${repeat(1_000, (i) => `  - { id: s${i}, do: consult }`)}`;
  const plan = (steps: number): string =>
    `plan: L-1\nuses: [./p.shop-procedure.yaml]\noperations:\n${repeat(steps, (i) => `  - { id: op${i}, follow: p }`)}`;
  const files = { 'p.shop-procedure.yaml': procedure };
  const max = operationLimit / 1_000;
  expect(limitsMet(plan(max), files)).toEqual([]);
  expect(limitsMet(plan(max + 2), files)).toEqual([`${3 + max + 1} too-large`]);
});

const many = 150_000;
test.each([
  [
    'mistakes in a list',
    `plan: L-1\noperations:\n${repeat(15, () => `  - { id: op1, after: [${'{},'.repeat(many / 15)}] }`)}`,
  ],
  ['unknown keys', `plan: L-1\n${repeat(many, (i) => `x${i}: 1`)}`],
  ['lines that belong to nothing', `plan: L-1\noperations:\n  - { id: op1 }\n${'x\n'.repeat(many)}`],
  [
    'names that lead nowhere',
    `plan: L-1\noperations:\n${repeat(15, (i) => `  - { id: op${i}, do: cover, after: [${'a, '.repeat(many / 15)}] }`)}`,
  ],
])('%s, more than the maximum number of call arguments, do not break a check', (_, text) => {
  const uri = 'file:///plans/one.repair-plan.yaml';
  const found = check(workspaceOf({ 'one.repair-plan.yaml': text }), uri, { today: '2027-02-10' });
  expect(found.length).toBeGreaterThan(0);
});

test('thousands of bakes in a row are added up, and the first that is too much is told', () => {
  const vehicle = 'description: Kestrel (invented), propulsion: electric, bake-limit: { time: 1000 min }';
  const bakes = repeat(3000, (i) => `  - { id: op${i}, do: bake, time: 1 min }`);
  const uri = 'file:///plans/one.repair-plan.yaml';
  const text = `plan: L-1\nvehicle: { ${vehicle} }\noperations:\n${bakes}`;
  const found = check(workspaceOf({ 'one.repair-plan.yaml': text }), uri, { today: '2027-02-10' });
  expect(found.flatMap(({ finding, operation }) => (finding === 'bake-limit' ? [operation] : []))).toEqual([
    'op1000',
  ]);
});

test('a tank emptied, freed of vapour, welded at and filled five hundred times is told of in seconds', () => {
  const line = 'fuel-line, class: fluid-line, medium: petrol, zone: underbody';
  const at = 'connectors: [fuel-line]';
  const round = [
    `disconnect, ${at}`,
    'defuel',
    'purge',
    'weld, zone: underbody',
    'refuel',
    `reconnect, ${at}`,
  ];
  const steps = repeat(3000, (i) => `  - { id: op${i}, do: ${round[i % 6]} }\n`);
  const head = 'plan: L-1\nvehicle: { description: Kestrel (invented), propulsion: hybrid }';
  const uri = 'file:///plans/one.repair-plan.yaml';
  const text = `${head}\nconnectors:\n  - { id: ${line} }\noperations:\n${steps}`;
  const found = check(workspaceOf({ 'one.repair-plan.yaml': text }), uri, { today: '2027-02-10' });
  const count = (id: string): number => found.filter(({ finding }) => finding === id).length;
  expect([count('line-full'), count('filled-early'), count('weld-connected'), count('heat-at-line')]).toEqual(
    [1, 500, 500, 0],
  );
});

test('the first thousand schema violations are reported, and the position of the next', () => {
  const head =
    'plan: L-1\nvehicle: { description: Kestrel (invented), propulsion: hybrid }\noperations: []\n';
  const of = (mistakes: number): string => `${head}${repeat(mistakes, (i) => `x${i}: 1`)}`;
  expect(limitsMet(of(mistakeLimit))).toEqual([]);
  expect(limitsMet(of(mistakeLimit + 1))).toEqual([`${3 + mistakeLimit + 1} too-large`]);
});
