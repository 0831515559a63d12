import { describe, expect, test } from 'vitest';
import { acceptancesAt } from '../../server/src/features/accept.ts';
import { check } from '../../server/src/features/check.ts';
import { sampleUri, samples, workspaceOf } from '../support/files.ts';
import { exampleFiles, wholePlan } from '../support/frame.ts';

const today = '2027-02-10';
const uri = 'file:///plans/one.repair-plan.yaml';
const open = (text: string) => workspaceOf({ ...exampleFiles, 'one.repair-plan.yaml': text });

const filled = (text: string): string =>
  text
    .replace('$1', 'Looked at, agreed on the phone.')
    .replace('$2', 'Lead technician')
    .replace('$3', '2027-03-01');
const blank = (text: string): string => text.replace(/\$\d/g, '');

describe('an acceptance that is offered', () => {
  const faulty = Object.entries(samples()).filter(([name]) => name.endsWith('.repair-plan.yaml'));
  test.each(faulty)(
    'in %s silences its finding once it is filled in, and nothing before that',
    (name, text) => {
      const workspace = workspaceOf(samples(), sampleUri(''));
      const of = sampleUri(name);
      const key = ({ finding, operation, connector, message }: ReturnType<typeof check>[number]): string =>
        [finding, operation, connector, message].join(' ');
      const before = check(workspace, of, { today }).map(key);
      for (const { title, diagnosis, edit } of acceptancesAt(workspace, of, 0, text.length, { today })) {
        for (const write of [filled, blank]) {
          const back = workspace.edit(of, [{ ...edit, text: write(edit.text) }]);
          const after = check(workspace, of, { today });
          const own = after.filter((one) => key(one) === key(diagnosis));
          expect([title, write.name, own.length]).toEqual([title, write.name, write === filled ? 0 : 1]);
          // No other kind of finding goes with it.
          const others = before.filter((one) => !one.startsWith(`${diagnosis.finding} `));
          expect(after.map(key)).toEqual(expect.arrayContaining(others));
          workspace.edit(of, back);
        }
      }
    },
  );

  const plan = wholePlan(`operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc, park-sensor] }
  - { id: op30, do: grind, zone: quarter-left }
  - { id: op40, do: reconnect, connectors: [inverter-dc, park-sensor], after: [op30] }
`);
  const titles = (text: string, start = 0, end = text.length, language = 'en'): string[] =>
    acceptancesAt(open(text), uri, start, end, { today, language }).map(({ title }) => title);

  test('is for the step or the connector, whichever covers less', () => {
    const bare = titles(plan).filter((title) => title.includes('bare-connector'));
    expect(bare).toEqual(['Accept bare-connector at inverter-dc…', 'Accept bare-connector at park-sensor…']);
    expect(titles(plan, 0, plan.length, 'es')).toContain('Aceptar bare-connector en inverter-dc…');
  });

  test('stands where the findings touch', () => {
    expect(titles(plan, 0, 4)).toEqual([]);
  });

  test('there is none for a text that has to be corrected, nor outside plans', () => {
    const broken = plan.replace('do: grind', 'dо: grind').replace('[inverter-dc, ', '[inverter-cd, ');
    expect(check(open(broken), uri, { today }).map(({ finding }) => finding)).toEqual(
      expect.arrayContaining(['key-unknown', 'unknown-id']),
    );
    expect(titles(broken).filter((title) => /key-unknown|unknown-id/.test(title))).toEqual([]);
    const list = 'connector-list: x\nconnectors:\n  - { id: a, class: low-voltage }\n';
    const workspace = workspaceOf({ 'x.connector-list.yaml': list });
    expect(
      acceptancesAt(workspace, 'file:///plans/x.connector-list.yaml', 0, list.length, { today }),
    ).toEqual([]);
  });

  test('is written like the acceptances that are there', () => {
    const block = `${plan}accepted:
  - finding: weak-cover
    reason: Agreed.
    by: Lead technician
    until: 2027-03-01
`;
    const [first] = acceptancesAt(open(block), uri, 0, block.length, { today });
    expect(first!.edit.text).toMatch(
      /^ {2}- finding: .+\n {4}at: .+\n {4}reason: "\$1"\n {4}by: "\$2"\n {4}until: \$3\n$/,
    );
  });
});
