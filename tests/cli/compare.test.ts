import { spawnSync } from 'node:child_process';
import { existsSync, mkdirSync, readFileSync, renameSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { devNull } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, test } from 'vitest';
import { samples } from '../support/files.ts';
import { lacks, onPath } from '../support/programs.ts';
import { folderWith, plugward, removeFolders } from './run.ts';

afterAll(removeFolders);

const today = ['--today', '2027-02-10', '--language', 'en'];
const plan = 'quarter-panel.repair-plan.yaml';
const git = (cwd: string, ...args: string[]): string => {
  const { status, stdout, stderr } = spawnSync(
    'git',
    [
      '-c',
      'user.name=Nobody',
      '-c',
      'user.email=nobody@plugward.invalid',
      '-c',
      'init.defaultBranch=main',
      ...args,
    ],
    { cwd, env: { ...process.env, GIT_CONFIG_GLOBAL: devNull, GIT_CONFIG_NOSYSTEM: '1' } },
  );
  if (status !== 0) throw new Error(stderr.toString());
  return stdout.toString();
};

const withGit = onPath('git') && !lacks('a git of the same system');

/** The samples under version control, committed once. */
function repository(): string {
  const root = folderWith(samples());
  git(root, 'init', '-q');
  git(root, 'add', '.');
  git(root, 'commit', '-qm', 'first');
  return root;
}

const changed = samples()[plan]!.replace('op26, task: cover, hours: 0.1', 'op26, task: cover, hours: 0.3');

describe('two files', () => {
  const root = folderWith({ ...samples(), 'later.repair-plan.yaml': changed });
  test('a plan and itself', () => {
    const { code, out } = plugward(root, ['compare', plan, plan, ...today]);
    expect([code, out]).toEqual([0, `${plan} → ${plan}\n  No change in meaning.\n`]);
  });
  test('hours that were raised', () => {
    const { code, out } = plugward(root, ['compare', plan, 'later.repair-plan.yaml', ...today]);
    expect(code).toBe(0);
    expect(out.replaceAll(/\s+/g, ' ')).toContain('op26 Cover: hours was 0.1, now 0.3: 19.20 EUR more');
    expect(out.replaceAll(/\s+/g, ' ')).toContain('Before tax: 19.20 EUR more. With taxes: 23.04 EUR more');
  });
  test('as JSON, with exact decimals', () => {
    const { out } = plugward(root, ['compare', plan, 'later.repair-plan.yaml', '--format', 'json', ...today]);
    const [one] = (JSON.parse(out) as { comparisons: { money: Record<string, unknown> }[] }).comparisons;
    expect(one!.money).toMatchObject({ currency: 'EUR', net: '19.20', gross: '23.04' });
  });
  test.each([
    [
      'a zone of the list loses a neighbour',
      'kestrel.connector-list.yaml',
      'beside: [rear-floor, underbody, quarter-left, quarter-right]',
      'beside: [rear-floor, underbody, quarter-right]',
      '~ zone rear-drive no longer quarter-left',
    ],
    [
      'a person of the sheet may do more',
      'harbour-lane.rate-sheet.yaml',
      'plugward:',
      'people: [{ id: painter-c, may: [high-voltage] }]\nplugward:',
      'person painter-c now { may: high-voltage }, not stated before',
    ],
    [
      'a consumable is told to be less',
      'harbour-lane.rate-sheet.yaml',
      'kind: bag, non-conductive: true, tied: true',
      'kind: bag, tied: true',
      'consumable tied-bag was { kind: bag; non-conductive: true; tied: true }, now { kind: bag; tied: true }',
    ],
    [
      'a task raises less',
      'harbour-lane.rate-sheet.yaml',
      'plugward:',
      'tasks: [{ id: polish, raises: [] }]\nplugward:',
      'task polish was { raises: dust; reach: beside }, now { reach: beside }',
    ],
    [
      'a finding is lowered',
      'harbour-lane.rate-sheet.yaml',
      'plugward:',
      'plugward:\n  severities: { weak-cover: information }',
      'plugward severity weak-cover now information, not stated before',
    ],
    [
      'a signature is not asked for',
      'harbour-lane.rate-sheet.yaml',
      '  sign-offs: [high-voltage-technician]\n',
      '',
      'plugward sign-offs was high-voltage-technician, now not stated',
    ],
  ])('what a shared file says of what the plan names: %s', (_, file, from, to, says) => {
    const here = folderWith(
      Object.fromEntries(
        Object.entries(samples()).flatMap(([name, text]) => [
          [`old/${name}`, text],
          [`new/${name}`, name === file ? text.replace(from, to) : text],
        ]),
      ),
    );
    const { out } = plugward(here, ['compare', `old/${plan}`, `new/${plan}`, ...today]);
    expect(out.replaceAll(/\s+/g, ' ')).toContain(says);
  });
  test('what a shared file says of what no version names is no change', () => {
    const sheet = samples()['harbour-lane.rate-sheet.yaml']!;
    const here = folderWith(
      Object.fromEntries(
        Object.entries(samples()).flatMap(([name, text]) => [
          [`old/${name}`, text],
          [`new/${name}`, text],
        ]),
      ),
    );
    const more =
      'tasks: [{ id: blast }]\nzones: [{ id: annex, beside: [loft] }, { id: loft, beside: [annex] }]\n';
    writeFileSync(join(here, 'new/harbour-lane.rate-sheet.yaml'), sheet + more);
    const { out } = plugward(here, ['compare', `old/${plan}`, `new/${plan}`, ...today]);
    expect(out).toContain('No change in meaning.');
  });
  test('a new error fails when it is asked to', () => {
    const args = ['compare', plan, 'quarter-panel-faulty.repair-plan.yaml', '--fail-on', 'error', ...today];
    expect(plugward(root, args).code).toBe(1);
    expect(plugward(root, [...args.slice(0, 3), ...today]).code).toBe(0);
  });
  test.each([
    [['compare', plan], 'Name two plans'],
    [['compare', plan, 'absent.repair-plan.yaml'], 'there is no such file'],
    [['compare', plan, 'harbour-lane.rate-sheet.yaml'], 'it is no repair plan'],
  ])('%j: %s', (args, words) => {
    const { code, out, err } = plugward(root, [...args, ...today]);
    expect([code, out]).toEqual([2, '']);
    expect(err).toContain(words);
  });
  test('a version that cannot be read as a whole is not compared, and nothing is written', () => {
    writeFileSync(join(root, 'broken.repair-plan.yaml'), changed.replace('operations:', 'operations: ['));
    const { code, err } = plugward(root, [
      'compare',
      plan,
      'broken.repair-plan.yaml',
      '-o',
      'out.html',
      ...today,
    ]);
    expect(code).toBe(2);
    expect(err).toContain('its text is damaged');
    expect(() => rmSync(join(root, 'out.html'))).toThrow();
  });
});

describe.skipIf(!withGit)('--since', () => {
  test('a word that changed in the rate sheet is a change of the plan', () => {
    const root = repository();
    const sheet = samples()['harbour-lane.rate-sheet.yaml']!;
    writeFileSync(
      join(root, 'harbour-lane.rate-sheet.yaml'),
      sheet.replace("per-hour: '96.00'", "per-hour: '100.00'"),
    );
    const { code, out } = plugward(root, ['compare', '--since', 'HEAD', plan, ...today]);
    expect(code).toBe(0);
    expect(out).toContain('per-hour was 96, now 100');
    expect(git(root, 'status', '--porcelain')).toBe(' M harbour-lane.rate-sheet.yaml\n');
  });
  test('a folder: what changed, what is new, and how many', () => {
    const root = repository();
    writeFileSync(join(root, plan), changed);
    writeFileSync(join(root, 'fresh.repair-plan.yaml'), samples()[plan]!);
    const { code, out } = plugward(root, ['compare', '--since', 'HEAD', '.', ...today]);
    expect(code).toBe(0);
    expect(out).toContain('fresh.repair-plan.yaml is new: it was not there at HEAD.');
    expect(out).toContain('1 of 3 plans changed in meaning.');
  });
  test('starts nothing that a repository names', () => {
    const root = repository();
    const ran = join(folderWith({}), 'ran');
    const command = `touch ${ran}; cat`;
    const config: readonly (readonly [string, string])[] = [
      ['filter.own.clean', command],
      ['filter.own.process', command],
      ['filter.own.required', 'true'],
      ['filter.o.w n.clean', command],
      ['core.fsmonitor', command],
      ['core.pager', command],
      ['diff.external', command],
      ['diff.own.command', command],
      ['diff.own.textconv', command],
      ['alias.diff', `!${command}`],
      ['core.hooksPath', 'hooks'],
    ];
    for (const [key, value] of config) git(root, 'config', key, value);
    mkdirSync(join(root, 'hooks'));
    for (const hook of ['post-index-change', 'post-checkout', 'reference-transaction'])
      writeFileSync(join(root, 'hooks', hook), `#!/bin/sh\n${command}\n`, { mode: 0o755 });
    writeFileSync(join(root, '.gitattributes'), '*.yaml filter=own diff=own\n');
    writeFileSync(join(root, plan), changed);
    for (const args of [
      ['check', '--since', 'HEAD', '--exit-zero'],
      ['compare', '--since', 'HEAD', plan],
    ]) {
      expect(plugward(root, [...args, ...today])).toMatchObject({ code: 0, err: '' });
      expect(existsSync(ran), args.join(' ')).toBe(false);
    }
    git(root, 'config', 'filter.a=b.clean', command);
    expect(plugward(root, ['compare', '--since', 'HEAD', plan])).toMatchObject({
      code: 2,
      err: expect.stringContaining('it names a filter filter.a=b'),
    });
  });

  test('a file that was renamed is found again', () => {
    const root = repository();
    mkdirSync(join(root, 'plans'));
    renameSync(join(root, plan), join(root, 'plans', plan));
    writeFileSync(
      join(root, 'plans', plan),
      changed.replaceAll('- ./', '- ../').replaceAll('photo: ./', 'photo: ../'),
    );
    git(root, 'add', '-A');
    const { code, out, err } = plugward(root, ['compare', '--since', 'HEAD', `plans/${plan}`, ...today]);
    expect([code, err]).toEqual([0, '']);
    expect(out).toContain('hours was 0.1, now 0.3');
  });
  test.skipIf(lacks('links'))('from a folder below the root, and through a link to it', () => {
    const root = repository();
    mkdirSync(join(root, 'deep'));
    symlinkSync(root, join(root, 'deep/link'));
    writeFileSync(join(root, plan), changed);
    const { code, out } = plugward(join(root, 'deep'), [
      'compare',
      '--since',
      'HEAD',
      `link/${plan}`,
      ...today,
    ]);
    expect(code).toBe(0);
    expect(out).toContain('hours was 0.1, now 0.3');
  });
  test.each([
    ['no-such', "There is no revision 'no-such'"],
    ['--help-me', '--since needs a value'],
    ['-x', '--since needs a value'],
    ['HEAD:quarter-panel.repair-plan.yaml', 'There is no revision'],
    ['$(touch x)', 'There is no revision'],
  ])('the revision %s: %s', (revision, words) => {
    const root = repository();
    const { code, out, err } = plugward(root, ['compare', '--since', revision, plan, ...today]);
    expect([code, out]).toEqual([2, '']);
    expect(err).toContain(words);
    expect(git(root, 'status', '--porcelain')).toBe('');
  });
  test('a revision that looks like an option is none', () => {
    const { code, err } = plugward(repository(), ['compare', '--since=--output=x', plan, ...today]);
    expect(code).toBe(2);
    expect(err).toContain('There is no revision');
  });
  test('a shallow clone says what to do', () => {
    const root = repository();
    writeFileSync(join(root, plan), changed);
    git(root, 'commit', '-qam', 'second');
    const clone = join(root, 'clone');
    git(root, 'clone', '-q', '--depth', '1', `file://${root}`, clone);
    const { code, err } = plugward(clone, ['compare', '--since', 'HEAD~1', plan, ...today]);
    expect(code).toBe(2);
    expect(err).toContain('git fetch --unshallow');
  });
  test('a file that did not exist then, or was no text, or was huge', () => {
    const root = repository();
    writeFileSync(join(root, 'fresh.repair-plan.yaml'), changed);
    const since = (name: string): string =>
      plugward(root, ['compare', '--since', 'HEAD', name, ...today]).err;
    expect(since('fresh.repair-plan.yaml')).toContain('it did not exist at HEAD');
    writeFileSync(join(root, 'binary.repair-plan.yaml'), Buffer.from([0, 159, 146, 150, 255]));
    writeFileSync(join(root, 'huge.repair-plan.yaml'), 'plan: x\n'.repeat(2_200_000));
    git(root, 'add', '-A');
    git(root, 'commit', '-qm', 'second');
    writeFileSync(join(root, 'binary.repair-plan.yaml'), changed);
    writeFileSync(join(root, 'huge.repair-plan.yaml'), changed);
    expect(since('binary.repair-plan.yaml')).toContain('it is not UTF-8 text');
    expect(since('huge.repair-plan.yaml')).toContain('it was too large');
    expect(plugward(root, ['compare', '--since', 'HEAD', 'huge.repair-plan.yaml']).code).toBe(2);
  });
  test('outside of a repository, and without git', () => {
    const bare = folderWith(samples());
    const none = plugward(bare, ['compare', '--since', 'HEAD', plan, ...today], {
      env: { GIT_CEILING_DIRECTORIES: join(bare, '..') },
    });
    expect([none.code, none.err]).toEqual([
      2,
      'plugward: --since needs a git repository, and this folder is in none.\n',
    ]);
    const without = plugward(bare, ['compare', '--since', 'HEAD', plan, ...today], { env: { PATH: bare } });
    expect(without.code).toBe(2);
    expect(without.err).toContain('git was not found');
  });
});

describe.skipIf(!withGit)('what cannot be compared: clear words, exit code 2, and nothing is written', () => {
  const damaged = changed.replace('operations:', 'operations: [');
  const old: Readonly<Record<string, string | Uint8Array>> = {
    'was-damaged.repair-plan.yaml': damaged,
    'is-damaged.repair-plan.yaml': changed,
    'was-binary.repair-plan.yaml': Buffer.from([0, 159, 146, 150, 255]),
    'was-utf16.repair-plan.yaml': Buffer.from(`\ufeff${changed}`, 'utf16le'),
    'was-empty.repair-plan.yaml': '',
    'was-a-list.repair-plan.yaml': 'connector-list: kestrel\nconnectors: []\n',
  };
  const now: typeof old = {
    ...Object.fromEntries(Object.keys(old).map((name) => [name, changed])),
    'is-damaged.repair-plan.yaml': damaged,
    'new.repair-plan.yaml': changed,
  };
  const root = withGit ? folderWith({ ...samples(), ...old }) : '';
  if (withGit) {
    git(root, 'init', '-q');
    git(root, 'add', '.');
    git(root, 'commit', '-qm', 'first');
    for (const [name, text] of Object.entries(now)) writeFileSync(join(root, name), text);
  }
  test.each([
    ['was-damaged', 'its text is damaged'],
    ['is-damaged', 'its text is damaged'],
    ['was-binary', 'it is not UTF-8 text'],
    ['was-utf16', 'it is written in UTF-16'],
    ['was-empty', 'its text is damaged'],
    ['was-a-list', 'it has no list of steps under `operations`'],
    ['new', 'it did not exist at HEAD'],
    ['nowhere', 'there is no such file'],
  ])('%s: %s', (name, words) => {
    for (const format of ['human', 'json', 'html']) {
      const out = join(root, 'out');
      const args = ['compare', '--since', 'HEAD', `${name}.repair-plan.yaml`, '--format', format, '-o', out];
      const ran = plugward(root, [...args, ...today]);
      expect([ran.code, ran.out, existsSync(out)]).toEqual([2, '', false]);
      expect(ran.err.replaceAll(/\s+/g, ' ')).toContain(words);
    }
  });
  test('no supplement of a version that is damaged, whichever side it stands on', () => {
    for (const pair of [
      [plan, 'is-damaged.repair-plan.yaml'],
      ['is-damaged.repair-plan.yaml', plan],
      [plan, 'nowhere.repair-plan.yaml'],
    ]) {
      const out = join(root, 'supplement.html');
      const ran = plugward(root, ['report', 'supplement', ...pair, '-o', out, ...today]);
      expect([ran.code, ran.out, existsSync(out)]).toEqual([2, '', false]);
      expect(ran.err).toMatch(/was not read: (its text is damaged|there is no such file)/);
    }
  });
});

describe('only what is new', () => {
  const faulty = 'quarter-panel-faulty.repair-plan.yaml';
  const counts = (out: string): Record<string, number> =>
    (JSON.parse(out) as { summary: Record<string, number> }).summary;
  const json = ['--format', 'json', ...today];

  test('a baseline knows its findings again when lines move and steps are renamed', () => {
    const root = folderWith(samples());
    expect(plugward(root, ['check', faulty, '--write-baseline', 'base.json', ...json]).code).toBe(1);
    const text = samples()[faulty]!;
    const moved = `# moved\n\n${text.replaceAll(/\bop(\d+)\b(?!\.jpg)/g, 'step$1')}`;
    writeFileSync(join(root, faulty), moved);
    const again = plugward(root, ['check', faulty, '--only-new', 'base.json', ...json]);
    expect([again.code, counts(again.out)]).toMatchObject([0, { errors: 0, warnings: 0 }]);
    writeFileSync(join(root, faulty), moved.replace(/ {2}- \{ id: step25, .*\n/, ''));
    const worse = plugward(root, ['check', faulty, '--only-new', 'base.json', ...today]);
    expect(worse.code).toBe(1);
    expect(worse.out).toContain('charge-inlet');
    expect(worse.out).not.toContain('hv-interlock is opened');
  });
  test('a warning that it knows does not hide the error that becomes of it', () => {
    const text = (needs: string): string =>
      `plan: A\nvehicle: { description: Kestrel (invented), propulsion: battery-electric, system-voltage: 400 V }\noperations:\n${needs}  - { id: op30, do: weld, zone: roof }\n`;
    const isolated = '  - { id: op10, do: shut-down }\n  - { id: op20, do: isolate }\n';
    const name = 'a.repair-plan.yaml';
    const root = folderWith({ [name]: text(isolated) });
    const only = ['check', name, '--only-new', 'base.json', '--fail-on', 'error', ...today];
    const first = plugward(root, ['check', name, '--write-baseline', 'base.json', ...today]);
    expect(first.out).toContain('warning  6:11  weld-connected');
    expect(plugward(root, only).code).toBe(0);
    writeFileSync(join(root, name), text(''));
    const worse = plugward(root, only);
    expect([worse.code, worse.out]).toEqual([1, expect.stringContaining('error  4:11  weld-connected')]);
    // The other way round nothing is new.
    plugward(root, ['check', name, '--write-baseline', 'base.json', ...today]);
    writeFileSync(join(root, name), text(isolated));
    expect(plugward(root, only).out).not.toContain('weld-connected');
    // A baseline without severities knows all of them.
    const known = readFileSync(join(root, 'base.json'), 'utf8');
    writeFileSync(join(root, 'base.json'), known.replaceAll(/,\s*"severity": "\w+"/g, ''));
    writeFileSync(join(root, name), text(''));
    expect(plugward(root, only).out).not.toContain('weld-connected');
  });
  test('that errors about safety are lowered is told all the same, by --quiet too', () => {
    const root = folderWith(samples());
    const lowered = ['--severity', 'live-opening=off', ...today];
    const only = ['check', plan, '--only-new', 'base.json', '--quiet', '--fail-on', 'error', ...lowered];
    plugward(root, ['check', plan, '--write-baseline', 'base.json', ...lowered]);
    for (const format of ['human', 'lines']) {
      const { code, out } = plugward(root, [...only, '--format', format]);
      expect([code, out]).toEqual([0, expect.stringContaining('errors-lowered')]);
    }
  });
  test('what is no baseline is refused, and never replaced', () => {
    const root = folderWith({ ...samples(), 'notes.txt': 'mine\n' });
    const read = plugward(root, ['check', plan, '--only-new', 'notes.txt', ...today]);
    expect([read.code, read.err]).toEqual([2, expect.stringContaining('notes.txt is no baseline')]);
    plugward(root, ['check', faulty, '--write-baseline', 'base.json', ...today]);
    const known = readFileSync(join(root, 'base.json'), 'utf8');
    writeFileSync(join(root, 'notes.json'), known.replaceAll(/"(lacks|also)": \[[^\]]*\]/g, '"$1": 5'));
    const odd = plugward(root, ['check', faulty, '--only-new', 'notes.json', ...today]);
    expect([odd.code, odd.err]).toEqual([2, expect.stringContaining('notes.json is no baseline')]);
    expect(plugward(root, ['check', plan, '--write-baseline', 'notes.txt', ...today]).code).toBe(2);
    expect(plugward(root, ['check', plan, '--only-new', 'absent.json', ...today]).err).toContain(
      'no such file',
    );
  });
  test.skipIf(!withGit)('a changed word of the rate sheet is told of every plan it breaks', () => {
    const root = repository();
    const untouched = plugward(root, ['check', '--since', 'HEAD', ...today]);
    expect([untouched.code, untouched.err]).toEqual([
      0,
      expect.stringContaining('none of these files changed'),
    ]);
    const sheet = samples()['harbour-lane.rate-sheet.yaml']!;
    writeFileSync(join(root, 'harbour-lane.rate-sheet.yaml'), sheet.replaceAll('orange-tape', 'red-tape'));
    const { code, out } = plugward(root, ['check', '--since', 'HEAD', ...today]);
    expect(code).toBe(1);
    expect(out).toContain(`${plan} `);
    expect(out).toContain('unknown-id');
  });
  test.skipIf(!withGit)(
    'a file that git leaves out has no history, so those that use it are looked at',
    () => {
      const root = repository();
      writeFileSync(join(root, '.gitignore'), 'kestrel.*\n');
      git(root, 'rm', '-q', '--cached', 'kestrel.connector-list.yaml');
      git(root, 'add', '.gitignore');
      git(root, 'commit', '-qm', 'second');
      const { out } = plugward(root, ['check', '--since', 'HEAD', plan, '--format', 'json', ...today]);
      expect(counts(out)['files']).toBe(1);
    },
  );
  test.skipIf(!withGit)('a file that was removed is told of those that use it', () => {
    const root = repository();
    rmSync(join(root, 'kestrel.connector-list.yaml'));
    const { out } = plugward(root, ['check', '--since', 'HEAD', ...today]);
    expect(out).toContain('file-missing');
  });
});
