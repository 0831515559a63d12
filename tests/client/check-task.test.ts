import { execFileSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { expect, test } from 'vitest';

interface Matcher {
  readonly name: string;
  readonly pattern: Readonly<Record<string, number | string>> & { readonly regexp: string };
}
const { contributes } = JSON.parse(readFileSync('dist/package/package.json', 'utf8')) as {
  contributes: { problemMatchers: Matcher[] };
};
const run = (format: string): string =>
  execFileSync(
    process.execPath,
    // The program that the package holds, as the task starts it.
    ['dist/package/dist/plugward.js', 'check', 'samples', '--format', format, '--exit-zero'],
    { encoding: 'utf8' },
  );

test('the problem matcher reads every finding of the command line that is in the package', () => {
  const { pattern } = contributes.problemMatchers.find(({ name }) => name === 'plugward')!;
  const regexp = new RegExp(pattern.regexp);
  const lines = run('annotations').trimEnd().split('\n');
  const read = lines.map((line) => {
    const match = regexp.exec(line)!;
    expect(match, line).not.toBeNull();
    const part = (name: string): string | undefined => match[pattern[name] as number];
    return {
      file: part('file'),
      line: Number(part('line')),
      severity: part('severity')?.replace('notice', 'information'),
      code: part('code'),
      message: part('message'),
    };
  });
  interface Told {
    readonly file: string;
    readonly severity: string;
    readonly finding: string;
    readonly message: string;
    readonly start: { readonly line: number };
  }
  const { findings } = JSON.parse(run('json')) as { findings: readonly Told[] };
  const told = findings.map(({ file, severity, finding, message, start }) => ({
    file,
    line: start.line,
    severity,
    code: finding,
    message,
  }));
  expect(told.length).toBeGreaterThan(10);
  const plain = (text: string | undefined): string => decodeURIComponent(text ?? '');
  expect(read.map((one) => ({ ...one, message: plain(one.message) }))).toEqual(told);
});
