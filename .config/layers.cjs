// Imports run downwards only. A room may use the rooms listed after it, never one before it.
const rooms = [
  'server',
  'features',
  'report',
  'findings',
  'costing',
  'heat',
  'sequence',
  'workspace',
  'plan',
  'document',
  'language',
];

module.exports = {
  forbidden: [
    {
      name: 'no-circles',
      severity: 'error',
      from: {},
      to: { circular: true, dependencyTypesNot: ['type-only'] },
    },
    ...rooms.slice(1).map((room, index) => ({
      name: `${room}-looks-down-only`,
      severity: 'error',
      from: { path: `^server/src/${room}/` },
      to: { path: `^server/src/(${rooms.slice(0, index + 1).join('|')})/` },
    })),
    {
      name: 'core-is-pure',
      comment: 'No LSP, no editor, no file system, no process below the adapters.',
      severity: 'error',
      from: { path: `^server/src/(${rooms.slice(1).join('|')})/` },
      to: { path: ['^node:', 'vscode-language', '^vscode$'], dependencyTypesNot: ['type-only'] },
    },
    {
      name: 'core-has-no-node',
      severity: 'error',
      from: { path: `^server/src/(${rooms.slice(1).join('|')})/` },
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
