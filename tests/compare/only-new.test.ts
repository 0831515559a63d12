import { readFileSync } from 'node:fs';
import path from 'node:path';
import { describe, expect, test } from 'vitest';
import { parse } from 'yaml';
import { newSince, recordOf } from '../../server/src/compare/baseline.ts';
import type { FileRecord } from '../../server/src/compare/baseline.ts';
import type { Version } from '../../server/src/compare/compare.ts';
import { planName, versionOf } from './versions.ts';

interface Table {
  readonly head: string;
  readonly sheet: string;
  readonly cases: readonly {
    readonly name: string;
    readonly of: string;
    /** The steps: id, task, and what follows these in the braces. */
    readonly old: readonly string[];
    readonly now: readonly string[];
    /** Whether the finding is new the other way round as well. */
    readonly back?: boolean;
    /** Whether nothing is new. */
    readonly same?: boolean;
  }[];
}
const { head, sheet, cases } = parse(
  readFileSync(path.join(import.meta.dirname, 'only-new.yaml'), 'utf8'),
) as Table;

const version = (steps: readonly string[]): Version =>
  versionOf({
    [planName]:
      head +
      steps.map((step) => `  - { ${step.replace(/^(\S+) (\S+?)(,|$)/, 'id: $1, do: $2$3')} }\n`).join(''),
    'sheet.rate-sheet.yaml': sheet,
  });

const isNew = (of: string, now: Version, record: FileRecord): boolean =>
  newSince(now, record).some(({ finding }) => finding === of);

/** As a program wrote it that did not know what `keys` say. */
const without = (record: FileRecord, ...keys: readonly string[]): FileRecord => ({
  ...record,
  findings: record.findings.map(
    (print) =>
      Object.fromEntries(Object.entries(print).filter(([key]) => !keys.includes(key))) as typeof print,
  ),
});

describe.each(cases)('$name', ({ of, old, now, back = false, same = false }) => {
  const [before, after] = [version(old), version(now)];
  test(same ? 'is not new' : 'is new', () => {
    expect(before.findings.map(({ finding }) => finding)).toContain(of);
    expect(isNew(of, before, recordOf(before))).toBe(false);
    expect(isNew(of, after, recordOf(before))).toBe(!same);
  });
  test('the other way round', () => {
    expect(isNew(of, before, recordOf(after))).toBe(back);
  });
  test('after a baseline that says less, what it knows is not new', () => {
    expect(isNew(of, before, without(recordOf(before), 'lacks', 'value', 'connectors', 'severity'))).toBe(
      false,
    );
  });
});
