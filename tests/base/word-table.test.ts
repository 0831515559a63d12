import fc from 'fast-check';
import { expect, test } from 'vitest';
import { WordTable } from '../../server/src/base/word-table.ts';

const table = new WordTable(`
  air-bag(s) | hood/bonnet [hinge(s)] actuator(s) | tensor(es) [de/del] cinturon
  | cortina izq*/der*
`);

test.each([
  ['airbag', true],
  ['air bag', true],
  ['left air bags front', true],
  ['air', false],
  ['air left bag', false],
  ['airbagss', false],
  ['hood actuator', true],
  ['bonnet hinge actuators', true],
  ['bonnet hinges hinges actuators', false],
  ['hinge actuator', false],
  ['tensor cinturon', true],
  ['tensores del cinturon', true],
  ['tensores la cinturon', false],
  ['cortina izquierda', true],
  ['cortina izq', true],
  ['cortina iz', false],
  ['cortina', false],
  ['', false],
])('%s: %s', (words, stands) => expect(table.isIn(words)).toBe(stands));

test('a phrase begins with a word that has to be there', () => {
  expect(() => new WordTable('[the] plug').isIn('plug')).toThrow(/begins with a word that may be missing/);
});

// Each way to read a phrase, written out; then looked for in the words.
const forms = (slot: string): string[] => {
  const inner = slot.replaceAll(/[[\]]/g, '');
  const all = inner
    .split('/')
    .flatMap((word) =>
      word.includes('(') ? [word.replace(/\(.*/, ''), word.replaceAll(/[()]/g, '')] : [word],
    )
    .flatMap((word) => (word.includes('-') ? [word.replace('-', ''), word.replace('-', ' ')] : [word]));
  return slot.startsWith('[') ? ['', ...all] : all;
};
const written = (phrase: string): string[] =>
  phrase
    .split(' ')
    .map(forms)
    .reduce<string[]>(
      (before, slot) => before.flatMap((one) => slot.map((next) => `${one} ${next}`.trim())),
      [''],
    );

const word = fc.constantFrom('a', 'b', 'c', 'a(b)', 'b-c', 'a/c', 'ab/b(c)');
const slot = fc.oneof(
  word,
  word.map((one) => `[${one}]`),
);
const phrase = fc
  .tuple(word, fc.array(slot, { maxLength: 3 }))
  .map(([first, rest]) => [first, ...rest].join(' '));
const words = fc
  .array(fc.constantFrom('a', 'b', 'c', 'ab', 'bc'), { minLength: 1, maxLength: 6 })
  .map((all) => all.join(' '));

test('a table finds what its phrases, written out in every way, stand in', () => {
  fc.assert(
    fc.property(fc.array(phrase, { minLength: 1, maxLength: 3 }), words, (phrases, text) => {
      const stands = phrases.flatMap(written).some((one) => ` ${text} `.includes(` ${one} `));
      expect(new WordTable(phrases.join(' | ')).isIn(text)).toBe(stands);
    }),
    { numRuns: 2000 },
  );
});
