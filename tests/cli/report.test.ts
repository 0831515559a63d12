import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { existsSync, readdirSync, readFileSync, statSync, symlinkSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, describe, expect, test } from 'vitest';
import { text } from 'node:stream/consumers';
import { benchSheet, planOf } from '../bench/plans.ts';
import { samples, samplesFolder } from '../support/files.ts';
import { lacks } from '../support/programs.ts';
import { cli, folderWith, plugward, removeFolders } from './run.ts';

afterAll(removeFolders);

const plan = 'quarter-panel-faulty.repair-plan.yaml';
const report = (cwd: string, ...args: string[]) =>
  plugward(cwd, ['report', ...args, '--today', '2027-02-05']);

describe('plugward report', () => {
  const cwd = folderWith(samples());

  test.each([
    ['job-card', 'html', '<h1>Job card</h1>'],
    ['estimate', 'html', '<h1>Estimate</h1>'],
    ['review', 'html', '<h1>Review</h1>'],
    ['estimate', 'csv', 'plan,kind,operations'],
    ['estimate', 'json', '"currency": "EUR"'],
    ['review', 'json', '"finding": "late-cover"'],
  ])('%s as %s', (sheet, format, words) => {
    const { code, out, err } = report(cwd, sheet, plan, '--format', format);
    expect({ code, err }).toEqual({ code: 0, err: '' });
    expect(out).toContain(words);
  });

  test('writes to a file, the same as to standard output', () => {
    expect(report(cwd, 'estimate', plan, '-o', 'estimate.html')).toEqual({ code: 0, out: '', err: '' });
    expect(readFileSync(join(cwd, 'estimate.html'), 'utf8')).toBe(report(cwd, 'estimate', plan).out);
  });

  test('reads a plan from standard input', () => {
    const lone = 'plan: T-1\nvehicle: { description: Kestrel, propulsion: hybrid }\noperations: []\n';
    const { code, out } = plugward(cwd, ['report', 'job-card', '-'], { input: lone });
    expect(code).toBe(0);
    expect(out).toContain('<title>Job card T-1</title>');
  });

  test('reviews a folder, the worst plan first', () => {
    const { code, out } = report(cwd, 'review', '.');
    expect(code).toBe(0);
    const order = ['HL-0148', 'HL-0151', 'HL-0147'].map((number) => out.indexOf(`>${number}<`));
    expect(order).not.toContain(-1);
    expect([...order].sort((a, b) => a - b)).toEqual(order);
  });

  test('prints one part of the review of a folder', () => {
    const { out } = report(cwd, 'review', '.', '--only', 'plans');
    expect(out).toContain('HL-0148');
    expect(out).not.toContain('id="details"');
  });

  test('replaces an older print in one piece, with its permissions', () => {
    const old = join(cwd, 'old.html');
    writeFileSync(old, report(cwd, 'job-card', plan).out, { mode: 0o640 });
    expect(report(cwd, 'review', '.', '-o', 'old.html').code).toBe(0);
    expect(readFileSync(old, 'utf8')).toBe(report(cwd, 'review', '.').out);
    if (!lacks('modes of files')) expect(statSync(old).mode & 0o777).toBe(0o640);
    expect(readdirSync(cwd).filter((name) => name.endsWith('.tmp'))).toEqual([]);
  });

  test.each([
    ['no report', []],
    ['a report that does not exist', ['jobcard', plan]],
    ['no plan', ['estimate']],
    ['a format it does not have', ['job-card', plan, '--format', 'csv']],
    ['two plans on one card', ['job-card', plan, 'quarter-panel.repair-plan.yaml']],
    ['a folder on one card', ['job-card', '.']],
    ['a sheet for a plan', ['estimate', 'harbour-lane.rate-sheet.yaml']],
    ['a file that is not there', ['review', 'gone.repair-plan.yaml']],
    ['a plan as the place to write to', ['review', plan, '-o', plan]],
    ['a part of one plan', ['review', plan, '--only', 'plans']],
    ['a part that does not exist', ['review', '.', '--only', 'all']],
    ['a place that cannot be written', ['review', plan, '-o', 'no/such/folder/review.html']],
  ])('rejects %s in one sentence, with exit code 2', (_why, args) => {
    const before = readFileSync(join(cwd, plan), 'utf8');
    const { code, out, err } = report(cwd, ...args);
    expect({ code, out }).toEqual({ code: 2, out: '' });
    expect(err).toMatch(/^plugward: .+[.?]\n$/);
    expect(readFileSync(join(cwd, plan), 'utf8')).toBe(before);
    expect(existsSync(join(cwd, 'no'))).toBe(false);
  });

  test('prints the readable files of a folder, and reports the others', () => {
    const mixed = folderWith({
      'a.repair-plan.yaml':
        'plan: T-1\nvehicle: { description: Kestrel, propulsion: hybrid }\noperations: []\n',
      'b.repair-plan.yaml': new Uint8Array([0xff, 0xfe, 0x70]),
    });
    const { code, out, err } = report(mixed, 'review', '.');
    expect(code).toBe(2);
    expect(err).toContain('b.repair-plan.yaml was not read');
    expect(out).toContain('>T-1<');
    expect(out).toContain('1 file could not be read');
  });

  test.skipIf(lacks('links'))('puts photographs into the estimate, but only those of the folder', () => {
    const photo = readFileSync(join(samplesFolder, 'photos/op25.jpg'));
    const outside = folderWith({ 'secret.jpg': photo });
    const shop = folderWith({
      'shop/a.repair-plan.yaml': `plan: T-1
vehicle: { description: Kestrel, propulsion: hybrid }
operations: [{ id: op10, do: mask, zone: roof }]
evidence:
  - { for: op10, photo: ./photos/a.jpg }
  - { for: op10, photo: ./photos/gone.jpg }
  - { for: op10, photo: ${join(outside, 'secret.jpg')} }
  - { for: op10, photo: ./photos/linked.jpg }
  - { for: op10, photo: ./photos }
  - { for: op10, photo: ./photos/huge.jpg }
`,
      'shop/photos/a.jpg': photo,
      'shop/photos/huge.jpg': Buffer.concat([photo, new Uint8Array(4e6)]),
    });
    symlinkSync(join(outside, 'secret.jpg'), join(shop, 'shop/photos/linked.jpg'));
    const { code, out, err } = report(join(shop, 'shop'), 'estimate', 'a.repair-plan.yaml');
    expect({ code, err }).toEqual({ code: 0, err: '' });
    expect(out.match(/<img src="data:image\/jpeg;base64,/g)).toHaveLength(1);
    expect([...out.matchAll(/Not shown:<\/span> ([^.;]*)/g)].map(([, reason]) => reason)).toEqual([
      'there is no such file',
      'it lies outside of the folder of the plan',
      'it lies outside of the folder of the plan',
      'it is a folder',
      'it is larger than 4 MB',
    ]);
  });

  // All these plans together, or what is made of them, take several times that much.
  test.each(['html', 'json'])('reviews any number of plans in little memory, as %s', (format) => {
    const plans = Array.from({ length: 100 }, (_, i) => [`p${i}.repair-plan.yaml`, planOf(200)] as const);
    const many = folderWith({ 'bench.rate-sheet.yaml': benchSheet, ...Object.fromEntries(plans) });
    const { code, out, err } = plugward(many, ['report', 'review', '.', '--format', format], {
      env: { NODE_OPTIONS: '--max-old-space-size=40' },
    });
    expect({ code, err }).toEqual({ code: 0, err: '' });
    expect(new Set(out.match(/p\d+\.repair-plan/g)).size).toBe(100);
  });

  test.skipIf(lacks('signals'))(
    'Control+C ends a long review between two files, leaving nothing half written',
    async () => {
      const args = ['report', 'review', '-', '.', '-o', 'review.html'];
      const child = spawn(process.execPath, [cli, ...args], { cwd, stdio: 'pipe' });
      const said = text(child.stderr);
      const ended = once(child, 'exit');
      // More than the pipe holds: once it drains, the review has begun and waits for the rest.
      child.stdin.on('error', () => undefined);
      if (!child.stdin.write('#'.repeat(1 << 20))) await once(child.stdin, 'drain');
      child.kill('SIGINT');
      expect(await ended).toEqual([130, null]);
      expect(await said).toMatch(/^plugward: stopped after 0 of \d+ files; nothing was written\.\n$/);
      expect(existsSync(join(cwd, 'review.html'))).toBe(false);
    },
  );
});
