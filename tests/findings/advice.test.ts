import { readFileSync } from 'node:fs';
import path from 'node:path';
import { parse } from 'yaml';
import { describe, expect, test } from 'vitest';
import { check } from '../../server/src/features/check.ts';
import { findings } from '../../server/src/findings/registry.ts';
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

interface Advice {
  readonly finding: string;
  readonly of: string;
  readonly row?: string;
  readonly text?: string;
  readonly files?: Readonly<Record<string, string>>;
  readonly in?: string;
  readonly reveals?: readonly string[];
  readonly write: readonly (readonly [from: string, to: string])[];
}
const read = (name: string): unknown => parse(readFileSync(path.join(import.meta.dirname, name), 'utf8'));
const table = read('advice/table.yaml') as (Advice | { readonly untried: string })[];
const advice = table.filter((one): one is Advice => 'write' in one);

/** What a person gives only later, or the vehicle maker does. */
const owedLater: ReadonlySet<string> = new Set([
  'limit-missing',
  'labour-missing',
  'evidence-missing',
  'material-missing',
]);

describe('what a message tells a person to write, written there, mends the plan', () => {
  test.each(advice.map((one) => [one.finding, one.of, one] as const))('%s: %s', (finding, of, one) => {
    const row = one.row
      ? (read(`${finding}.yaml`) as { name: string; text: string; files?: Record<string, string> }[]).find(
          ({ name }) => name === one.row,
        )!
      : { text: one.text!, files: one.files };
    // A source that the advice names must be there.
    const whole = wholePlan(row.text);
    const source =
      '  - { id: S1, title: Kestrel (invented), publisher: vehicle-maker, consulted: 2027-02-03 }\n';
    const before = /id: S1,/.test(whole)
      ? whole
      : /^sources:\n/m.test(whole)
        ? whole.replace(/^sources:\n/m, `sources:\n${source}`)
        : `${whole}sources:\n${source}`;
    const written = (text: string): string =>
      one.write.reduce((all, [from, to]) => {
        expect(all).toContain(from);
        return all.replace(from, to);
      }, text);
    const found = (plan: string, more: Readonly<Record<string, string>> = {}) => {
      const workspace = workspaceOf({
        ...exampleFiles,
        ...row.files,
        ...more,
        'one.repair-plan.yaml': plan,
      });
      for (const photo of workspace.unknownPhotos()) workspace.markPhoto(photo, true);
      return check(workspace, uri, { today: '2027-02-10' });
    };
    const all = found(before);
    // Words between the places of the template, from its end.
    const ending = of.split(/\{\d+\}/);
    const told = all.find(
      (each) => each.finding === finding && ending.every((words) => each.message.includes(words)),
    )!;
    expect(told, 'the message is told').toBeDefined();
    const after = one.in
      ? found(before, { [one.in]: written((one.files ?? {})[one.in]!) })
      : found(written(before));
    const same = (a: typeof told, b: typeof told): boolean =>
      a.finding === b.finding && a.operation === b.operation && a.connector === b.connector;
    const isSaid = (each: typeof told): boolean =>
      same(each, told) && ending.every((words) => each.message.includes(words));
    expect(after.filter(isSaid).length).toBeLessThan(all.filter(isSaid).length);
    const caused = after.filter(
      (each) =>
        !all.some((known) => same(known, each)) &&
        !owedLater.has(each.finding) &&
        !one.reveals?.includes(each.finding),
    );
    expect(caused.map(({ message }) => message)).toEqual([]);
  });
});

test('every message that tells a person to write something is in the table', () => {
  // The catalogue has every template of the sources; tests/language holds it to that.
  const templates = Object.keys(
    parse(
      readFileSync(path.join(import.meta.dirname, '../../server/src/language/es.yaml'), 'utf8'),
    ) as object,
  );
  const pages = new Set(
    findings.flatMap(({ title, page }) => {
      const { means, why, whatToDo: todo, source } = page();
      return [means, why, todo, title, source].map(String);
    }),
  );
  const tells =
    /\b(write|say it|name|state|add|signs?|correct|refer|take|date) ?\b[^.]*`[a-z{][a-z0-9{}-]*(:[^`]*)?`/i;
  const telling = templates.filter((one) => /\{\d\}/.test(one) && tells.test(one) && !pages.has(one));
  expect(telling.length).toBeGreaterThan(40);
  const known = table.map((one) => ('untried' in one ? one.untried : one.of));
  expect(telling.filter((one) => !known.some((ending) => one.endsWith(ending)))).toEqual([]);
  expect(known.filter((ending) => !templates.some((one) => one.endsWith(ending)))).toEqual([]);
});
