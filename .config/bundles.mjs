// The bundles of the extension: what esbuild is told for each. `build.mjs` builds them once, `dev.mjs` watches them.
import { execFileSync } from 'node:child_process';
import { readFile, readdir } from 'node:fs/promises';
import { createRequire } from 'node:module';
import path from 'node:path';
import { build } from 'esbuild';

export const root = path.resolve(import.meta.dirname, '..');
export const dist = path.join(root, 'dist');

/**
 * Escapes all non-ASCII characters, including those in template literals, which the bundler leaves alone:
 * because of one `Ω` V8 would store the whole bundle with two bytes a character, which takes longer to read
 * and more memory.
 */
const inAscii = {
  name: 'in-ascii',
  setup({ onLoad }) {
    onLoad({ filter: /\/(server|client)\/src\/.*\.ts$/ }, async ({ path: file }) => ({
      contents: (await readFile(file, 'utf8')).replace(
        /[\u0080-\uffff]/g,
        (unit) => `\\u${unit.charCodeAt(0).toString(16).padStart(4, '0')}`,
      ),
      loader: 'ts',
    }));
  },
};

/** The commit the sources are at, with a mark where they differ from it; empty for sources without a history. */
function commit() {
  try {
    const words = ['describe', '--always', '--exclude=*', '--abbrev=12', '--dirty=, changed'];
    return execFileSync('git', words, {
      cwd: root,
      encoding: 'utf8',
      stdio: ['ignore', 'pipe', 'ignore'],
    }).trim();
  } catch {
    return '';
  }
}

export const common = {
  absWorkingDir: root,
  bundle: true,
  platform: 'node',
  target: 'node20',
  format: 'cjs',
  // One library ships UMD, whose inner `require`s cannot be bundled, and ES modules.
  mainFields: ['module', 'main'],
  minify: true,
  // The Node build of `yaml` reads the environment for every token; the browser build does not.
  alias: { yaml: './node_modules/yaml/browser/index.js' },
  sourcemap: true,
  sourcesContent: false,
  metafile: true,
  logLevel: 'warning',
  plugins: [inAscii],
};

/**
 * Single-function packages that are slow to load start when that function is first called: one compiles the Unicode emoji
 * pattern and loads the rules for splitting text into characters, the other takes a quarter of a megabyte.
 */
const startLate = {
  name: 'start-late',
  setup({ onResolve, onLoad }) {
    const named = { 'string-width': 'default', 'fastest-levenshtein': 'distance' };
    onResolve({ filter: /^(string-width|fastest-levenshtein)$/, namespace: 'file' }, ({ path: name }) => ({
      path: name,
      namespace: 'late',
    }));
    onLoad({ filter: /./, namespace: 'late' }, ({ path: name }) => ({
      contents: [
        'let start;',
        `const it = (...args) => (start ??= require('${name}').${named[name]})(...args);`,
        `export { it as ${named[name]} };`,
      ].join('\n'),
      resolveDir: root,
    }));
  },
};

/**
 * Parts of Node that a check of one plan can do without are loaded when one of their functions is first called: that is a
 * tenth of what it takes over the bare start of Node. `worker.ts` takes values from one of them and loads it at once.
 * @param atOnce by part, the functions that are called synchronously and answer in a promise: the code of each
 */
const builtinsLate = (atOnce = {}) => ({
  name: 'builtins-late',
  setup({ onResolve, onLoad }) {
    const late =
      /^node:(child_process|crypto|fs\/promises|os|stream\/(consumers|promises)|timers\/promises|v8|worker_threads|zlib)$/;
    onResolve({ filter: late }, ({ path: name, importer, kind }) =>
      kind === 'import-statement' &&
      importer.startsWith(path.join(root, 'server')) &&
      !importer.endsWith('worker.ts')
        ? { path: name, namespace: 'builtin', sideEffects: false }
        : undefined,
    );
    onLoad({ filter: /./, namespace: 'builtin' }, ({ path: name }) => {
      const names = Object.entries(createRequire(import.meta.url)(name));
      const functions = names.filter(([one, value]) => typeof value === 'function' && /^\w+$/.test(one));
      const quick = atOnce[name] ?? {};
      return {
        contents: [
          `let it; const load = () => (it ??= require('${name}'));`,
          ...functions.map(([one]) =>
            one in quick
              ? `export async function ${one}(...args) { return ${quick[one]}(...args); }`
              : `export function ${one}(...args) { return new.target ? Reflect.construct(load().${one}, args) : load().${one}(...args); }`,
          ),
        ].join('\n'),
        resolveDir: root,
      };
    });
  },
});

/**
 * Calls that the command line makes synchronously: nothing else is waiting, and the first asynchronous one loads a part of Node
 * and starts its threads, which a check of one plan feels.
 */
const diskAtOnce = {
  'node:fs/promises': {
    ...Object.fromEntries(
      ['access', 'lstat', 'readdir', 'stat'].map((one) => [one, `require('node:fs').${one}Sync`]),
    ),
    realpath: "require('node:fs').realpathSync.native",
  },
};

/**
 * The protocol library of `plugward mcp` brings a validator that compiles code while it runs, for questions of a server to its
 * client. Ours asks none. Its schemas would be compiled too, for speed, wherever `Function` takes a text; without it they are
 * walked, which the schema library provides for.
 */
const withoutCompiler = {
  name: 'without-compiler',
  setup({ onResolve, onLoad }) {
    onResolve({ filter: /ajv-provider\.js$/ }, ({ path: name }) => ({ path: name, namespace: 'none' }));
    onLoad({ filter: /./, namespace: 'none' }, () => ({
      contents: 'export class AjvJsonSchemaValidator {}',
    }));
    // Its messages in forty languages; a client reads them in English.
    onLoad({ filter: /zod[\\/]v4[\\/]locales[\\/]index\.js$/ }, () => ({
      contents: "export { default as en } from './en.js';",
    }));
    onLoad({ filter: /zod[\\/]v4[\\/]core[\\/](compile|doc|util)\.js$/ }, async ({ path: file }) => {
      const [before, after, ...more] = (await readFile(file, 'utf8')).split('const F = Function;');
      if (after === undefined || more.length > 0) throw new Error(`${file} makes functions in another way`);
      return { contents: `${before}const F = undefined;${after}` };
    });
  },
};

/** What the language server asks for once the client has its first answer; `core.js` holds it, for Node and browsers. */
const checker = {
  entry: [
    "export * as workspace from './server/src/workspace/workspace.ts';",
    "export * as exclusion from './server/src/workspace/exclusion.ts';",
    ...(await readdir(path.join(root, 'server/src/features')))
      .filter((file) => file.endsWith('.ts'))
      .map((file) => `export * as ${nameOf(file)} from './server/src/features/${file}';`),
  ].join('\n'),
  outfile: path.join(dist, 'core.js'),
};

/** The files in a bundle, each with what it imports. */
async function filesOf(entry) {
  const made = await build({
    ...common,
    ...entry,
    plugins: [startLate],
    minify: false,
    sourcemap: false,
    write: false,
  });
  return made.metafile.inputs;
}

/**
 * The files in `core.js` that sources of the command line import from outside of them, each with the package's name if it is of
 * one: `core.js` exports these whole, by their number, so that the extension's command line takes them from there and need not
 * bring them a second time. Of packages only those of one file: of others `core.js` holds but a part.
 */
async function sharedFiles() {
  const inside = await filesOf({
    platform: 'browser',
    stdin: { contents: checker.entry, resolveDir: root },
    outfile: checker.outfile,
  });
  const all = await filesOf({ entryPoints: ['server/src/cli.ts'], outfile: 'dist/plugward.js' });
  const outside = Object.keys(all).filter((file) => file.startsWith('server/') && !inside[file]);
  const imported = outside
    .flatMap((file) => all[file].imports)
    .filter(
      ({ path: file }) => inside[file] && (file.startsWith('server/') || inside[file].imports.length === 0),
    );
  const nameOfPackage = ({ original }) => (original.startsWith('.') ? undefined : original);
  return new Map(imported.map((one) => [one.path, nameOfPackage(one)]).sort());
}
const shared = await sharedFiles();
const partOf = (file) => `part${[...shared.keys()].indexOf(file)}`;
for (const file of shared.keys()) checker.entry += `\nexport * as ${partOf(file)} from './${file}';`;

/** Takes the shared files from `core.js`, which lies beside. */
const fromCore = {
  name: 'from-core',
  setup({ onResolve, onLoad }) {
    onResolve({ filter: /^\..*\.ts$/ }, ({ path: file, resolveDir }) => {
      const source = path.relative(root, path.resolve(resolveDir, file)).replaceAll(path.sep, '/');
      return shared.has(source) ? { path: partOf(source), namespace: 'core-part' } : undefined;
    });
    onResolve({ filter: /^[\w@]/, namespace: 'file' }, ({ path: name, importer }) => {
      const [file] = [...shared].find(([, one]) => one === name) ?? [];
      const ours = importer.startsWith(path.join(root, 'server'));
      return file !== undefined && ours ? { path: partOf(file), namespace: 'core-part' } : undefined;
    });
    // Only there: packages have files of that name too.
    onResolve({ filter: /^\.\/core\.js$/, namespace: 'core-part' }, ({ path: file }) => ({
      path: file,
      external: true,
    }));
    onLoad({ filter: /./, namespace: 'core-part' }, ({ path: part }) => ({
      contents: `module.exports = Object.defineProperty(require('./core.js').${part}, '__esModule', { value: true });`,
      resolveDir: root,
    }));
  },
};

/** The checker is a file of its own, which the server loads when it first calls a function of it. */
const coreLate = {
  name: 'core-late',
  setup({ onResolve, onLoad }) {
    onResolve({ filter: /^\.\.\/(features|workspace)\/[\w-]+\.ts$/ }, ({ path: file, importer }) =>
      path.basename(path.dirname(importer)) === 'lsp' ? { path: nameOf(file), namespace: 'core' } : undefined,
    );
    onLoad({ filter: /./, namespace: 'core' }, ({ path: name }) => {
      const require = createRequire(import.meta.url);
      // In a watch it may have been built anew.
      // eslint-disable-next-line @typescript-eslint/no-dynamic-delete -- the module cache is meant to be used so
      delete require.cache[checker.outfile];
      const names = Object.entries(require(checker.outfile)[name]);
      const functions = names.filter(([, value]) => typeof value === 'function').map(([one]) => one);
      return {
        contents: [
          "import { core as inWorker } from './server/src/browser-core.ts';",
          "const core = typeof process === 'object' ? () => require('./server/src/node-core.ts').core() : inWorker;",
          ...functions.map(
            (one) =>
              `export function ${one}(...args) { const it = core().${name}.${one}; return new.target ? Reflect.construct(it, args) : it(...args); }`,
          ),
        ].join('\n'),
        resolveDir: root,
        watchFiles: [checker.outfile],
      };
    });
  },
};

function nameOf(file) {
  return path.basename(file, '.ts').replaceAll('-', '_');
}

/**
 * A file that imports from a CommonJS package gets a copy of all it exports, some seven hundred names of the protocol: for all
 * files of ours together one copy is made.
 */
const copiedOnce = {
  name: 'copied-once',
  setup({ onResolve, onLoad }) {
    onResolve(
      { filter: /^vscode(-languageclient|-languageserver)?$/ },
      ({ path: name, importer, namespace }) =>
        namespace === 'file' && importer.endsWith('.ts') ? { path: name, namespace: 'once' } : undefined,
    );
    onLoad({ filter: /./, namespace: 'once' }, ({ path: name }) => ({
      contents: `export * from '${name}';`,
      resolveDir: root,
    }));
  },
};

/**
 * What runs in Node and in a browser, from one file: Node's extension host and its server, and the worker of the browser's
 * extension host and that of its server. The entry takes one of two sides; what both use lies here once.
 */
const bothHosts = { ...common, target: ['node20', 'es2022'], conditions: ['module', 'browser'] };

/** The checker, which is built first: the bundles of the servers name its functions. */
export const core = {
  ...common,
  platform: 'browser',
  target: ['node20', 'es2022'],
  stdin: { contents: checker.entry, resolveDir: root },
  outfile: checker.outfile,
  format: 'iife',
  globalName: 'plugwardCore',
  footer: { js: "if (typeof module === 'object') module.exports = plugwardCore;" },
  plugins: [startLate, inAscii],
};

/** @param plugins what it takes from elsewhere: see `besides` */
function commandLine(outfile, plugins) {
  const besides = plugins.includes(fromCore) ? ['core.js'] : [];
  return {
    ...common,
    entryPoints: ['server/src/cli.ts'],
    outfile,
    plugins: [...plugins, startLate, builtinsLate(diskAtOnce), withoutCompiler, inAscii],
    banner: { js: '#!/usr/bin/env node' },
    // A script that starts from kept code has no `import()`.
    supported: { 'dynamic-import': false },
    define: {
      __PLUGWARD_COMMIT__: JSON.stringify(commit()),
      __PLUGWARD_BESIDES__: JSON.stringify(besides),
    },
  };
}

export const bundles = [
  {
    ...bothHosts,
    entryPoints: ['client/src/client.ts'],
    outfile: 'dist/client.js',
    plugins: [copiedOnce, inAscii],
    external: ['vscode'],
  },
  {
    ...bothHosts,
    entryPoints: ['server/src/server.ts'],
    outfile: 'dist/server.js',
    plugins: [coreLate, copiedOnce, builtinsLate(), inAscii],
    external: ['./core.js'],
  },
  commandLine('dist/plugward.js', []),
  {
    // The extension's, without what `core.js` has. The extension's package holds it under the name of the other.
    ...commandLine('dist/extension/plugward.js', [fromCore]),
  },
  {
    ...common,
    entryPoints: ['server/src/cli-start.ts'],
    outfile: 'dist/cli.js',
    banner: { js: '#!/usr/bin/env node' },
  },
];
