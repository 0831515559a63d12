import { ESLint } from 'eslint';
import { expect, test } from 'vitest';

const lint = new ESLint({ overrideConfigFile: '.config/eslint.config.mjs' });

/** The lines of a source file of the server at which the rule speaks. */
async function linesOf(text: string): Promise<number[]> {
  const [result] = await lint.lintText(text, { filePath: 'server/src/base/collections.ts' });
  return result!.messages.filter(({ ruleId }) => ruleId === 'plugward/own-keys').map(({ line }) => line);
}

test('tables are not looked up by arbitrary strings', async () => {
  const lines = [
    `export const table: Readonly<Record<string, number>> = { a: 1 };`, // 1
    `export const closed: Readonly<Record<'a' | 'b', number>> = { a: 1, b: 2 };`, // 2
    `export const list: readonly number[] = [1];`, // 3
    `export const open = (name: string) => table[name];`, // 4: wrong
    `export const cast = (name: string) => closed[name as 'a'];`, // 5: wrong
    `export const generic = <K extends string>(name: K) => table[name];`, // 6: wrong
    `export const made = (name: number) => table[\`\${name}\`];`, // 7: wrong
    `export const asked = (name: string) => name in table;`, // 8: wrong
    `export const known = (name: 'a' | 'b') => closed[name];`, // 9
    `export const fixed = table['a'];`, // 10
    `export const numbered = (at: number) => list[at];`, // 11
  ];
  expect(await linesOf(lines.join('\n'))).toEqual([4, 5, 6, 7, 8]);
});
