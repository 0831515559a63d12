import { execFileSync, spawnSync } from 'node:child_process';
import {
  chmodSync,
  chownSync,
  existsSync,
  linkSync,
  lstatSync,
  readdirSync,
  readFileSync,
  statSync,
  renameSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { join } from 'node:path';
import { afterAll, describe, expect, test } from 'vitest';
import { readTextFile, replace } from '../../server/src/cli/files.ts';
import { isHeld, patiently } from '../../server/src/disk/patience.ts';
import { deviceIn } from '../../server/src/cli/reserved-names.ts';
import { samples } from '../support/files.ts';
import { lacks } from '../support/programs.ts';
import { cli, folderWith, plugward, removeFolders } from './run.ts';
import type { Ran } from './run.ts';

afterAll(removeFolders);

const plan = 'quarter-panel-faulty.repair-plan.yaml';
const written = 'Ask Kim about the cover.\n';

/** Every command that writes a file, in every format. */
const writers: readonly (readonly string[])[] = [
  ['report', 'job-card', plan],
  ['report', 'estimate', plan],
  ['report', 'estimate', plan, '--format', 'csv'],
  ['report', 'estimate', plan, '--format', 'json'],
  ['report', 'review', plan],
  ['report', 'review', plan, '--format', 'json'],
  ['report', 'review', '.'],
  ['report', 'review', '.', '--format', 'json'],
  ['heat', plan, '--format', 'json'],
  ['heat', plan, '--format', 'svg', '-c', 'inverter-dc'],
  ['check', plan, '--format', 'sarif', '--exit-zero'],
  ['check', plan, '--format', 'json', '--exit-zero'],
  ['check', plan, '--format', 'junit', '--exit-zero'],
  ['check', plan, '--format', 'code-quality', '--exit-zero'],
  ['check', '.', '--format', 'json', '--shard', '1/2', '--exit-zero'],
  ['report', 'supplement', plan, 'quarter-panel.repair-plan.yaml'],
  ['report', 'reasons', plan],
  ['report', 'owed', plan],
  ['merge', 'part.json', '--exit-zero'],
];
/** What they write carries no mark of ours. */
const unmarked: readonly (readonly string[])[] = [
  ['heat', plan],
  ['check', plan, '--exit-zero'],
  ['check', plan, '--format', 'annotations', '--exit-zero'],
  ['check', plan, '--format', 'lines', '--exit-zero'],
];

describe.each([...writers, ...unmarked].map((args) => [args.join(' '), args] as const))('%s', (_, args) => {
  const cwd = folderWith({ ...samples(), 'notes.txt': written });
  if (args[0] === 'merge')
    plugward(cwd, ['check', plan, '--format', 'json', '--shard', '1/1', '-o', 'part.json']);
  const out = (file: string, ...more: string[]) => plugward(cwd, [...args, '-o', file, ...more]);

  test('leaves alone what somebody wrote, and replaces it when told to', () => {
    const refused = out('notes.txt');
    expect({ code: refused.code, out: refused.out }).toEqual({ code: 2, out: '' });
    expect(refused.err).toMatch(
      /^plugward: notes\.txt was not written: a file that Plugward did not print is there; .*--force\.\n$/,
    );
    expect(readFileSync(join(cwd, 'notes.txt'), 'utf8')).toBe(written);
    expect(out('notes.txt', '--force').code).toBe(0);
    expect(readFileSync(join(cwd, 'notes.txt'), 'utf8')).not.toBe(written);
  });

  test('names a folder that is not there', () => {
    expect(out('prints/a.out')).toEqual({
      code: 2,
      out: '',
      err: expect.stringMatching(
        /prints\/a\.out was not written: the folder it goes into is not there\.\n$/,
      ) as string,
    });
  });

  test('replaces its own print', () => {
    expect(out('print.out').code).toBe(0);
    const first = readFileSync(join(cwd, 'print.out'), 'utf8');
    const again = out('print.out');
    const marked = writers.includes(args);
    expect(again.code).toBe(marked ? 0 : 2);
    expect(readFileSync(join(cwd, 'print.out'), 'utf8').length).toBe(first.length);
    expect(readdirSync(cwd).filter((name) => name.endsWith('.tmp'))).toEqual([]);
  });
});

describe('of several outputs of one run', () => {
  const several = ['check', plan, '--exit-zero', '--format', 'sarif', '-o', 'a.sarif', '--format', 'junit'];

  test.each([
    ['is a file that somebody wrote', 'notes.txt', /a file that Plugward did not print is there/],
    ['is the plan itself', plan, /is the name of a plan/],
  ])('one %s: it stays', (_, name, words) => {
    const cwd = folderWith({ ...samples(), 'notes.txt': written });
    const before = readFileSync(join(cwd, name), 'utf8');
    const ran = plugward(cwd, [...several, '-o', name]);
    expect([ran.code, ran.err]).toEqual([2, expect.stringMatching(words)]);
    expect(readFileSync(join(cwd, name), 'utf8')).toBe(before);
  });

  test.skipIf(lacks('links'))('one is a link: what it leads to stays', () => {
    const cwd = folderWith({ ...samples(), 'notes.txt': written });
    symlinkSync('notes.txt', join(cwd, 'b.xml'));
    const ran = plugward(cwd, [...several, '-o', 'b.xml', '--force']);
    expect([ran.code, ran.err]).toEqual([2, expect.stringContaining('it is a link')]);
    expect(readFileSync(join(cwd, 'notes.txt'), 'utf8')).toBe(written);
  });

  test('a part is not replaced by what is merged from it', () => {
    const cwd = folderWith(samples());
    plugward(cwd, ['check', plan, '--format', 'json', '--shard', '1/1', '-o', 'part.json']);
    const before = readFileSync(join(cwd, 'part.json'), 'utf8');
    const ran = plugward(cwd, ['merge', 'part.json', '-o', 'part.json', '--force']);
    expect([ran.code, readFileSync(join(cwd, 'part.json'), 'utf8')]).toEqual([2, before]);
  });
});

describe('no print is written', () => {
  const lone = 'plan: T-1\nvehicle: { description: Kestrel, propulsion: hybrid }\noperations: []\n';
  const cwd = folderWith({ 'lone.yaml': lone, 'sub/notes.txt': written, 'empty.html': '' });

  test.each([
    ['by its name', 'lone.yaml'],
    ['by another name of it', 'twin.html'],
  ])('over the plan it is made from, %s, not even when told to', (_, name) => {
    if (!existsSync(join(cwd, 'twin.html'))) linkSync(join(cwd, 'lone.yaml'), join(cwd, 'twin.html'));
    const ran = plugward(cwd, ['report', 'job-card', 'lone.yaml', '-o', name, '--force']);
    expect(ran).toMatchObject({ code: 2, err: expect.stringContaining('the print was made from this file') });
    expect(readFileSync(join(cwd, 'lone.yaml'), 'utf8')).toBe(lone);
  });

  test.skipIf(lacks('links')).each([
    ['a file', 'sub/notes.txt'],
    ['nothing', 'sub/gone.txt'],
  ])('through a link to %s, not even when told to', (_, target) => {
    const link = join(cwd, `to-${target.replace('/', '-')}.html`);
    symlinkSync(target, link);
    const ran = plugward(cwd, ['report', 'job-card', 'lone.yaml', '-o', link, '--force']);
    expect(ran).toMatchObject({
      code: 2,
      err: expect.stringContaining('it is a link; name the file itself'),
    });
    expect(lstatSync(link).isSymbolicLink()).toBe(true);
    expect(readFileSync(join(cwd, 'sub/notes.txt'), 'utf8')).toBe(written);
    expect(existsSync(join(cwd, 'sub/gone.txt'))).toBe(false);
  });

  test.skipIf(lacks('a shell of POSIX', 'pipes with names'))(
    'but into an empty file, a device and a pipe it is',
    () => {
      expect(plugward(cwd, ['report', 'job-card', 'lone.yaml', '-o', 'empty.html']).code).toBe(0);
      expect(readFileSync(join(cwd, 'empty.html'), 'utf8')).toContain('<h1>Job card</h1>');
      expect(plugward(cwd, ['report', 'job-card', 'lone.yaml', '-o', '/dev/null'])).toMatchObject({
        code: 0,
        err: '',
      });
      execFileSync('mkfifo', [join(cwd, 'pipe')]);
      const command = `cat pipe > piped.html & "$0" "$1" report job-card lone.yaml -o pipe && wait`;
      execFileSync('sh', ['-c', command, process.execPath, join(import.meta.dirname, '../../dist/cli.js')], {
        cwd,
      });
      expect(readFileSync(join(cwd, 'piped.html'), 'utf8')).toContain('<h1>Job card</h1>');
    },
  );
});

describe('fix', () => {
  const slip =
    'plan: T-1\nvehicle: { description: Kestrel, propulsion: hybrid, system-voltage: 400V }\noperatons: []\n';
  const name = 'a.repair-plan.yaml';

  test('leaves a file alone that has a second name, and says so', () => {
    const cwd = folderWith({ [name]: slip });
    linkSync(join(cwd, name), join(cwd, 'kept.txt'));
    const ran = plugward(cwd, ['fix']);
    expect(ran.code).toBe(2);
    expect(ran.err).toContain(`${name} was not changed: it has other names too`);
    expect(readFileSync(join(cwd, name), 'utf8')).toBe(slip);
    expect(readdirSync(cwd).sort()).toEqual([name, 'kept.txt']);
  });

  test('looks once more in the moment of replacing: at the text, the file and its names', async () => {
    const fixed = slip.replace('operatons', 'operations');
    const attempts: Record<string, (file: string) => void> = {
      'changed by someone else': (file) => writeFileSync(file, `${slip}# mine\n`),
      'by someone else in the meantime': (file) => {
        renameSync(file, `${file}.old`);
        writeFileSync(file, slip);
      },
      'it has other names too': (file) => linkSync(file, `${file}.twin`),
    };
    for (const [words, meddle] of Object.entries(attempts)) {
      const file = join(folderWith({ [name]: slip }), name);
      const { text, bytes } = readTextFile(file);
      let looked = 0;
      const before = {
        text,
        get bytes() {
          // The new text is made from it, between the first look at the file and the last.
          if (looked++ === 0) meddle(file);
          return bytes;
        },
      };
      await expect(replace(file, before, fixed)).rejects.toThrow(words);
      expect(looked).toBeGreaterThan(0);
      expect(readFileSync(file, 'utf8')).not.toContain('operations');
    }
  });

  test.skipIf(lacks('a super-user'))('keeps owner, group and permissions', () => {
    const cwd = folderWith({ [name]: slip });
    chownSync(join(cwd, name), 4242, 4343);
    chmodSync(join(cwd, name), 0o2664);
    expect(plugward(cwd, ['fix']).code).toBe(0);
    const { uid, gid, mode } = statSync(join(cwd, name));
    expect({ uid, gid, mode: mode & 0o7777 }).toEqual({ uid: 4242, gid: 4343, mode: 0o2664 });
    expect(readFileSync(join(cwd, name), 'utf8')).not.toBe(slip);
  });

  test.skipIf(lacks('a super-user'))('leaves a file alone whose owner it could not keep, and says so', () => {
    const cwd = folderWith({ [name]: slip });
    chmodSync(cwd, 0o777);
    chmodSync(join(cwd, name), 0o666);
    const script = `process.setgid(4343); process.setuid(4242); process.argv = [process.argv[0], 'cli', 'fix', '.']; require(${JSON.stringify(join(import.meta.dirname, '../../dist/cli.js'))});`;
    const run = (): string => {
      try {
        return execFileSync(process.execPath, ['-e', script], { cwd, encoding: 'utf8', stdio: 'pipe' });
      } catch (error) {
        return (error as { stderr: string }).stderr;
      }
    };
    expect(run()).toContain('it belongs to somebody else');
    expect(readFileSync(join(cwd, name), 'utf8')).toBe(slip);
    expect(readdirSync(cwd)).toEqual([name]);
  });
});

describe('names of devices on Windows', () => {
  test.each([
    ['NUL', 'NUL'],
    ['nul', 'NUL'],
    ['out\\nul.html', 'NUL'],
    ['C:\\x\\con', 'CON'],
    ['aux.repair-plan.yaml', 'AUX'],
    ['COM1.txt', 'COM1'],
    ['lpt9', 'LPT9'],
    ['console.html', undefined],
    ['nul-report.html', undefined],
    ['COM10', undefined],
    ['a.nul', undefined],
  ])('%s', (path, device) => {
    expect(deviceIn(path, 'win32')).toBe(device);
    expect(deviceIn(path, 'linux')).toBeUndefined();
  });
});

describe('a file that another program holds', () => {
  const failing = (times: number, code: string) => {
    let left = times;
    return () =>
      left-- > 0 ? Promise.reject(Object.assign(new Error(code), { code })) : Promise.resolve('done');
  };

  test.each([
    ['EBUSY', 'linux', true],
    ['EPERM', 'win32', true],
    ['EACCES', 'win32', true],
    ['EPERM', 'linux', false],
    ['EACCES', 'darwin', false],
    ['ENOENT', 'win32', false],
  ] as const)('%s on %s', async (code, platform, held) => {
    expect(isHeld({ code }, platform)).toBe(held);
    const tried = patiently(failing(3, code), platform);
    if (held) expect(await tried).toBe('done');
    else await expect(tried).rejects.toMatchObject({ code });
  });

  test('for too long is told', async () => {
    await expect(patiently(failing(7, 'EBUSY'))).rejects.toMatchObject({ code: 'EBUSY' });
  });
});

describe('what is wrong outside is told as that, and is no fault of ours', () => {
  const cwd = folderWith(samples());
  const told = (ran: ReturnType<typeof plugward>, words: string): void => {
    expect({ code: ran.code, err: ran.err }).toEqual({ code: 2, err: expect.stringContaining(words) });
    expect(ran.err).not.toContain('please report');
  };

  test.skipIf(lacks('a shell of POSIX'))('a folder for temporary files that is not there', () => {
    const ran = plugward(cwd, ['report', 'review', '.'], { env: { TMPDIR: join(cwd, 'gone') } });
    told(ran, `a temporary file in ${join(cwd, 'gone')} failed: there is no such file`);
  });

  test.skipIf(lacks('a shell of POSIX', '/dev/full'))('a full disk', () => {
    const command = '"$0" "$1" check . > /dev/full';
    const ran = spawnSync('sh', ['-c', command, process.execPath, cli], { cwd, encoding: 'utf8' });
    told(
      { code: ran.status, out: ran.stdout, err: ran.stderr },
      'the output was not written: the disk is full',
    );
  });

  test.skipIf(lacks('a super-user'))(
    'a plan, a sheet that it uses, a folder and a baseline that may not be read',
    () => {
      const names = { plan, sheet: 'harbour-lane.rate-sheet.yaml' };
      const shop = folderWith({
        ...samples(),
        'closed/a.repair-plan.yaml': samples()[plan]!,
        'base.json': '{}',
      });
      for (const one of [names.plan, names.sheet, 'closed', 'base.json']) chmodSync(join(shop, one), 0);
      const run = (...args: string[]): Ran => {
        const words = JSON.stringify(['cli', ...args]);
        const script = `process.setgid(4343); process.setuid(4242); process.argv = [process.argv[0], ...${words}]; require(${JSON.stringify(cli)});`;
        chmodSync(shop, 0o755);
        const { status, stdout, stderr } = spawnSync(process.execPath, ['-e', script], {
          cwd: shop,
          encoding: 'utf8',
        });
        return { code: status, out: stdout, err: stderr };
      };
      const denied = 'you have no permission to open it';
      for (const args of [
        ['check', plan],
        ['report', 'job-card', plan],
        ['heat', plan],
        ['fix', plan],
        ['check', 'closed'],
      ])
        told(run(...args), denied);
      told(run('check', '--only-new', 'base.json'), `base.json was not read: ${denied}`);
      told(run('check', 'quarter-panel.repair-plan.yaml'), `${names.sheet} was not checked: ${denied}`);
      told(
        run('report', 'estimate', 'quarter-panel.repair-plan.yaml'),
        `${names.sheet} was not read: ${denied}`,
      );
      told(run('compare', plan, plan), denied);
      told(run('report', 'job-card', 'hybrid-door.repair-plan.yaml', '-o', 'closed/card.html'), denied);
    },
  );

  test.skipIf(lacks('a shell of POSIX'))('too many open files', () => {
    const shop = folderWith(
      Object.fromEntries(Array.from({ length: 40 }, (_, i) => [`p${i}.repair-plan.yaml`, samples()[plan]!])),
    );
    // What Node itself takes differs: from few to enough, each run is complete or says what is wrong.
    const codes = new Set<number | null>();
    for (const limit of [20, 22, 24, 28, 40]) {
      const command = `ulimit -n ${limit}; "$0" "$1" check --exit-zero`;
      const ran = spawnSync('sh', ['-c', command, process.execPath, cli], { cwd: shop, encoding: 'utf8' });
      // Below some number Node does not start.
      if (!/\d+ files? checked/.test(ran.stdout)) continue;
      codes.add(ran.status);
      if (ran.status === 0) expect(ran.stdout).toContain('40 files checked');
      else told({ code: ran.status, out: ran.stdout, err: ran.stderr }, 'too many files are open');
    }
    expect(codes).toContain(0);
  });

  test.skipIf(lacks('a shell of POSIX'))('a folder that vanishes', () => {
    const command = 'mkdir going && cd going && rmdir ../going && "$0" "$1" check';
    const ran = spawnSync('sh', ['-c', command, process.execPath, cli], { cwd, encoding: 'utf8' });
    told({ code: ran.status, out: ran.stdout, err: ran.stderr }, 'the current folder is gone');
  });
});

describe.skipIf(lacks('any sign in a name'))('a name that steers terminals', () => {
  const named = lacks('any sign in a name') ? 'a.repair-plan.yaml' : 'a\u001b[31mb.repair-plan.yaml';
  const cwd = folderWith({ ...samples(), [named]: samples()[plan]! });

  test.each([
    ...['human', 'lines', 'json', 'sarif', 'junit', 'code-quality', 'annotations'].map((format) => [
      'check',
      named,
      '--format',
      format,
    ]),
    ['check', `gone-${named}`],
    ['fix', named, '--diff', '--unsafe-fixes'],
    ['fix', named, '--dry-run'],
    ['report', 'review', '.'],
    ['report', 'review', named, '--format', 'json'],
    ['report', 'estimate', named, '--format', 'csv'],
    ['report', 'job-card', named, '-o', named],
    ['report', named],
    ['heat', named],
    ['check', `--${named}`],
    ['explain', named],
    [named],
  ])('%j', (...args) => {
    const { code, out, err } = plugward(cwd, args);
    expect(code).not.toBeNull();
    expect(out + err).not.toContain('\u001b');
  });
});
