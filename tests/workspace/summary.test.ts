import fc from 'fast-check';
import { expect, test } from 'vitest';
import { symbolWords } from '../../server/src/plan/symbols.ts';
import type { SymbolKind } from '../../server/src/plan/symbols.ts';
import { NameTable } from '../../server/src/workspace/summary.ts';
import type { NameTableData, PlacedName } from '../../server/src/workspace/summary.ts';

const uri = 'file:///plans/a.repair-plan.yaml';
const id = fc.oneof(fc.constantFrom('c1', 'two words', ' ', '', '{', '{"kind":"zone"}', 'Ω'), fc.string());
const placedName = fc.record({
  kind: fc.constantFrom(...(Object.keys(symbolWords) as SymbolKind[])),
  id,
  role: fc.constantFrom('definition' as const, 'reference' as const),
  isOpen: fc.constantFrom(undefined, true as const),
  procedure: fc.option(id, { nil: undefined }),
  parameter: fc.option(id, { nil: undefined }),
  start: fc.nat(1000),
  length: fc.nat(30),
  shift: fc.option(fc.nat(2), { nil: undefined }),
});

test('a table of names says the same after it was kept as JSON', () => {
  fc.assert(
    fc.property(fc.array(placedName, { maxLength: 8 }), (rows) => {
      const names = rows.map(({ start, length, shift, ...name }): PlacedName => {
        const { isOpen, procedure, parameter, ...rest } = name;
        const span = { origin: { uri, base: 0 }, from: start, to: start + length };
        const more = {
          ...(isOpen && { isOpen }),
          ...(procedure !== undefined && { procedure }),
          ...(parameter !== undefined && { parameter }),
        };
        const exact = shift === undefined ? undefined : start + shift;
        return { name: { ...rest, ...more, span } as PlacedName['name'], start, end: start + length, exact };
      });
      const table = NameTable.of(names);
      const kept = NameTable.from(
        JSON.parse(JSON.stringify(table)) as NameTableData,
        Uint32Array.from(table.rows),
      );
      for (const { name, start } of names) {
        const same = names.filter((other) => other.name.id === name.id);
        expect(kept.named(uri, name.id)).toEqual(table.named(uri, name.id));
        expect(kept.named(uri, name.id)).toHaveLength(same.length);
        expect(kept.named(uri, name.id)).toContainEqual(
          expect.objectContaining({ kind: name.kind, role: name.role }),
        );
        expect(kept.exact(uri, name.id, start)).toEqual(table.exact(uri, name.id, start));
      }
    }),
  );
});
