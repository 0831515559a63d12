import { describe, expect, test } from 'vitest';
import { applyEdits } from '../../server/src/text/span.ts';
import { check } from '../../server/src/features/check.ts';
import { fixAll, fixesAt } from '../../server/src/features/fixes.ts';
import { sampleUri, sampleWorkspace, samples } from '../support/files.ts';

const today = '2027-02-10';
const found = (name: string): string[] =>
  check(sampleWorkspace(), sampleUri(name), { today }).map(
    ({ finding, operation, connector }) => `${finding} ${connector ?? operation ?? ''}`,
  );

const planted: Readonly<Record<string, readonly string[]>> = {
  'quarter-panel-faulty.repair-plan.yaml': [
    'bare-connector hv-interlock',
    'late-cover parking-sensor-left',
    'half-covered curtain-airbag-left',
    'early-uncover charge-inlet',
    'weak-cover inverter-dc',
    'inspection-missing curtain-airbag-left',
    'knock-unchecked tail-lamp-left',
    'labour-missing op220',
  ],
  'hybrid-door.repair-plan.yaml': ['knock-unchecked cooling-pump'],
};

describe('the samples', () => {
  test.each(Object.keys(samples()))(
    '%s shows each planted mistake exactly once, and nothing else',
    (name) => {
      expect(found(name).sort()).toEqual([...(planted[name] ?? [])].sort());
    },
  );

  test.each(Object.keys(planted))('%s: every offered fix removes its finding', (name) => {
    const workspace = sampleWorkspace();
    const uri = sampleUri(name);
    const offered = fixesAt(workspace, uri, 0, workspace.text(uri)!.length, { today });
    expect(new Set(offered.map(({ finding }) => finding)).size).toBe(
      new Set(planted[name]!.map((one) => one.split(' ')[0])).size,
    );
    for (const { finding } of offered) {
      const fixed = fixAll(workspace, uri, { unsafe: true, finding }, { today });
      const after = workspace.fork();
      after.set(uri, fixed.text);
      expect(check(after, uri, { today }).filter((diagnosis) => diagnosis.finding === finding)).toEqual([]);
    }
  });

  test.each(Object.keys(planted))(
    '%s: fixing everything leaves nothing to find, and fixing it again changes nothing',
    (name) => {
      const workspace = sampleWorkspace();
      const uri = sampleUri(name);
      const fixed = fixAll(workspace, uri, { unsafe: true }, { today });
      expect(applyEdits(workspace.text(uri)!, fixed.edits)).toBe(fixed.text);
      workspace.set(uri, fixed.text);
      // A photograph of an inserted cover has still to be taken; no fix can.
      const left = check(workspace, uri, { today }).filter(({ finding }) => finding !== 'evidence-missing');
      expect(left.map(({ message }) => message)).toEqual([]);
      expect(fixAll(workspace, uri, { unsafe: true }, { today }).edits).toEqual([]);
    },
  );
});
