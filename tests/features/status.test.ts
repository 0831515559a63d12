import { readFileSync } from 'node:fs';
import path from 'node:path';
import { describe, expect, test } from 'vitest';
import { parse } from 'yaml';
import { lenses } from '../../server/src/features/lenses.ts';
import { status } from '../../server/src/features/status.ts';
import { sampleUri, sampleWorkspace } from '../support/files.ts';

interface Row {
  readonly name: string;
  readonly file?: string;
  readonly replace?: readonly [string, string];
  readonly append?: string;
  readonly status?: string;
  readonly lens: string;
  readonly grave: boolean;
}

const rows = parse(readFileSync(path.join(import.meta.dirname, 'status.yaml'), 'utf8')) as Row[];
const plan = 'quarter-panel.repair-plan.yaml';
const settings = { today: '2027-02-10' };

describe('status and lens', () => {
  test.each(rows)('$name', (row) => {
    const workspace = sampleWorkspace();
    const file = sampleUri(row.file ?? plan);
    const before = workspace.text(file)!;
    const [from, to] = row.replace ?? ['', ''];
    expect(before).toContain(from);
    workspace.set(file, before.replace(from, to) + (row.append ?? ''));
    const told = status(workspace, sampleUri(plan), settings)!;
    if (row.status !== undefined) expect(told.text).toBe(row.status);
    expect(told.grave).toBe(row.grave);
    const above = lenses(workspace, sampleUri(plan), settings).map(({ title }) => title)[1]!;
    const wanted = /^\/(.*)\/$/.exec(row.lens);
    if (wanted) expect(above).toMatch(new RegExp(wanted[1]!));
    else expect(above).toBe(row.lens);
  });
});
