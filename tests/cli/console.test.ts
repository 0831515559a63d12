import { afterAll, afterEach, expect, test, vi } from 'vitest';
import { isPlain } from '../../server/src/cli/terminal.ts';
import { samples } from '../support/files.ts';
import { folderWith, plugward, removeFolders } from './run.ts';

afterAll(removeFolders);
afterEach(() => vi.unstubAllEnvs());

const faulty = 'quarter-panel-faulty.repair-plan.yaml';
const none = {
  LC_ALL: '',
  LC_CTYPE: '',
  LC_MESSAGES: '',
  LANG: '',
  TERM: '',
  TERM_PROGRAM: '',
  WT_SESSION: '',
};

test('--ascii marks quoted lines with signs that every console has', () => {
  const cwd = folderWith(samples());
  const plain = plugward(cwd, ['check', faulty, '--today', '2027-02-05', '--ascii']).out;
  const signs = plugward(cwd, ['check', faulty, '--today', '2027-02-05']).out;
  expect(plain).toMatch(/^ +\d+ \| .*\n +\| +\^+$/m);
  expect(plain).not.toMatch(/[─│▔↳]/);
  expect(signs.replaceAll('─', '-').replaceAll('│', '|').replaceAll('▔', '^').replaceAll('↳', '>')).toBe(
    plain,
  );
});

test.each([
  ['a Windows console', 'win32', {}, true],
  ['the newer Windows terminal', 'win32', { WT_SESSION: '1' }, false],
  ["an editor's terminal", 'win32', { TERM_PROGRAM: 'vscode' }, false],
  ['a terminal with UTF-8', 'linux', { LANG: 'es_ES.utf8', TERM: 'xterm' }, false],
  ['a terminal without', 'linux', { LC_ALL: 'C', LANG: 'es_ES.UTF-8', TERM: 'xterm' }, true],
  ['a terminal that says nothing', 'linux', { TERM: 'xterm' }, false],
] as const)('%s', (_, platform, env, plain) => {
  for (const [name, value] of Object.entries({ ...none, ...env })) vi.stubEnv(name, value);
  expect(isPlain({ isTTY: true }, platform)).toBe(plain);
  expect(isPlain({}, platform)).toBe(false);
});

// The system's language, as `Intl` gives it on Windows, where none of the variables is set.
test.each([
  [{}, 'es-MX', 'archivo'],
  [{ LANG: 'en_GB.UTF-8' }, 'es-MX', 'file'],
  [{}, 'de-DE', 'file'],
])('with %j on a system that speaks %s', (env, locale, word) => {
  const said = `Intl.DateTimeFormat.prototype.resolvedOptions = () => ({ locale: '${locale}' });`;
  const preload = `--import=data:text/javascript,${encodeURIComponent(said)}`;
  const { err } = plugward(folderWith({}), ['check', 'gone.yaml'], {
    env: { ...none, ...env, NODE_OPTIONS: preload },
  });
  expect(err).toContain(word);
});
