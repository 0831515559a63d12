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
    // Rules that need types.
    files: ['**/*.ts'],
    languageOptions: { parserOptions: { projectService: true } },
    rules: {
      // A promise that nobody waits for loses its failure.
      '@typescript-eslint/no-floating-promises': 'error',
      '@typescript-eslint/no-misused-promises': 'error',
      '@typescript-eslint/await-thenable': 'error',
      '@typescript-eslint/return-await': ['error', 'in-try-catch'],
      '@typescript-eslint/only-throw-error': 'error',
      '@typescript-eslint/prefer-promise-reject-errors': 'error',
      '@typescript-eslint/switch-exhaustiveness-check': [
        'error',
        { considerDefaultExhaustiveForUnions: true },
      ],
      '@typescript-eslint/no-for-in-array': 'error',
    },
  },
  {
    files: ['server/src/**/*.ts', 'client/**/*.ts'],
    plugins: { plugward: { rules: { 'own-keys': ownKeys } } },
    rules: {
      'plugward/own-keys': 'error',
      'no-restricted-syntax': [
        'error',
        {
          selector: "ObjectExpression > Property[kind!='init']",
          message:
            'V8 describes each object with accessors by a hidden class of its own, which keeps what they capture until the whole heap is collected. Write a class.',
        },
      ],
    },
  },
  {
    files: ['**/*.mjs', '**/*.cjs', 'tests/**'],
    rules: { 'no-console': 'off', '@typescript-eslint/no-require-imports': 'off' },
  },
);
