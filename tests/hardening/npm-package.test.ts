import { spawnSync } from 'node:child_process';
import { mkdirSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import { afterAll, describe, expect, test } from 'vitest';
import { parse } from 'yaml';
import { folderWith, removeFolders } from '../cli/run.ts';
import { root, samples } from '../support/files.ts';
import { npmScript, onPath } from '../support/programs.ts';

afterAll(removeFolders);

interface Packed {
  readonly filename: string;
  readonly size: number;
  readonly files: readonly { readonly path: string }[];
}

/** What is asked of npm here, it answers without the network and out of an empty cache. */
function npm(cwd: string, command: string, ...args: string[]): string {
  const cache = path.join(cwd, 'cache');
  const offline = ['--offline', '--ignore-scripts', '--no-audit', '--no-fund', '--cache', cache];
  const ran = spawnSync(process.execPath, [npmScript(), command, ...offline, ...args], {
    cwd,
    encoding: 'utf8',
  });
  if (ran.status !== 0) throw new Error(ran.stderr);
  return ran.stdout;
}

const folder = folderWith({});
mkdirSync(path.join(folder, 'shop'));
const shop = path.join(folder, 'shop');
for (const [name, text] of Object.entries(samples())) writeFileSync(path.join(shop, name), text);

const [packed] = JSON.parse(npm(folder, 'pack', root, '--json')) as [Packed];
const archive = path.join(folder, packed.filename);

test('it holds the command line, the schemas and the licences, below two megabytes', () => {
  expect(packed.files.map((file) => file.path).sort()).toEqual([
    'CHANGELOG.md',
    'LICENSE',
    'README.md',
    'dist/THIRD-PARTY.md',
    'dist/cli.js',
    'dist/plugward.1',
    'dist/plugward.js',
    'package.json',
    'schemas/connector-list.schema.json',
    'schemas/output.schema.json',
    'schemas/rate-sheet.schema.json',
    'schemas/repair-plan.schema.json',
    'schemas/shop-procedure.schema.json',
  ]);
  expect(statSync(archive).size).toBeLessThan(2e6);
  const manifest = JSON.parse(readFileSync('package.json', 'utf8')) as Record<string, unknown>;
  for (const kind of ['dependencies', 'optionalDependencies', 'peerDependencies']) {
    expect(manifest, kind).not.toHaveProperty(kind);
  }
});

describe('installed without a network', () => {
  writeFileSync(path.join(folder, 'package.json'), '{"private":true}');
  npm(folder, 'install', archive);
  const installed = path.join(folder, 'node_modules/plugward/dist/plugward.js');
  const run = (...args: string[]) =>
    spawnSync(process.execPath, [installed, ...args], {
      cwd: shop,
      encoding: 'utf8',
      maxBuffer: 64 * 1024 * 1024,
    });

  test('nothing comes with it', () => {
    const { packages } = JSON.parse(readFileSync(path.join(folder, 'package-lock.json'), 'utf8')) as {
      packages: Record<string, unknown>;
    };
    expect(Object.keys(packages)).toEqual(['', 'node_modules/plugward']);
  });

  test('it tells its version and the commit that it was built from', () => {
    const commit = onPath('git') ? / \([0-9a-f]{12}(, changed)?\)/ : /( \([0-9a-f]{12}(, changed)?\))?/;
    expect(run('--version').stdout).toMatch(new RegExp(`^plugward \\d+\\.\\d+\\.\\d+${commit.source}\n$`));
  });

  test('a clean plan, a faulty one, a wrong option', () => {
    expect(run('check', 'quarter-panel.repair-plan.yaml', '--today', '2027-02-05').status).toBe(0);
    const faulty = run('check', 'quarter-panel-faulty.repair-plan.yaml', '--today', '2027-02-05');
    expect([faulty.status, faulty.stdout]).toEqual([1, expect.stringContaining('bare-connector')]);
    expect(run('check', '--no-such-option').status).toBe(2);
  });

  test('a batch that is worth several threads, which start from the same file', () => {
    const many = path.join(shop, 'many');
    mkdirSync(many);
    const text = samples()['quarter-panel-faulty.repair-plan.yaml']!.replaceAll('- ./', '- ../');
    for (let at = 0; at < 120; at++) writeFileSync(path.join(many, `p${at}.repair-plan.yaml`), text);
    const { status, stdout, stderr } = run('check', 'many', '--format', 'json', '--today', '2027-02-05');
    expect([status, stderr]).toEqual([1, '']);
    expect((JSON.parse(stdout) as { summary: Record<string, number> }).summary).toMatchObject({ files: 120 });
  });

  test('npx runs it from the file', () => {
    expect(
      npm(folder, 'exec', '--yes', '--package', archive, '--', 'plugward', 'explain', 'bare-connector'),
    ).toMatch(/bare-connector/);
  });
});

test("the hooks' commands are commands", () => {
  const hooks = parse(readFileSync('.pre-commit-hooks.yaml', 'utf8')) as {
    id: string;
    entry: string;
    files: string;
  }[];
  expect(hooks.map(({ id }) => id)).toEqual(['plugward', 'plugward-changed']);
  for (const { entry, files } of hooks) {
    const [program, ...args] = entry.split(' ');
    expect(program).toBe('plugward');
    const outside = { ...process.env, GIT_CEILING_DIRECTORIES: path.dirname(shop) };
    const ran = spawnSync(process.execPath, [path.resolve('dist/plugward.js'), ...args], {
      cwd: shop,
      env: outside,
      encoding: 'utf8',
    });
    if (args.includes('--since')) expect(ran.stderr).toMatch(/needs a git repository|git was not found/);
    else expect([ran.status, ran.stderr]).toEqual([1, '']);
    for (const name of Object.keys(samples())) expect(name).toMatch(new RegExp(files));
    expect('notes.yaml').not.toMatch(new RegExp(files));
  }
});

describe('the recipes of the README', () => {
  const text = readFileSync('README.md', 'utf8');
  const recipes = [...text.matchAll(/^```yaml\n(# \.(?:github|gitlab)[\s\S]*?)^```$/gm)].map(
    ([, yaml]) => yaml!,
  );
  test('there are three, and all are YAML', () => {
    expect(recipes.length).toBe(3);
    for (const recipe of recipes) expect(parse(recipe)).toBeTypeOf('object');
  });
  test('their commands run', () => {
    const lines = recipes
      .flatMap((recipe) => recipe.match(/plugward (?:check|report).*$/gm) ?? [])
      .filter((line) => !line.includes('--shard'));
    expect(lines.length).toBeGreaterThanOrEqual(2);
    for (const line of lines) {
      const args = line.split(' ').slice(1);
      const ran = spawnSync(process.execPath, [path.resolve('dist/plugward.js'), ...args], {
        cwd: shop,
        encoding: 'utf8',
      });
      expect([ran.status, ran.stderr], line).toEqual([1, '']);
    }
  });

  test('the parts of the matrix are put together', () => {
    const recipe = recipes.find((one) => one.includes('matrix'))!;
    const { jobs } = parse(recipe) as { jobs: { part: { strategy: { matrix: { part: number[] } } } } };
    const run = (line: string) =>
      spawnSync(process.execPath, [path.resolve('dist/plugward.js'), ...line.split(' ').slice(1)], {
        cwd: shop,
        encoding: 'utf8',
      });
    const one = /plugward check --shard.*$/m.exec(recipe)![0];
    const parts = jobs.part.strategy.matrix.part;
    for (const part of parts) expect(run(one.replaceAll('${{ matrix.part }}', String(part))).status).toBe(0);
    const merge = /plugward merge.*$/m.exec(recipe)![0];
    const files = parts.map((part) => `part-${part}.sarif`).join(' ');
    const { status, stderr } = run(merge.replace('part-*.sarif', files));
    expect([status, stderr]).toEqual([1, '']);
  });
});
