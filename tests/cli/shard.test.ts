import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import fc from 'fast-check';
import { afterAll, describe, expect, test } from 'vitest';
import { placesInShard } from '../../server/src/cli/shard.ts';
import { patience, runs } from '../laws/runs.ts';
import { samples } from '../support/files.ts';
import { folderWith, plugward, removeFolders } from './run.ts';

afterAll(removeFolders);

const today = ['--today', '2027-02-10'];
const ends = ['repair-plan', 'repair-plan', 'repair-plan', 'rate-sheet', 'connector-list', 'shop-procedure'];

describe('the parts of a run', () => {
  const files = fc
    .uniqueArray(fc.tuple(fc.constantFrom('a', 'b/c', 'b', ''), fc.nat(200), fc.constantFrom(...ends)), {
      selector: (one) => one.join(),
      maxLength: 60,
    })
    .map((list) => list.map(([folder, nth, kind]) => join('/shop', folder, `p${nth}.${kind}.yaml`)));

  test('hold every plan once and every shared file, evenly, however the files were named', () => {
    fc.assert(
      fc.property(files, fc.integer({ min: 1, max: 9 }), (list, of) => {
        const parts = Array.from({ length: of }, (_, at) =>
          placesInShard(list, { number: at + 1, of }, '/shop').map((place) => list[place]!),
        );
        const isPlan = (file: string): boolean => file.includes('.repair-plan.');
        const plans = parts.map((part) => part.filter(isPlan));
        expect(plans.flat().sort()).toEqual(list.filter(isPlan).sort());
        const sizes = plans.map(({ length }) => length);
        expect(Math.max(...sizes) - Math.min(...sizes)).toBeLessThanOrEqual(1);
        const shared = list.filter((file) => !isPlan(file));
        for (const part of parts) expect(part.filter((file) => !isPlan(file))).toEqual(shared);
        // Another order of the same files makes the same parts.
        const turned = list.toReversed();
        for (const [at, part] of parts.entries()) {
          const again = placesInShard(turned, { number: at + 1, of }, '/shop').map((place) => turned[place]!);
          expect(again.sort()).toEqual(part.toSorted());
        }
      }),
      runs(300),
    );
  });
});

/** Runs a command whole and in parts; the parts are put together in another order. */
function wholeAndMerged(cwd: string, of: number, args: readonly string[], form: string): [string, string] {
  const whole = plugward(cwd, [...args, '-o', `whole.${form}`, '--force']);
  const parts: string[] = [];
  for (let number = 1; number <= of; number++) {
    const part = `part-${number}.${form}.part`;
    const { err } = plugward(cwd, [...args, '--shard', `${number}/${of}`, '-o', part, '--force']);
    expect(err).toContain(`part ${number} of ${of}: `);
    parts.unshift(part);
  }
  const merged = plugward(cwd, ['merge', ...parts, '-o', `merged.${form}`, '--force']);
  expect([merged.code, merged.err]).toEqual([whole.code, '']);
  const read = (file: string): string => readFileSync(join(cwd, file), 'utf8');
  return [read(`whole.${form}`), read(`merged.${form}`)];
}

describe('merge', () => {
  const texts = samples();
  const plans = Object.keys(texts).filter((name) => name.includes('.repair-plan.'));
  const shop = fc.record({
    plans: fc.uniqueArray(
      fc.record({
        folder: fc.constantFrom('', 'a', 'b', 'b/c'),
        nth: fc.nat(30),
        text: fc.constantFrom(...plans),
        unreadable: fc.constantFrom(false, false, false, true),
      }),
      { selector: ({ folder, nth }) => `${folder}/${nth}`, minLength: 1, maxLength: 8 },
    ),
    of: fc.integer({ min: 1, max: 4 }),
  });

  test(
    'makes of the parts what one run over all files prints',
    () => {
      fc.assert(
        fc.property(shop, ({ plans: made, of }) => {
          const shared = Object.fromEntries(Object.entries(texts).filter(([name]) => !plans.includes(name)));
          const files = made.map(({ folder, nth, text, unreadable }) => {
            const up = '../'.repeat(folder === '' ? 0 : folder.split('/').length);
            const body = texts[text]!.replaceAll('- ./', up === '' ? '- ./' : `- ${up}`);
            return [
              join(folder, `p${nth}.repair-plan.yaml`),
              unreadable ? Uint8Array.of(0xc3, 0x28) : body,
            ] as const;
          });
          const cwd = folderWith({ ...shared, ...Object.fromEntries(files) });
          for (const [form, args] of [
            ['json', ['check', '.', '--format', 'json', ...today]],
            ['sarif', ['check', '.', '--format', 'sarif', ...today]],
          ] as const) {
            const [whole, merged] = wholeAndMerged(cwd, of, args, form);
            expect(JSON.parse(merged)).toEqual(JSON.parse(whole));
          }
          const [page, mergedPage] = wholeAndMerged(cwd, of, ['report', 'review', '.', ...today], 'html');
          expect(mergedPage).toBe(page);
        }),
        runs(3),
      );
    },
    patience,
  );

  describe('refuses', () => {
    const cwd = folderWith({
      ...texts,
      'notes.txt': 'mine',
      'other.json': '{"findings":[]}',
      'odd.json': '[1]',
    });
    for (const part of ['1/3', '2/3', '3/3', '1/2']) {
      for (const format of ['json', 'sarif']) {
        plugward(cwd, [
          'check',
          '--format',
          format,
          '-o',
          `${part.replace('/', '-')}.${format}`,
          '--shard',
          part,
          ...today,
        ]);
      }
    }
    plugward(cwd, [
      'check',
      '--format',
      'json',
      '-o',
      'late.json',
      '--shard',
      '3/3',
      '--today',
      '2027-02-11',
    ]);
    const edit = (
      from: string,
      to: string,
      change: (part: { findings: object[]; unread: unknown }) => void,
    ): void => {
      const part = JSON.parse(readFileSync(join(cwd, from), 'utf8')) as {
        findings: object[];
        unread: unknown;
      };
      change(part);
      writeFileSync(join(cwd, to), JSON.stringify(part));
    };
    edit('3-3.json', 'short.json', ({ findings }) => findings.pop());
    edit('3-3.json', 'bent.json', (part) => (part.unread = 7));
    const other = folderWith({ ...texts, 'more.repair-plan.yaml': texts[plans[0]!]! });
    plugward(other, [
      'check',
      '--format',
      'json',
      '-o',
      join(cwd, 'foreign.json'),
      '--shard',
      '3/3',
      ...today,
    ]);

    test.each<[string, readonly string[], RegExp]>([
      ['nothing', [], /Name the parts/],
      ['a part that is missing', ['1-3.json', '3-3.json'], /Part 2 of 3 is missing/],
      ['a part twice', ['1-3.json', '2-3.json', '3-3.json', '3-3.json'], /Part 3 of 3 is there twice/],
      ['parts of two splits', ['1-2.json', '2-3.json'], /another run/],
      ['parts of two shops', ['1-3.json', '2-3.json', 'foreign.json'], /another run/],
      ['parts of two days', ['1-3.json', '2-3.json', 'late.json'], /different days/],
      ['parts of two formats', ['1-3.json', '2-3.sarif', '3-3.json'], /different formats/],
      [
        'a part without one of its findings',
        ['1-3.json', '2-3.json', 'short.json'],
        /is no part|something else/,
      ],
      ['a part whose lists are none', ['1-3.json', '2-3.json', 'bent.json'], /is no part of a run/],
      ['what is no JSON', ['notes.txt'], /is no part of a run/],
      ['what is no part', ['other.json'], /is no part of a run/],
      ['what is no report', ['odd.json'], /is no part of a run/],
      ['what is not there', ['gone.json'], /gone.json was not read/],
    ])('%s', (_, files, words) => {
      const { code, out, err } = plugward(cwd, ['merge', ...files]);
      expect({ code, out }).toEqual({ code: 2, out: '' });
      expect(err).toMatch(words);
      expect(err).not.toContain('please report');
    });

    test('to take a merged report for a part', () => {
      const parts = ['1-3.json', '2-3.json', '3-3.json'];
      expect(plugward(cwd, ['merge', ...parts, '-o', 'whole.json']).code).toBe(1);
      expect(plugward(cwd, ['merge', ...parts, '--exit-zero', '-o', 'whole.json']).code).toBe(0);
      expect(plugward(cwd, ['merge', ...parts, '--max-warnings', '999', '--fail-on', 'error']).code).toBe(1);
      expect(plugward(cwd, ['merge', 'whole.json']).err).toMatch(/is no part of a run/);
    });
  });
});

test.each(['0/2', '3/2', '1', '1/0', 'a/b', '1/2/3', '-1/2'])('--shard %s is not understood', (value) => {
  const ran = plugward(folderWith(samples()), ['check', `--shard=${value}`]);
  expect(ran).toMatchObject({ code: 2, out: '', err: expect.stringContaining('--shard needs N/M') });
});
