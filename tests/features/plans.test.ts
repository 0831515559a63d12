import { describe, expect, test } from 'vitest';
import { check } from '../../server/src/features/check.ts';
import { planSummary, toldApart, worstFirst } from '../../server/src/features/plans.ts';
import { sampleUri, samples, sampleWorkspace, workspaceOf } from '../support/files.ts';
import { exampleFiles, wholePlan } from '../support/frame.ts';

const today = '2027-02-10';
const summaries = (workspace = sampleWorkspace(), language = 'en') =>
  workspace.uris.flatMap((uri) => planSummary(workspace, uri, { today, language }) ?? []);

describe('the plans of a folder', () => {
  test('are all its plans, with the counts of a check, and no other file', () => {
    const workspace = sampleWorkspace();
    const found = summaries(workspace);
    const plans = Object.keys(samples()).filter((name) => name.endsWith('.repair-plan.yaml'));
    expect(found.map(({ uri }) => uri).sort()).toEqual(plans.map(sampleUri).sort());
    for (const { uri, errors, warnings, information } of found) {
      const severities = check(workspace, uri, { today }).map(({ severity }) => severity);
      const count = (grade: string): number => severities.filter((severity) => severity === grade).length;
      expect([uri, errors, warnings, information]).toEqual([
        uri,
        count('error'),
        count('warning'),
        count('information'),
      ]);
    }
  });

  test('stand worst first', () => {
    const order = worstFirst(summaries());
    expect(order[0]!.errors).toBeGreaterThan(0);
    order.slice(1).forEach(({ errors }, i) => expect(errors).toBeLessThanOrEqual(order[i]!.errors));
    expect(worstFirst([...order].reverse())).toEqual(order);
  });

  test('of one number are told apart by their files', () => {
    const [first, second, third] = summaries();
    const later = { ...second!, name: first!.name };
    expect(toldApart([first!, later, third!]).map(({ name }) => name)).toEqual([
      `${first!.name} · hybrid-door`,
      `${first!.name} · quarter-panel-faulty`,
      third!.name,
    ]);
  });

  const one = (text: string, file = 'one.repair-plan.yaml') =>
    planSummary(workspaceOf({ ...exampleFiles, [file]: text }), `file:///plans/${file}`, { today })!;
  const grinding = wholePlan(`title: Left rear lamp
operations:
  - { id: op20, do: disconnect, connectors: [park-sensor] }
  - { id: op30, do: grind, zone: quarter-left }
`);

  test('say money, release and sign-offs; no plan is called released by having no findings', () => {
    const faulty = one(grinding);
    expect(faulty.name).toBe('EX-1');
    expect(faulty.detail).toMatch(
      /^\d+ serious · \d+ findings · .+ · not released for work · Left rear lamp$/,
    );
    expect(faulty.tooltip).toMatch(
      /^EX-1 · Left rear lamp · one\.repair-plan\.yaml\n[^]*\nNot released for work:\n/,
    );
    expect(faulty.tooltip).toContain('Sign-offs: signed by nobody.');
    const clean = one(wholePlan('operations: []\n'));
    expect([clean.errors, clean.detail]).toEqual([0, expect.stringMatching(/signed by nobody$/)]);
    expect(clean.detail).not.toMatch(/released/);
    const signed = one(
      wholePlan(`uses: [./example.rate-sheet.yaml, ./strict.rate-sheet.yaml]
operations: []
sign-offs:
  - { role: lead-technician, by: lead-a, at: 2027-02-09 }
`),
    );
    expect(signed.tooltip).toMatch(
      /\nSign-offs: signed by lead technician, not by high-voltage technician\.$/,
    );
  });

  test('a plan that cannot be read says so, and is named by its file', () => {
    const broken = one('plan: [\n');
    expect(broken).toMatchObject({ name: 'one.repair-plan.yaml', isPartial: true });
    expect(broken.detail).toContain('not fully checked');
  });

  test('speak Spanish', () => {
    const workspace = workspaceOf({ ...exampleFiles, 'one.repair-plan.yaml': grinding });
    expect(
      planSummary(workspace, 'file:///plans/one.repair-plan.yaml', { today, language: 'es' })!.detail,
    ).toMatch(/^(1 grave|graves: \d+) · .*sin autorización para trabajar · Left rear lamp$/);
  });
});
