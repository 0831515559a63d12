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
  expect(signs).toMatch(/─[^]*│[^]*▔[^]*↳/);
});

test('--ascii: all that is said of the samples, and of a unit that does not fit, is ASCII, and so is the mark where a line is cut', () => {
  const units = `plan: T-1
vehicle: { description: Kestrel estate (invented), propulsion: battery-electric, system-voltage: 400 V }
connectors:
  - { id: dc, class: high-voltage-power, zone: quarter-left, resistance: 3 V }
operations: []
`;
  const cwd = folderWith({ ...samples(), 'units.repair-plan.yaml': units });
  const run = (...more: string[]): string[] => {
    const options = ['--statistics', '--today', '2027-02-05', ...more];
    return plugward(cwd, ['check', '.', ...options], { env: { COLUMNS: '40' } }).out.split('\n');
  };
  const signs = run();
  const plain = run('--ascii');
  const quoted = (line: string): boolean => /^ +\d+ [|│] /.test(line);
  // There is something to replace: a unit, the sign of a count, the cut of a line.
  const said = (lines: readonly string[]): string => lines.filter((line) => !quoted(line)).join('\n');
  for (const sign of ['Ω', '×', '…']) expect([said(signs), signs.join('\n')].join('\n')).toContain(sign);
  expect(said(plain)).toMatch(/^[ -~\n]*$/);
  expect(said(plain)).toMatch(/\bm?ohm\b/);
  const cut = plain.filter(quoted);
  expect(cut.filter((line) => /\| \.\.\..*\.\.\.$/.test(line)).length).toBeGreaterThan(0);
  expect(cut.join('\n')).not.toContain('…');
  // No line is wider for it.
  expect(Math.max(...cut.map((line) => line.length))).toBeLessThanOrEqual(40);
});

test('--ascii leaves quoted lines, names of files and the letters of a language as they are', () => {
  const cwd = folderWith({ 'Tür.repair-plan.yaml': 'plan: T-1\ntïte: Größe\n' });
  const { out } = plugward(cwd, ['check', '.', '--ascii', '--language', 'es']);
  expect(out).toMatch(/^Tür\.repair-plan\.yaml -+$/m);
  expect(out).toMatch(/\| tïte: Größe$/m);
  expect(out).toContain('vehículo');
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
  const said = `Intl.PluralRules.prototype.resolvedOptions = () => ({ locale: '${locale}' });`;
  const preload = `--import=data:text/javascript,${encodeURIComponent(said)}`;
  const { err } = plugward(folderWith({}), ['check', 'gone.yaml'], {
    env: { ...none, ...env, NODE_OPTIONS: preload },
  });
  expect(err).toContain(word);
});
