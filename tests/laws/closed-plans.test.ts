import { readFileSync } from 'node:fs';
import path from 'node:path';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { followMoves } from '../../server/src/features/file-rename.ts';
import { lenses } from '../../server/src/features/lenses.ts';
import { namesIn } from '../../server/src/features/names.ts';
import { definitionsAt, occurrencesAt } from '../../server/src/features/navigation.ts';
import { searchSymbols } from '../../server/src/features/outline.ts';
import { prepareRename, rename } from '../../server/src/features/rename.ts';
import { condense, isSummaryOf } from '../../server/src/features/summarise.ts';
import { rangeOf } from '../../server/src/text/span.ts';
import type { Range } from '../../server/src/text/span.ts';
import type { Workspace } from '../../server/src/workspace/workspace.ts';
import { root, samples, workspaceOf } from '../support/files.ts';
import { cleanPlans } from './clean-plans.ts';
import { damagedPlans } from './damage.ts';
import { patience, runs } from './runs.ts';
import { fixtures } from './texts.ts';

/**
 * A workspace of which some plans are condensed to what others need of them answers whatever is asked of all files as one that
 * keeps every tree.
 */

type Files = Readonly<Record<string, string>>;

const rows = parse(readFileSync(path.join(root, 'tests/features/names.yaml'), 'utf8'), { merge: true }) as {
  files: Files;
}[];
const withoutMark = (files: Files): Files =>
  Object.fromEntries(Object.entries(files).map(([name, text]) => [name, text.replace('▮', '')]));

/** A second plan beside the files of a first: both may define and use the same names. */
const another = fc
  .constantFrom(...fixtures.filter(({ name }) => name.endsWith('.repair-plan.yaml')))
  .map(({ text, files }) => ({ ...files, 'another.repair-plan.yaml': text }));
/** Plans are used by plans rarely, but it can be written. */
const hub = { 'hub.repair-plan.yaml': 'plan: H-1\nuses: [./one.repair-plan.yaml, ./ONE.repair-plan.yaml]\n' };
const folders: fc.Arbitrary<Files> = fc
  .tuple(
    fc.oneof(
      fc.constantFrom(...rows.map(({ files }) => withoutMark(files))),
      fc.constant(samples()),
      cleanPlans.map(({ files }) => files),
      damagedPlans.map(({ files }) => files),
      fc.constantFrom(...fixtures).map(({ name, text, files }) => ({ ...files, [name]: text })),
    ),
    fc.option(another, { freq: 1 }),
    fc.constantFrom({}, {}, {}, hub),
  )
  .map(([first, second, third]) => ({ ...second, ...first, ...third }));

const inOrder = (ranges: readonly Range[]): string[] =>
  ranges.map(({ uri, start, end }) => `${uri} ${start}-${end}`).sort();

/** A name in a file, by its number among all of them, and what it is renamed to. */
interface Asked {
  readonly at: number;
  readonly to: number;
}

const placesIn = (workspace: Workspace): { uri: string; offset: number; id: string }[] =>
  workspace.uris.flatMap((uri) =>
    namesIn(workspace.plan(uri)!).map(({ span, id }) => ({ uri, offset: rangeOf(span).start, id })),
  );

function answers(
  workspace: Workspace,
  { uri, offset }: { readonly uri: string; readonly offset: number },
  to: string,
): unknown {
  const found = occurrencesAt(workspace, uri, offset);
  const renamed = rename(workspace, uri, offset, to);
  const prepared = prepareRename(workspace, uri, offset);
  return {
    occurrences: found && {
      kind: found.kind,
      id: found.id,
      here: found.here,
      definitions: inOrder(found.definitions),
      references: inOrder(found.references),
      files: found.views.map((view) => view.uri).sort(),
    },
    definitions: inOrder(definitionsAt(workspace, uri, offset)),
    renamed: 'refused' in renamed ? String(renamed.refused) : renamed.edits,
    prepared: 'refused' in prepared ? String(prepared.refused) : prepared,
  };
}

/** What is asked of all files at once. */
const everything = (workspace: Workspace, shared: readonly string[]): unknown => ({
  symbols: ['', 'op', 'i', 'a1'].map((query) => searchSymbols(workspace, query)),
  moves: [
    followMoves(workspace, [{ from: 'file:///plans', to: 'file:///elsewhere/plans' }]),
    ...workspace.uris
      .toSorted()
      .map((uri) => followMoves(workspace, [{ from: uri, to: 'file:///other/moved.yaml' }])),
  ].map((edits) => edits.map((edit) => JSON.stringify(edit)).sort()),
  lenses: shared.map((uri) => lenses(workspace, uri)),
  missing: workspace.missingFiles().sort(),
  photos: workspace.unknownPhotos().sort(),
  lines: workspace.uris
    .toSorted()
    .map((uri) => [0, 7, 99, 1e9].map((at) => workspace.lines(uri)?.positionAt(at))),
});

describe('a workspace with condensed plans', () => {
  it('answers as one that keeps every tree', { timeout: patience }, () => {
    let condensed = 0;
    let edits = 0;
    fc.assert(
      fc.property(
        folders,
        fc.array(fc.record({ at: fc.nat(), to: fc.nat() }), { minLength: 6, maxLength: 6 }),
        fc.nat(2 ** 20),
        (files, asked: Asked[], which) => {
          const [whole, small] = [workspaceOf(files), workspaceOf(files)];
          const places = placesIn(whole);
          const plans = whole.uris.filter((uri) => whole.kind(uri) === 'repair-plan');
          // Most are condensed, also those in which the cursor is.
          for (const [i, uri] of plans.entries()) if (which % (i + 3) !== 0) condense(small, uri);
          condensed += plans.filter((uri) => small.summary(uri)).length;
          const shared = whole.uris.filter((uri) => !plans.includes(uri));
          expect(everything(small, shared)).toEqual(everything(whole, shared));
          for (const { at, to } of places.length > 0 ? asked : []) {
            const place = places[at % places.length]!;
            const name = to % 3 === 0 ? places[to % places.length]!.id : 'zz-new';
            const expected = answers(whole, place, name);
            expect(answers(small, place, name)).toEqual(expected);
            const { renamed } = expected as { renamed: unknown };
            if (Array.isArray(renamed)) edits += renamed.length;
          }
        },
      ),
      runs(150),
    );
    expect(condensed).toBeGreaterThan(100);
    expect(edits).toBeGreaterThan(100);
  });

  it('answers as before after a shared file has changed, and once they are whole again', () => {
    const files = rows.map((row) => withoutMark(row.files)).find((one) => 'open.shop-procedure.yaml' in one)!;
    const [whole, small] = [workspaceOf(files), workspaceOf(files)];
    const uri = 'file:///plans/open.shop-procedure.yaml';
    const compare = (): void => {
      for (const place of placesIn(whole))
        expect(answers(small, place, 'zz')).toEqual(answers(whole, place, 'zz'));
    };
    for (const plan of whole.uris) condense(small, plan);
    expect(small.uris.some((plan) => small.summary(plan))).toBe(true);
    compare();
    // The kind of a parameter tells what its arguments name.
    for (const workspace of [whole, small])
      workspace.set(uri, files['open.shop-procedure.yaml']!.replace('kind: connectors', 'kind: zone'));
    compare();
    for (const plan of small.uris) if (small.summary(plan)) small.set(plan, whole.text(plan)!);
    expect(small.uris.some((plan) => small.summary(plan))).toBe(false);
    compare();
  });

  it('keeps a plan whole that another one uses', () => {
    const files = { 'one.repair-plan.yaml': 'plan: X-1\n', ...hub };
    const workspace = workspaceOf(files);
    for (const uri of workspace.uris) condense(workspace, uri);
    expect(workspace.document('file:///plans/one.repair-plan.yaml')).toBeDefined();
    expect(workspace.summary('file:///plans/hub.repair-plan.yaml')).toBeDefined();
    // One that comes to be used is read again.
    workspace.set('file:///plans/next.repair-plan.yaml', 'plan: X-2\nuses: [./hub.repair-plan.yaml]\n');
    expect(workspace.missingFiles()).toEqual(['file:///plans/hub.repair-plan.yaml']);
  });
});

it('a summary tells its text from another', () => {
  fc.assert(
    fc.property(fc.string(), fc.string(), (one, other) => {
      const text = `plan: X-1\ntitle: ${JSON.stringify(one)}\n`;
      const workspace = workspaceOf({ 'one.repair-plan.yaml': text });
      condense(workspace, 'file:///plans/one.repair-plan.yaml');
      const summary = workspace.summary('file:///plans/one.repair-plan.yaml')!;
      expect(isSummaryOf(summary, text)).toBe(true);
      if (one !== other)
        expect(
          isSummaryOf(
            summary,
            text.replace(JSON.stringify(one), () => JSON.stringify(other)),
          ),
        ).toBe(false);
      expect(isSummaryOf(summary, `${text}#`)).toBe(false);
    }),
    runs(100),
  );
});
