import { readFileSync } from 'node:fs';
import path from 'node:path';
import { expect, test } from 'vitest';
import { connectorFacts, halfFacts, vehicleFacts } from '../../server/src/plan/tables/effects.ts';
import { builtInTasks } from '../../server/src/plan/tables/tasks.ts';
import { Zones } from '../../server/src/plan/tables/zones.ts';
import { root } from '../support/files.ts';

interface Property {
  readonly examples: readonly string[];
}

// Any YAML editor completes the examples of a schema.
test('the schema names the built-in tasks and zones as examples', () => {
  const schema = JSON.parse(readFileSync(path.join(root, 'schemas/repair-plan.schema.json'), 'utf8')) as {
    $defs: { operation: { properties: { do: Property; zone: Property } } };
  };
  const { do: task, zone } = schema.$defs.operation.properties;
  expect([...task.examples].sort()).toEqual([...builtInTasks.keys()].sort());
  expect([...zone.examples].sort()).toEqual([...new Zones().names].sort());
});

test('a shop may name every fact of the table, and no other', () => {
  const text = readFileSync(path.join(root, 'schemas/rate-sheet.schema.json'), 'utf8');
  const lists: string[][] = [];
  JSON.parse(text, (_, value: { description?: string; enum?: string[] } | null) => {
    if (value?.description === 'A fact.') lists.push([...value.enum!].sort());
    return value;
  });
  const facts = [...vehicleFacts, ...connectorFacts, ...halfFacts].sort();
  expect(lists).toEqual([facts, facts, facts]);
});
