import { readFileSync } from 'node:fs';
import path from 'node:path';
import { parse } from 'yaml';
import { expect, test } from 'vitest';
import { check } from '../../server/src/features/check.ts';
import { workspaceOf } from '../support/files.ts';
import { exampleFiles, wholePlan } from '../support/frame.ts';

const uri = 'file:///plans/one.repair-plan.yaml';
const rows = (
  parse(readFileSync(path.join(import.meta.dirname, 'order-unclear.yaml'), 'utf8')) as {
    name: string;
    text: string;
    files?: Record<string, string>;
  }[]
).filter(({ text }) => text.includes('# <- order-unclear'));

test.each(rows.map((row) => [row.name, row] as const))(
  'what the message tells a person to write mends the plan: %s',
  (_, row) => {
    const found = (text: string) =>
      check(workspaceOf({ ...exampleFiles, ...row.files, 'one.repair-plan.yaml': text }), uri);
    let text = wholePlan(row.text);
    const told = found(text).find(({ finding }) => finding === 'order-unclear')!;
    const [, step, after] = /Say it in (\S+) with `after: (\[.*?\])`/.exec(told.message)!;
    if (step!.includes('/')) return;
    // Written by hand: the old `after` goes, the advised one comes.
    text = text.replace(
      new RegExp(`(\\{ id: ${step},.*?)(, after: \\[.*?\\])?( \\}.*)$`, 'm'),
      `$1, after: ${after}$3`,
    );
    const left = found(text).filter(
      ({ finding }) => finding === 'order-unclear' || finding === 'order-cycle',
    );
    const same = left.filter(
      ({ operation, connector }) => operation === told.operation && connector === told.connector,
    );
    expect(same).toEqual([]);
  },
);
