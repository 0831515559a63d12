import { existsSync, readFileSync, readdirSync } from 'node:fs';
import path from 'node:path';
import { describe, expect, test } from 'vitest';
import { parse } from 'yaml';
import { check } from '../../server/src/features/check.ts';
import { fixAll, fixesAt } from '../../server/src/features/fixes.ts';
import { findingIds, findings } from '../../server/src/findings/registry.ts';
import type { Workspace } from '../../server/src/workspace/workspace.ts';
import { workspaceOf } from '../support/files.ts';
import { exampleFiles, wholePlan } from '../support/frame.ts';
import { foundIn, marksIn } from '../support/marks.ts';

/** One row of a fixture: a plan with marks, and what mending it leads to. */
interface Case {
  readonly name: string;
  /** Lines of a plan; what a whole plan needs and they lack is added. Or a whole file of another kind, see `file`. */
  readonly text: string;
  readonly file?: string;
  readonly files?: Readonly<Record<string, string>>;
  /** Words the message must hold. */
  readonly says?: string | readonly string[];
  /** Words of what it traces. */
  readonly traces?: string;
  readonly severity?: string;
  /** Lines the text must hold once every finding of this kind is mended. */
  readonly mended?: string | readonly string[];
  /** Fix-all leaves it: there is no fix, or a person must choose one. */
  readonly unmendable?: boolean;
  /** Titles of the fixes a person is offered. */
  readonly offers?: readonly string[];
  readonly today?: string;
}

const folder = import.meta.dirname;
/** The small shop with these files. Of photographs it has one. */
function shop(files: Readonly<Record<string, string>>): Workspace {
  const workspace = workspaceOf({ ...exampleFiles, ...files });
  for (const uri of workspace.unknownPhotos()) {
    workspace.markPhoto(uri, uri === 'file:///plans/photos/op30.jpg');
  }
  return workspace;
}
const many = (value: string | readonly string[] | undefined): readonly string[] => [value ?? []].flat();

for (const id of findingIds) {
  describe(id, () => {
    const fixture = path.join(folder, `${id}.yaml`);
    // Whether every finding has one is a test of its own, below.
    const cases = existsSync(fixture) ? (parse(readFileSync(fixture, 'utf8')) as Case[]) : [];
    test.each(cases.map((one) => [one.name, one] as const))('%s', (_, one) => {
      const name = one.file ?? 'one.repair-plan.yaml';
      const text = one.file ? one.text : wholePlan(one.text);
      const workspace = shop({ ...one.files, [name]: text });
      const uri = `file:///plans/${name}`;
      const settings = { today: one.today ?? '2027-02-10' };
      expect(foundIn(workspace, uri, settings, new Set([id])).sort()).toEqual(marksIn(text).sort());
      const messages = check(workspace, uri, settings).filter(({ finding }) => finding === id);
      for (const words of many(one.says))
        expect(messages.map(({ message }) => message).join('\n')).toContain(words);
      if (one.traces)
        expect(messages.flatMap(({ trace }) => trace.map(({ message }) => message))).toContain(one.traces);
      for (const { severity } of one.severity ? messages : []) expect(severity).toBe(one.severity);
      if (one.offers) {
        const offered = fixesAt(workspace, uri, 0, text.length, settings).filter(
          ({ finding }) => finding === id,
        );
        expect(offered.map(({ title }) => title)).toEqual(one.offers);
      }
      if (one.mended === undefined && !one.unmendable) return;
      const fixed = fixAll(workspace, uri, { unsafe: true, finding: id }, settings);
      if (one.unmendable) expect(fixed.fixed).toBe(0);
      for (const line of many(one.mended)) expect(fixed.text).toContain(line.trimEnd());
      workspace.set(uri, fixed.text);
      if (one.mended !== undefined) expect(foundIn(workspace, uri, settings, new Set([id]))).toEqual([]);
    });
  });
}

describe('every finding', () => {
  test('has a fixture file, and every fixture file has a finding', () => {
    const files = readdirSync(folder).filter((name) => name.endsWith('.yaml'));
    expect(files.sort()).toEqual(findingIds.map((id) => `${id}.yaml`).sort());
  });

  test.each(findings.map((finding) => [finding.id, finding] as const))(
    '%s: the examples on its page behave as the page says',
    (id, { example }) => {
      const found = (lines: string): string[] => {
        const workspace = shop({ 'one.repair-plan.yaml': wholePlan(lines) });
        return foundIn(
          workspace,
          'file:///plans/one.repair-plan.yaml',
          { today: '2027-02-10' },
          new Set([id]),
        );
      };
      expect(found(example.wrong)).not.toEqual([]);
      expect(found(example.right)).toEqual([]);
    },
  );

  test('says what it is in sentences that end', () => {
    for (const { means, why, whatToDo: todo, title } of findings) {
      for (const text of [means, why, todo]) expect(String(text)).toMatch(/[.!?`]$/);
      expect(String(title)).not.toMatch(/\.$/);
    }
  });
});
