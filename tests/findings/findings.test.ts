import { existsSync, readFileSync, readdirSync } from 'node:fs';
import path from 'node:path';
import { describe, expect, test } from 'vitest';
import { parse } from 'yaml';
import { check } from '../../server/src/features/check.ts';
import type { Diagnosis, Settings } from '../../server/src/features/check.ts';
import { fixAll, fixesAt } from '../../server/src/features/fixes.ts';
import { fixesOf, runFindings } from '../../server/src/features/run-findings.ts';
import { findingIds, findings } from '../../server/src/findings/registry.ts';
import type { Workspace } from '../../server/src/workspace/workspace.ts';
import { workspaceOf } from '../support/files.ts';
import { exampleFiles, wholePlan } from '../support/frame.ts';
import { foundIn, marksIn } from '../support/marks.ts';
import { isTold, templatesOf, wordsOf } from '../support/parts.ts';
import { templatesIn } from '../support/sources.ts';

/** One row of a fixture: a plan with marks, and what mending it leads to. */
interface Case {
  readonly name: string;
  /** Lines of a plan; what a whole plan needs and they lack is added. Or a whole file of another kind, see `file`. */
  readonly text: string;
  readonly file?: string;
  readonly files?: Readonly<Record<string, string>>;
  /** Words the message must hold. */
  readonly says?: string | readonly string[];
  /** All that it traces, each with its line before it. */
  readonly traces?: readonly string[];
  /** The text at which each finding stands, the beginning of its first line. */
  readonly at?: readonly string[];
  /** The step and the connector of each finding, by which it can be accepted; `-` for none. */
  readonly about?: readonly string[];
  /** All other steps for which it stands. */
  readonly also?: readonly string[];
  readonly severity?: string;
  /** Lines the text must hold once the findings of this kind are mended: all that the fixes write, and what shows where. */
  readonly mended?: string | readonly string[];
  /** What that leaves, with the lines in the mended text. */
  readonly left?: readonly string[];
  /** Fix-all leaves it: a person must choose a fix, or none is left. */
  readonly unmendable?: boolean;
  /** Titles of all fixes a person is offered. */
  readonly offers?: readonly string[];
  readonly today?: string;
}

const folder = import.meta.dirname;
/** The small shop with these files. Of photographs it has one. */
function shop(files: Readonly<Record<string, string>>): Workspace {
  const workspace = workspaceOf({ ...exampleFiles, ...files });
  settle(workspace);
  return workspace;
}
/** Tells what is there of what the files name. */
function settle(workspace: Workspace): void {
  for (let uris = workspace.missingFiles(); uris.length > 0; uris = workspace.missingFiles())
    for (const uri of uris) workspace.markAbsent(uri);
  for (const uri of workspace.unknownPhotos())
    workspace.markPhoto(uri, uri === 'file:///plans/photos/op30.jpg');
}
const tracedAt = (workspace: Workspace, { message, range }: Diagnosis['trace'][number]): string =>
  `${workspace.lines(range.uri)!.positionAt(range.start).line + 1} ${message}`;
const textAt = (text: string, { start, end }: Diagnosis['range']): string =>
  text.slice(start, Math.min(end, start + 40)).split('\n')[0]!;
const withoutMark = (line: string): string => line.replace(/ # <- .*/, '').trim();
/** The lines that only the second text has, without marks. */
function linesWritten(before: string, after: string): string[] {
  const left = before.split('\n');
  const written = after.split('\n').filter((line) => {
    const at = left.indexOf(line);
    if (at >= 0) left.splice(at, 1);
    return at < 0;
  });
  return written.map(withoutMark).filter((line) => line !== '');
}
const aboutOf = ({ operation, connector }: Pick<Diagnosis, 'operation' | 'connector'>): string =>
  [operation ?? '-', connector ?? []].flat().join(' ');
const casesOf = (id: string): Case[] => {
  const fixture = path.join(folder, `${id}.yaml`);
  // Whether every finding has one is a test of its own, below.
  return existsSync(fixture) ? (parse(readFileSync(fixture, 'utf8')) as Case[]) : [];
};
/** The shop with the file of a row. */
function opened(one: Case): { workspace: Workspace; uri: string; text: string; settings: Settings } {
  const name = one.file ?? 'one.repair-plan.yaml';
  const text = one.file ? one.text : wholePlan(one.text);
  const workspace = shop({ ...one.files, [name]: text });
  return { workspace, text, uri: `file:///plans/${name}`, settings: { today: one.today ?? '2027-02-10' } };
}
const written = templatesIn('findings');
/** Whether words stand in the findings: a sentence, or a part of one; not the name of a task or a class. */
const isOurs = (template: string): boolean => written.has(template) && /[a-z]/.test(template);
const many = (value: string | readonly string[] | undefined): readonly string[] => [value ?? []].flat();

for (const id of findingIds) {
  describe(id, () => {
    test.each(casesOf(id).map((one) => [one.name, one] as const))('%s', (_, one) => {
      const { workspace, uri, text, settings } = opened(one);
      expect(foundIn(workspace, uri, settings, new Set([id])).sort()).toEqual(marksIn(text).sort());
      const all = check(workspace, uri, settings);
      expect(all.filter(({ message }) => message.startsWith('Plugward'))).toEqual([]);
      const messages = all.filter(({ finding }) => finding === id);
      for (const words of many(one.says))
        expect(messages.map(({ message }) => message).join('\n')).toContain(words);
      const traced = messages.flatMap(({ trace }) => trace.map((each) => tracedAt(workspace, each)));
      if (one.traces) expect(traced).toEqual(one.traces);
      if (one.at) expect(messages.map(({ range }) => textAt(text, range))).toEqual(one.at);
      if (one.about) expect(messages.map(aboutOf)).toEqual(one.about);
      if (one.also) expect(messages.flatMap(({ also }) => also ?? [])).toEqual(one.also);
      for (const { range } of messages) expect(range.uri).toBe(uri);
      for (const { severity } of one.severity ? messages : []) expect(severity).toBe(one.severity);
      const offered = fixesAt(workspace, uri, 0, text.length, settings)
        .filter(({ finding }) => finding === id)
        .map(({ title }) => title);
      expect(offered).toEqual(one.offers ?? []);
      for (const words of [...messages.map(({ message }) => message), ...traced, ...offered])
        expect(words).not.toMatch(/undefined|NaN|null|\[object/);
      if (offered.length > 0 && !one.unmendable) expect(one).toHaveProperty('mended');
      if (one.mended === undefined && !one.unmendable) return;
      const fixed = fixAll(workspace, uri, { unsafe: true, finding: id }, settings);
      if (one.unmendable) expect(fixed.fixed).toBe(0);
      for (const line of many(one.mended)) expect(fixed.text).toContain(line.trimEnd());
      const told = many(one.mended).flatMap((lines) => lines.split('\n').map(withoutMark));
      expect(linesWritten(text, fixed.text).filter((line) => !told.includes(line))).toEqual([]);
      workspace.set(uri, fixed.text);
      if (one.mended !== undefined)
        expect(foundIn(workspace, uri, settings, new Set([id]))).toEqual(one.left ?? []);
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
    (id, { page }) => {
      const { example } = page();
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

  test.each(findingIds)(
    '%s: some row tells each of its messages, traces, severities, places, subjects and other steps',
    (id) => {
      const [shown, told] = [new Set<string>(), new Set<string>()];
      for (const one of casesOf(id)) {
        const { workspace, uri, settings } = opened(one);
        for (const { finding, report } of runFindings(workspace.plan(uri, settings)!)) {
          if (finding.id !== id) continue;
          const message = wordsOf(report.message);
          for (const template of templatesOf(report.message).filter(isOurs)) {
            shown.add(template);
            if (many(one.says).some((words) => isTold(report.message, template, words))) told.add(template);
          }
          const [step, connector] = [report.operation && 'step', report.connector && 'connector'];
          shown.add(`${message.template} (place)`);
          if (one.at) told.add(`${message.template} (place)`);
          const place = `${message.template} (${step ?? 'no step'}, ${connector ?? 'no connector'})`;
          shown.add(place);
          if (one.about) told.add(place);
          for (const { message: traced } of report.trace ?? []) {
            for (const template of templatesOf(traced).filter(isOurs)) {
              shown.add(template);
              if (one.traces?.some((words) => words.endsWith(String(traced)))) told.add(template);
            }
          }
          if (report.severity) shown.add(report.severity);
          if (one.severity) told.add(one.severity);
          if (report.also?.length) shown.add('also');
          if (one.also) told.add('also');
        }
      }
      expect([...shown].filter((part) => !told.has(part))).toEqual([]);
    },
  );

  const shared = findingIds.flatMap((id) =>
    casesOf(id)
      .filter(({ also, file, text }) => also?.length && !file && !/^accepted:/m.test(text))
      .map((one) => [id, one.name, one] as const),
  );
  test.each(shared)('%s, %s: accepted at the first step, it is told at the next', (id, _, one) => {
    const first = opened(one);
    const [found] = check(first.workspace, first.uri, first.settings).filter(({ finding }) => finding === id);
    const accepted = `accepted:\n  - { finding: ${id}, at: ${found!.operation!}, reason: x, by: Lead technician, until: 2999-01-01 }\n`;
    const { workspace, uri, settings } = opened({ ...one, text: one.text + accepted });
    const left = check(workspace, uri, settings).filter(({ finding }) => finding === id);
    expect(left.flatMap(({ operation, also }) => [operation, ...(also ?? [])])).toEqual(
      expect.arrayContaining([...one.also!]),
    );
  });

  test.each(findingIds)('%s: without its vehicle, a row is checked all the same', (id) => {
    for (const one of casesOf(id)) {
      const { workspace, uri, text, settings } = opened(one);
      workspace.set(uri, text.replace(/^vehicle:.*\n(?: +.*\n)*/m, ''));
      const told = check(workspace, uri, settings).map(({ message }) => message);
      expect(told.filter((message) => message.startsWith('Plugward'))).toEqual([]);
    }
  });

  test.each(findingIds)('%s: a row says the same where it is typed over others', (id) => {
    const workspace = shop({});
    let extra: string[] = [];
    for (const one of [...casesOf(id), ...casesOf(id).reverse()]) {
      const fresh = opened(one);
      const names = Object.keys({ ...exampleFiles, ...one.files }).map((name) => `file:///plans/${name}`);
      for (const gone of extra.filter((uri) => !names.includes(uri))) workspace.remove(gone);
      extra = [...names, ...(one.file ? [fresh.uri] : [])];
      for (const uri of [...names, fresh.uri]) {
        const text = fresh.workspace.text(uri)!;
        if (workspace.text(uri) !== text) workspace.set(uri, text);
      }
      settle(workspace);
      expect(check(workspace, fresh.uri, fresh.settings), one.name).toEqual(
        check(fresh.workspace, fresh.uri, fresh.settings),
      );
    }
  });

  // A step that a fix writes has the id of its neighbour with the task behind it.
  const forQualifiedPeople =
    /id: [\w-]+-(?:isolate|lock-out|wait|prove-dead|isolate-48v|battery-12v-o\w+|\w+-battery|drain-\w+|recover-\w+|fill-\w+)[\d-]*, .*by: painter/;
  test.each(findingIds)('%s: no fix gives work that makes safe to whoever does the next step', (id) => {
    for (const one of casesOf(id)) {
      const byPainter = one.text.replace(
        /^(\s*- \{ id: [^}]*\bdo: (?:(?!\bby:)[^}])*?)( \}.*)$/gm,
        '$1, by: painter$2',
      );
      const { workspace, uri, settings } = opened({ ...one, text: byPainter });
      const plan = workspace.plan(uri, settings)!;
      const found = runFindings(plan).filter(({ finding }) => finding.id === id);
      for (const way of found.flatMap((each) => fixesOf(plan, each).flat()))
        for (const { text } of way?.edits ?? []) expect(text).not.toMatch(forQualifiedPeople);
    }
  });

  test('says what it is in sentences that end', () => {
    for (const { title, page } of findings) {
      const { means, why, whatToDo: todo } = page();
      for (const text of [means, why, todo]) expect(String(text)).toMatch(/[.!?`]$/);
      expect(String(title)).not.toMatch(/\.$/);
    }
  });
});
