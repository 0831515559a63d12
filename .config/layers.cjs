// Imports run downwards only: a folder may import the folders listed after it, never one listed before it.
// `lsp` and `cli` are adapters side by side; everything below them is the core.
const adapters = ['lsp', 'cli'];
/** The disk as both adapters see it: what a path means there. */
const system = ['disk'];
const core = [
  'features',
  'report',
  'compare',
  'findings',
  'costing',
  'heat',
  'sequence',
  'workspace',
  'plan',
  'document',
  'incremental',
  'text',
  'language',
  'base',
];

const under = (...folders) => `^server/src/(${folders.join('|')})/`;

module.exports = {
  forbidden: [
    {
      name: 'no-cycles',
      severity: 'error',
      from: {},
      to: { circular: true, dependencyTypesNot: ['type-only'] },
    },
    {
      name: 'every-folder-has-a-layer',
      comment: 'A new folder of server/src is added to the lists above.',
      severity: 'error',
      from: { path: '^server/src/[^/]+/', pathNot: under(...adapters, ...system, ...core, 'generated') },
      to: {},
    },
    ...core.map((folder, index) => ({
      name: `${folder}-imports-downwards-only`,
      severity: 'error',
      from: { path: under(folder) },
      to: { path: under(...adapters, ...system, ...core.slice(0, index)) },
    })),
    {
      name: 'adapters-do-not-know-each-other',
      severity: 'error',
      from: { path: '^server/src/(lsp|cli)/' },
      to: { path: '^server/src/(lsp|cli)/', pathNot: '^server/src/$1/' },
    },
    {
      name: 'entry-points-are-not-imported',
      severity: 'error',
      from: { path: under(...adapters, ...core) },
      to: { path: '^server/src/[^/]+\\.ts$' },
    },
    {
      name: 'core-is-pure',
      comment: 'No LSP, no editor, no file system, no process below the adapters.',
      severity: 'error',
      from: { path: under(...core) },
      to: { path: ['^node:', 'vscode-language', '^vscode$'], dependencyTypesNot: ['type-only'] },
    },
    {
      name: 'core-has-no-node',
      severity: 'error',
      from: { path: under(...core) },
      to: { dependencyTypes: ['core'] },
    },
    { name: 'client-only-shows', severity: 'error', from: { path: '^client/' }, to: { path: '^server/' } },
    {
      name: 'server-knows-no-client',
      severity: 'error',
      from: { path: '^server/' },
      to: { path: '^client/' },
    },
  ],
  options: {
    tsConfig: { fileName: 'tsconfig.json' },
    tsPreCompilationDeps: true,
    doNotFollow: { path: 'node_modules' },
  },
};
