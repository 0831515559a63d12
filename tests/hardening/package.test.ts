import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import path from 'node:path';
import { expect, test } from 'vitest';

// The packager's own list; its module has no types for this entry.
const { listFiles, PackageManager } = createRequire(import.meta.url)('@vscode/vsce') as {
  PackageManager: { readonly None: number };
  listFiles(options: { cwd: string; packageManager: number }): Promise<string[]>;
};

/** All that the package may hold: no sources, no maps, no tests. */
const expected = [
  'CHANGELOG.md',
  'LICENSE',
  'README.md',
  'client/l10n/bundle.l10n.es.json',
  'client/language-configuration.json',
  'client/media/fix.png',
  'client/media/heat.png',
  'client/media/icon.png',
  'client/media/icon.svg',
  'client/media/language-dark.svg',
  'client/media/language-light.svg',
  'client/media/problems.png',
  'client/syntaxes/plugward.tmLanguage.json',
  ...readdirSync('samples', { recursive: true, withFileTypes: true })
    .filter((one) => one.isFile())
    .map((one) => path.posix.join(one.parentPath, one.name)),
  'dist/THIRD-PARTY.md',
  'dist/client.js',
  'dist/core.js',
  'dist/plugward.js',
  'dist/server.js',
  'dist/web-client.js',
  'dist/web-server.js',
  'package.json',
  'package.nls.es.json',
  'package.nls.json',
];

test('the package contains the required files and nothing else', async () => {
  const cwd = 'dist/package';
  const files = await listFiles({ cwd, packageManager: PackageManager.None });
  expect(files.sort()).toEqual([...expected].sort());
  for (const file of files) expect(existsSync(`${cwd}/${file}`), file).toBe(true);
});

test('every dependency is pinned to one version', () => {
  const { devDependencies } = JSON.parse(readFileSync('package.json', 'utf8')) as {
    devDependencies: Record<string, string>;
  };
  for (const [name, version] of Object.entries(devDependencies)) {
    expect(version, name).toMatch(/^\d+\.\d+\.\d+$/);
  }
});

test('every bundled package is listed with its licence text', () => {
  const text = readFileSync('dist/THIRD-PARTY.md', 'utf8');
  // What a bundle must hold, whatever else: the protocol, YAML, decimals, scales, the validators' run-time.
  for (const name of [
    'vscode-languageserver',
    'vscode-languageclient',
    'yaml',
    'big.js',
    'd3-scale',
    'ajv',
  ]) {
    expect(text).toMatch(new RegExp(`^## ${name.replace('.', '\\.')} \\d`, 'm'));
  }
  const parts = text.split(/^(?=## \S+ \d+\.\d+\.\d+ \()/m).slice(1);
  for (const part of parts) expect(part.length, part.slice(0, 40)).toBeGreaterThan(500);
});
