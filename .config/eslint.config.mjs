import tseslint from 'typescript-eslint';
import { ownKeys } from './lint/own-keys.mjs';

export default tseslint.config(
  { ignores: ['dist/**', 'node_modules/**', '.cache/**', 'server/src/generated/**', 'tests/editor/host/**'] },
  ...tseslint.configs.strict,
  {
    files: ['**/*.ts'],
    rules: {
      // An index that the surrounding code has just proven is asserted once, not branched on.
      '@typescript-eslint/no-non-null-assertion': 'off',
      '@typescript-eslint/consistent-type-imports': 'error',
      // Taking a key out of an object names it.
      '@typescript-eslint/no-unused-vars': ['error', { ignoreRestSiblings: true }],
      'no-console': 'error',
      eqeqeq: 'error',
    },
  },
  {
    files: ['server/src/**/*.ts', 'client/**/*.ts'],
    languageOptions: { parserOptions: { projectService: true } },
    plugins: { plugward: { rules: { 'own-keys': ownKeys } } },
    rules: { 'plugward/own-keys': 'error' },
  },
  {
    files: ['**/*.mjs', '**/*.cjs', 'tests/**'],
    rules: { 'no-console': 'off', '@typescript-eslint/no-require-imports': 'off' },
  },
);
