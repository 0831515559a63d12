import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, describe, expect, test } from 'vitest';
import { samples } from '../support/files.ts';
import { folderWith, plugward, removeFolders } from './run.ts';

afterAll(removeFolders);

const plan = 'quarter-panel-faulty.repair-plan.yaml';
const cwd = folderWith(samples());
const at = (file: string): string => join(cwd, file);
const usual = ['check', plan, '--today', '2027-02-10'];

describe('several formats in one run', () => {
  test('are each what a run of its own prints', () => {
    const formats = ['lines', 'json', 'sarif', 'junit', 'code-quality', 'annotations'];
    const files = formats.flatMap((format) => ['--format', format, '-o', `all.${format}`]);
    const { code, out } = plugward(cwd, [...usual, '--format', 'human', ...files]);
    expect(code).toBe(1);
    expect(out).toBe(plugward(cwd, usual).out);
    for (const format of formats) {
      const alone = plugward(cwd, [...usual, '--format', format]).out;
      expect(alone.length).toBeGreaterThan(1000);
      expect(readFileSync(at(`all.${format}`), 'utf8'), format).toBe(alone);
    }
  });

  test('in a batch that is worth several threads too', () => {
    const many = Object.fromEntries(
      Array.from({ length: 120 }, (_, i) => [`p${i}.repair-plan.yaml`, samples()[plan]!]),
    );
    const folder = folderWith({ ...samples(), ...many });
    const ran = plugward(folder, ['check', '--format', 'lines', '--format', 'json', '-o', 'a.json']);
    const { findings } = JSON.parse(readFileSync(join(folder, 'a.json'), 'utf8')) as { findings: object[] };
    expect(findings.length).toBeGreaterThan(1000);
    expect(ran.out.split('\n')).toHaveLength(findings.length + 1);
  });

  test('one may go to standard output, wherever it stands', () => {
    const ran = plugward(cwd, [...usual, '--format', 'sarif', '-o', 'b.sarif', '--format', 'lines']);
    expect(ran.out).toMatch(/^quarter-panel-faulty.repair-plan.yaml:\d+:\d+: /);
    expect(existsSync(at('b.sarif'))).toBe(true);
  });

  test('a single format may stand after its file', () => {
    expect(plugward(cwd, [...usual, '-o', 'c.json', '--format', 'json']).out).toBe('');
    expect(JSON.parse(readFileSync(at('c.json'), 'utf8'))).toHaveProperty('findings');
  });

  test.each<[string, readonly string[], RegExp]>([
    ['two for standard output', ['--format', 'json', '--format', 'sarif'], /Only one format can go/],
    [
      'a file before the formats',
      ['-o', 'x', '--format', 'json', '--format', 'sarif'],
      /Each --output belongs/,
    ],
    ['two files for one', ['--format', 'json', '-o', 'x', '-o', 'y'], /Each --output belongs/],
    ['two files for none', ['-o', 'x', '-o', 'y'], /Each --output belongs/],
    [
      'one file for two, spelled otherwise',
      ['--format', 'json', '-o', 'x', '--format', 'junit', '-o', './x'],
      /can hold one format only/,
    ],
    ['--force without a file', ['--format', 'json', '--force'], /--force goes with --output/],
    ['a format that is none', ['--format', 'json', '-o', 'x', '--format', 'xml'], /--format is .* not 'xml'/],
  ])('%s: nothing is checked or written', (_, args, words) => {
    const { code, out, err } = plugward(cwd, [...usual, ...args]);
    expect({ code, out }).toEqual({ code: 2, out: '' });
    expect(err).toMatch(words);
    expect(existsSync(at('x'))).toBe(false);
  });

  test('a place that must not be replaced is told before anything is written', () => {
    const folder = folderWith({ ...samples(), 'notes.txt': 'mine' });
    const ran = plugward(folder, [
      ...usual,
      '--format',
      'json',
      '-o',
      'a.json',
      '--format',
      'sarif',
      '-o',
      'notes.txt',
    ]);
    expect(ran).toMatchObject({ code: 2, err: expect.stringContaining('notes.txt was not written') });
    expect(existsSync(join(folder, 'a.json'))).toBe(false);
  });
});

test("JUnit's failures are what makes the check fail", () => {
  const failures = (...args: string[]): number =>
    Number(/failures="(\d+)"/.exec(plugward(cwd, [...usual, '--format', 'junit', ...args]).out)![1]);
  expect(failures('--fail-on', 'error')).toBeGreaterThan(0);
  expect(failures()).toBeGreaterThan(failures('--fail-on', 'error'));
});

test('a file that cannot be read is in every format', () => {
  for (const format of ['lines', 'junit', 'code-quality']) {
    const ran = plugward(cwd, ['check', 'gone.repair-plan.yaml', '--format', format]);
    expect(ran.code).toBe(2);
    expect(ran.out).toMatch(/not-checked/);
    expect(ran.out).toMatch(/there is no such file/);
  }
});
