import { expect, test } from 'vitest';
import { fixesAt } from '../../server/src/features/fixes.ts';
import { applyEdits } from '../../server/src/text/span.ts';
import { workspaceOf } from '../support/files.ts';
import { exampleFiles, wholePlan } from '../support/frame.ts';

/** A tab has no width in YAML (YAML 1.2.2, 6.1): what it stands for follows from the lines around it. */
test.each([
  [
    'two',
    'operations:\n\t- { id: op20, do: grind, zone: roof }\n\t- { id: op30, do: clean, zone: roof }\n',
    '  ',
  ],
  ['four', 'operations:\n  - id: op20\n\tdo: grind\n    zone: roof\n', '    '],
  ['four behind two', 'operations:\n  - id: op20\n  \tdo: grind\n    zone: roof\n', '  '],
])('tabs become %s spaces', (_, lines, spaces) => {
  const uri = 'file:///plans/a.repair-plan.yaml';
  const text = wholePlan(lines);
  const at = text.indexOf('\t') + 1;
  const [fix] = fixesAt(workspaceOf({ ...exampleFiles, 'a.repair-plan.yaml': text }), uri, at, at);
  expect(fix && applyEdits(text, fix.edits)).toBe(text.replaceAll('\t', spaces));
});

test('a tab within a text that a block holds stays', () => {
  const text = wholePlan(
    'operations:\n\t- { id: op20, do: grind, zone: roof }\nlabour:\n  - operation: op20\n    note: |\n      a\n      \tb\n',
  );
  const at = text.indexOf('\t') + 1;
  const [fix] = fixesAt(
    workspaceOf({ ...exampleFiles, 'a.repair-plan.yaml': text }),
    'file:///plans/a.repair-plan.yaml',
    at,
    at,
  );
  expect(fix && applyEdits(text, fix.edits)).toBe(text.replace('\t', '  '));
});

test('nothing is offered where no width makes the text readable', () => {
  const text = wholePlan('operations:\n  - id: op20\n\tdo: grind\n   zone: roof\n');
  const at = text.indexOf('\t') + 1;
  const uri = 'file:///plans/a.repair-plan.yaml';
  expect(
    fixesAt(workspaceOf({ ...exampleFiles, 'a.repair-plan.yaml': text }), uri, at, at).map(
      ({ title }) => title,
    ),
  ).not.toContain('Replace the tabs that indent by spaces');
});
