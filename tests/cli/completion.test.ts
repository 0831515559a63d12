import { spawnSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import path from 'node:path';
import { afterAll, describe, expect, test } from 'vitest';
import { allCommands } from '../../server/src/cli/commands.ts';
import { findingIds } from '../../server/src/findings/registry.ts';
import { localeTags } from '../../server/src/language/language.ts';
import { samples } from '../support/files.ts';
import { onPath } from '../support/programs.ts';
import { folderWith, plugward, removeFolders } from './run.ts';

afterAll(removeFolders);

const commands = await allCommands();
const script = (shell: string): string => plugward('.', ['completion', shell]).out;
const cwd = folderWith({
  ...samples(),
  'bash.sh': script('bash'),
  _plugward: script('zsh'),
  'fish.fish': script('fish'),
});

interface Typed {
  readonly line: string;
  /** What is offered; of a `--severity` in bash what stands behind the sign. */
  readonly offers: readonly string[];
}

const typed: readonly Typed[] = [
  { line: 'plugward ch', offers: ['check'] },
  { line: 'plugward help he', offers: ['heat'] },
  { line: 'plugward check --fo', offers: ['--format', '--force'] },
  { line: 'plugward check --format s', offers: ['sarif'] },
  {
    line: 'plugward check --format ',
    offers: ['human', 'lines', 'json', 'sarif', 'junit', 'code-quality', 'annotations'],
  },
  { line: 'plugward check --format=ju', offers: ['junit'] },
  { line: 'plugward check -q --fail-on ', offers: ['error', 'warning', 'information'] },
  { line: 'plugward explain bare-', offers: findingIds.filter((id) => id.startsWith('bare-')) },
  { line: 'plugward report ', offers: ['job-card', 'estimate', 'review', 'supplement', 'reasons', 'owed'] },
  { line: 'plugward fix --only labour-m', offers: findingIds.filter((id) => id.startsWith('labour-m')) },
  { line: 'plugward fix --severity weak-cover=i', offers: ['weak-cover=information'] },
  { line: 'plugward completion z', offers: ['zsh'] },
  { line: 'plugward heat --language ', offers: [...localeTags] },
  { line: 'plugward check --max-warnings x', offers: [] },
];

describe.skipIf(!onPath('bash'))('bash', () => {
  test.each(typed)('$line', ({ line, offers }) => {
    // As its default word breaks part a line.
    const words = line.split(/ |(=)/).filter((word) => word !== undefined);
    const list = words.map((word) => `'${word}'`).join(' ');
    const run = `source bash.sh; COMP_WORDS=(${list}); COMP_CWORD=${words.length - 1}; _plugward; printf '%s\\n' "\${COMPREPLY[@]}"`;
    const { stdout, stderr } = spawnSync('bash', ['--norc', '-c', run], { cwd, encoding: 'utf8' });
    expect(stderr).toBe('');
    const shown = offers.map((one) => one.split('=').at(-1)!);
    expect(stdout.split('\n').filter(Boolean).sort()).toEqual([...shown].sort());
  });

  test('leaves files to the shell', () => {
    expect(script('bash')).toMatch(/^complete .*-o default -F _plugward plugward$/m);
  });
});

describe.skipIf(!onPath('fish'))('fish', () => {
  test.each([
    ...typed,
    { line: 'plugward check quarter-panel-f', offers: ['quarter-panel-faulty.repair-plan.yaml'] },
  ])('$line', ({ line, offers }) => {
    const { stdout, stderr } = spawnSync(
      'fish',
      ['--no-config', '-c', `source fish.fish; complete -C '${line}'`],
      {
        cwd,
        encoding: 'utf8',
        env: { ...process.env, HOME: cwd },
      },
    );
    expect(stderr).toBe('');
    const shown = stdout.split('\n').map((one) => one.split('\t')[0]!);
    // With "=", fish gives the option back too.
    const bare = shown.filter(Boolean).map((one) => one.replace(/^--format=/, ''));
    expect(bare.sort()).toEqual([...offers].sort());
  });
});

describe.skipIf(!onPath('zsh'))('zsh', () => {
  test('reads the script', () => {
    const { status, stderr } = spawnSync('zsh', ['-f', '-n', '_plugward'], { cwd, encoding: 'utf8' });
    expect([status, stderr]).toEqual([0, '']);
  });

  // What the script asks of zsh's own functions, with those in place of which it prints its words.
  const asked = (line: string): string => {
    const run = `
      _arguments() {
        if [[ $1 == -C ]]; then
          if (( $#typed > 2 )); then state=rest; words=("\${typed[@]:1}"); else state=command; fi
        else printf '%s\\n' "$@"; fi
      }
      _describe() { printf '%s\\n' "\${(@P)2}"; }
      compdef() { :; }
      typed=(\${(s: :)1} ''); source ./_plugward; _plugward`;
    const { stdout, stderr } = spawnSync('zsh', ['-f', '-c', run, 'zsh', line], { cwd, encoding: 'utf8' });
    expect(stderr).toBe('');
    return stdout;
  };

  test('offers every command', () => {
    const offered = asked('plugward').match(/^[\w-]+(?=:)/gm);
    expect(offered).toEqual(['help', ...commands.map(({ name }) => name)]);
  });

  test.each(commands.map((namedCommand) => [namedCommand.name, namedCommand] as const))(
    'offers the options of %s',
    (name, command) => {
      const specs = asked(`plugward ${name} x`);
      const offered = [...specs.matchAll(/^\*?--([\w-]+)=?\[/gm)].map(([, one]) => one);
      expect(offered).toEqual([...Object.keys(command.options), 'help']);
      expect(specs.includes(':_files')).toBe(
        command.completes.files ||
          Object.values(command.options).some(({ completes }) => completes === 'files'),
      );
    },
  );
});

describe.each(['bash', 'zsh', 'fish'])('the script for %s', (shell) => {
  const text = script(shell);

  test('names every command, option, choice and finding', () => {
    for (const { name, options } of commands) {
      expect(text).toContain(name);
      for (const [option, { choices }] of Object.entries(options)) {
        expect(text).toContain(shell === 'fish' ? `-l ${option} ` : `--${option}`);
        if (choices) expect(text).toContain(choices.join(' '));
      }
    }
    expect(text).toContain(findingIds.join(' '));
  });

  test('speaks the language of the run', () => {
    const spanish = plugward('.', ['completion', shell, '--language', 'es']).out;
    if (shell === 'bash') expect(spanish).toBe(text);
    else expect(spanish).toContain('comprobar planes');
  });
});

test.each([[[]], [['fihs']], [['bash', 'zsh']]])('one shell is to be named, not %j', (names) => {
  expect(plugward('.', ['completion', ...names])).toMatchObject({
    code: 2,
    out: '',
    err: expect.stringContaining('Name one shell: bash, zsh or fish.'),
  });
});

describe('the man page', () => {
  const page = readFileSync('dist/plugward.1', 'utf8');
  const requests = ['TH', 'SH', 'SS', 'PP', 'TP', 'br'];

  test('holds the requests of man(7) that it needs, and no others', () => {
    expect(page).toMatch(/^\.TH PLUGWARD 1 /);
    for (const line of page.split('\n').filter((one) => /^[.']/.test(one))) {
      expect(requests).toContain(/^\.(\w+)/.exec(line)?.[1]);
    }
    // Every escape is one of these: fonts, a backslash, a hyphen, nothing.
    expect(page.replaceAll(/\\(?:f[BIR]|e|-|&)/g, '')).not.toContain('\\');
    // groff_man(7): these sections come in this order.
    expect(page.match(/^\.SH .*/gm)).toEqual(['.SH NAME', '.SH SYNOPSIS', '.SH DESCRIPTION', '.SH COMMANDS']);
  });

  test('tells of every command and option, and warns', () => {
    const plain = page.replaceAll(/\\f[BIR]|\\&/g, '').replaceAll('\\-', '-');
    for (const { name, options } of commands) {
      expect(plain).toContain(`\n.SS plugward ${name} `);
      for (const option of Object.keys(options)) expect(plain).toContain(`--${option}`);
    }
    expect(plain).toContain('not a vehicle');
  });

  test('is named in the manifest', () => {
    const { man } = JSON.parse(readFileSync('package.json', 'utf8')) as { man: string };
    expect(path.resolve(man)).toBe(path.resolve('dist/plugward.1'));
  });

  test.skipIf(!onPath('man'))('man shows it without a warning', () => {
    const { status, stdout, stderr } = spawnSync(
      'man',
      ['--warnings', '-E', 'UTF-8', '-l', 'dist/plugward.1'],
      {
        encoding: 'utf8',
        env: { ...process.env, MANWIDTH: '80', LC_ALL: 'C.UTF-8', MANPAGER: 'cat' },
      },
    );
    expect([status, stderr]).toEqual([0, '']);
    expect(stdout.replaceAll(/.\u0008|\u001b\[[\d;]*m/g, '')).toMatch(/--fail-on SEVERITY/);
  });

  test.skipIf(!onPath('mandoc'))('mandoc has no error in it', () => {
    const { stdout } = spawnSync('mandoc', ['-T', 'lint', '-W', 'error', 'dist/plugward.1'], {
      encoding: 'utf8',
    });
    expect(stdout).toBe('');
  });
});
