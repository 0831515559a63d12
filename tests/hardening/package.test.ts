import { spawnSync } from 'node:child_process';
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
  'client/media/explain.webp',
  'client/media/findings.webp',
  'client/media/fix.webp',
  'client/media/heat.webp',
  'client/media/icon.png',
  'client/media/icon.svg',
  'client/media/language-dark.svg',
  'client/media/language-light.svg',
  'client/media/new.webp',
  'client/syntaxes/plugward.tmLanguage.json',
  ...readdirSync('samples', { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile())
    .map((entry) => path.posix.join(entry.parentPath, entry.name)),
  'dist/THIRD-PARTY.md',
  'dist/client.js',
  'dist/core.js',
  'dist/plugward.js',
  'dist/server.js',
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

test('the command line in the package says what the self-contained one says, and holds none of the checker', () => {
  const [whole, thin] = ['dist/plugward.js', 'dist/package/dist/plugward.js'];
  const lines = [
    'check samples --no-cache --format json --exit-zero',
    'check samples --no-cache --language es --exit-zero',
    'fix --diff samples/quarter-panel-faulty.repair-plan.yaml',
    'explain bare-connector --language es-MX',
    'report estimate samples/quarter-panel.repair-plan.yaml --format html --today 2027-02-01',
    'report review samples/quarter-panel-faulty.repair-plan.yaml --format html --today 2027-02-01',
    'compare samples/quarter-panel.repair-plan.yaml samples/quarter-panel-faulty.repair-plan.yaml',
    'heat samples/quarter-panel.repair-plan.yaml --format svg',
    'tasks --format json',
    'check no-such-file',
  ];
  for (const line of lines) {
    const [one, other] = [whole, thin].map((file) => {
      const { stdout, stderr, status } = spawnSync(process.execPath, [file!, ...line.split(' ')], {
        encoding: 'utf8',
        env: { ...process.env, LANG: 'en' },
      });
      return { stdout, stderr, status };
    });
    expect(one!.stdout.length + one!.stderr.length, line).toBeGreaterThan(20);
    expect(other, line).toEqual(one);
  }
  const { sources } = JSON.parse(readFileSync('dist/extension/plugward.js.map', 'utf8')) as {
    sources: string[];
  };
  const inCore = JSON.parse(readFileSync('dist/core.js.map', 'utf8')) as { sources: string[] };
  const own = (file: string): boolean => /server\/src\//.test(file) && !file.includes('core-part');
  const names = new Set(inCore.sources.map((file) => file.replace(/^(\.\.\/)+/, '')));
  expect(sources.filter(own).length).toBeGreaterThan(30);
  expect(sources.filter((file) => own(file) && names.has(file.replace(/^(\.\.\/)+/, '')))).toEqual([]);
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

/** Licences that ask for no more than the notice (SPDX). */
const permissive = new Set([
  'MIT',
  'ISC',
  'BSD-2-Clause',
  'BSD-3-Clause',
  'BlueOak-1.0.0',
  'Apache-2.0',
  '0BSD',
]);

test('every package whose code is in a bundle is listed with its version and a licence that allows it', () => {
  const listed = new Map<string, string>(
    [...readFileSync('dist/THIRD-PARTY.md', 'utf8').matchAll(/^## (\S+) (\d\S+) \((\S+)\)$/gm)].map(
      ([, name, version, licence]) => [`${name!} ${version!}`, licence!] as const,
    ),
  );
  const bundled = new Set<string>();
  for (const file of readdirSync('dist').filter((one) => one.endsWith('.js.map'))) {
    const { sources } = JSON.parse(readFileSync(path.join('dist', file), 'utf8')) as { sources: string[] };
    for (const source of sources) {
      const folder = /^(.*node_modules\/(?:@[^/]+\/)?[^/]+)\//.exec(source)?.[1];
      if (folder === undefined) continue;
      // A package inside the published file of another has no folder here.
      const inside = /^webpack:.*node_modules\/(.+)$/.exec(folder)?.[1];
      const known = inside && [...listed.keys()].find((one) => one.startsWith(`${inside} `));
      if (inside !== undefined) {
        bundled.add(known ?? inside);
        continue;
      }
      const about = readFileSync(path.resolve('dist', folder, 'package.json'), 'utf8');
      const { name, version } = JSON.parse(about) as { name: string; version: string };
      bundled.add(`${name} ${version}`);
    }
  }
  expect(bundled.size).toBeGreaterThan(15);
  expect([...bundled].filter((one) => !listed.has(one))).toEqual([]);
  expect([...listed].filter(([, licence]) => !permissive.has(licence))).toEqual([]);
});

test('the lock file pins every package by a hash, and install scripts come with the packages that the README names', () => {
  const { packages } = JSON.parse(readFileSync('package-lock.json', 'utf8')) as {
    packages: Record<string, { integrity?: string; hasInstallScript?: true; dev?: true; resolved?: string }>;
  };
  const entries = Object.entries(packages).filter(([folder]) => folder !== '');
  expect(entries.length).toBeGreaterThan(100);
  expect(
    entries.filter(([, { integrity }]) => !integrity?.startsWith('sha512-')).map(([name]) => name),
  ).toEqual([]);
  const scripts = entries.filter(([, one]) => one.hasInstallScript);
  expect(scripts.map(([folder]) => folder.replace('node_modules/', '')).sort()).toEqual([
    '@vscode/vsce-sign',
    'esbuild',
    'keytar',
  ]);
  // None of them is part of what is shipped.
  expect(scripts.every(([, { dev }]) => dev)).toBe(true);
  const security = /^## Security\n([^]*?)^## /m.exec(readFileSync('README.md', 'utf8'))![1]!;
  for (const [folder] of scripts) expect(security).toContain(`\`${folder.replace('node_modules/', '')}\``);
});

test('the package runs nothing when it is installed', () => {
  const { scripts = {} } = JSON.parse(readFileSync('dist/package/package.json', 'utf8')) as {
    scripts?: Record<string, string>;
  };
  expect(Object.keys(scripts).filter((name) => /^(?:pre|post)?install$|^vscode:/.test(name))).toEqual([]);
});
