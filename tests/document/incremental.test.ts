import { describe, expect, test } from 'vitest';
import { check } from '../../server/src/features/check.ts';
import { fixesAt } from '../../server/src/features/fixes.ts';
import { readDocument } from '../../server/src/document/document.ts';
import type { Document } from '../../server/src/document/document.ts';
import type { AnyNode } from '../../server/src/document/node.ts';
import { Rope } from '../../server/src/text/rope.ts';
import { rangeOf } from '../../server/src/text/span.ts';
import type { Span } from '../../server/src/text/span.ts';
import { Workspace } from '../../server/src/workspace/workspace.ts';
import { planOf } from '../bench/plans.ts';
import { editsOf } from '../support/editing.ts';
import { sampleUri, sampleWorkspace, samples } from '../support/files.ts';

/** How many random edits; a long run is `PLUGWARD_EDITS=100000 npx vitest run … tests/document/incremental.test.ts`. */
const edits = Number(process.env['PLUGWARD_EDITS'] ?? 60);
const today = '2027-02-10';

const place = (span: Span): string => {
  const { start, end } = rangeOf(span);
  return `${start}-${end}`;
};

/** A document as plain data: every value with its absolute place, every problem, every mistake. */
function facts(document: Document): unknown {
  const visit = (node: AnyNode): unknown => {
    const own = `${node.kind} ${place(node.span)} ${node.rejectedBySchema ? 'bad' : ''} ${node.partlyParsed ? 'broken' : ''} ${node.flow}`;
    if (node.kind === 'scalar') return [own, node.value];
    if (node.kind === 'list') return [own, (node.items as readonly AnyNode[]).map(visit)];
    return [own, node.entries.map((entry) => [entry.key, place(entry.keySpan), visit(entry.value)])];
  };
  return {
    root: document.root && visit(document.root as AnyNode),
    problems: document.problems.map(({ kind, span, message }) => `${kind} ${place(span)} ${message}`),
    mistakes: document.mistakes.map(
      ({ keyword, node, path }) => `${keyword} ${place(node.span)} ${path.join('.')}`,
    ),
  };
}

/** Compares as text first: a deep comparison of thousands of trees is what would take the time. */
function same(incremental: unknown, fresh: unknown, text: string): void {
  if (JSON.stringify(incremental) !== JSON.stringify(fresh))
    expect(incremental, JSON.stringify(text)).toEqual(fresh);
}

/** The same texts in a workspace that has read nothing before. */
function readAfresh(workspace: Workspace): Workspace {
  const fresh = new Workspace();
  for (const uri of workspace.uris) fresh.set(uri, workspace.text(uri)!);
  return fresh;
}

describe('reparsing after an edit gives the same result as parsing from scratch', () => {
  const plans = Object.entries(samples()).filter(([name]) => name.includes('repair-plan'));

  test.each(plans)('%s: the tree, its spans, syntax problems and schema violations', (name, source) => {
    let document: Document = readDocument(sampleUri(name), 'repair-plan', source);
    for (const text of editsOf(source, edits, 17)) {
      document = readDocument(sampleUri(name), 'repair-plan', text, document);
      const fresh = readDocument(sampleUri(name), 'repair-plan', text);
      same(facts(document), facts(fresh), text);
    }
  });

  test.each(plans)('%s: the findings', (name, source) => {
    const workspace = sampleWorkspace();
    const uri = sampleUri(name);
    for (const text of editsOf(source, Math.ceil(edits / 4), 23)) {
      workspace.set(uri, text);
      const fresh = readAfresh(workspace);
      same(check(workspace, uri, { today }), check(fresh, uri, { today }), text);
    }
  });

  test('the findings of a plan longer than one rope chunk', () => {
    const uri = 'file:///plans/long.repair-plan.yaml';
    const workspace = new Workspace();
    let rope = Rope.of(planOf(2_000));
    for (const text of editsOf(String(rope), Math.ceil(edits / 6), 31)) {
      const { start, end, newEnd } = rope.diffTo(Rope.of(text)) ?? { start: 0, end: 0, newEnd: 0 };
      rope = rope.replaced(start, end, text.slice(start, newEnd));
      workspace.set(uri, rope);
      expect(workspace.text(uri) === text).toBe(true);
      same(check(workspace, uri, { today }), check(readAfresh(workspace), uri, { today }), text);
    }
  });

  test.each(plans)('%s: the fixes, tried on a cached copy', (name, source) => {
    const workspace = sampleWorkspace();
    const uri = sampleUri(name);
    for (const text of editsOf(source, Math.ceil(edits / 12), 29)) {
      workspace.set(uri, text);
      const fresh = readAfresh(workspace);
      const [offered, expected] = [workspace, fresh].map((one) =>
        fixesAt(one, uri, 0, text.length >> 1, { today }),
      );
      same(offered, expected, text);
    }
  });

  test('a key that a comma cut off gets its colon, and loses it', () => {
    const uri = 'file:///plans/a.repair-plan.yaml';
    const workspace = new Workspace();
    for (const reason of ['x, note ', 'x, note:', 'x,  note', 'x, note ', '1,5', '1:5']) {
      const text = `plan: T-1\noperations: []\naccepted:\n  - { reason: ${reason}, by: y }\n`;
      workspace.set(uri, text);
      same(check(workspace, uri, { today }), check(readAfresh(workspace), uri, { today }), text);
    }
  });

  test('a note that comes to speak of repairing a cable, and no longer does', () => {
    const uri = 'file:///plans/a.repair-plan.yaml';
    const workspace = new Workspace();
    const notes = [
      'Tie it back.',
      'Splice the orange cable.',
      'Never splice the orange cable.',
      'Splice the cable.',
    ];
    for (const note of notes) {
      const text = `plan: T-1\nvehicle: { description: Kestrel (invented), propulsion: hybrid, system-voltage: 270 V }\noperations:\n  - { id: op10, do: consult, note: ${note} }\n  - { id: op20, do: consult }\n`;
      workspace.set(uri, text);
      const found = check(workspace, uri, { today });
      same(found, check(readAfresh(workspace), uri, { today }), text);
      expect(found.some(({ finding }) => finding === 'high-voltage-repaired')).toBe(
        note.startsWith('Splice the o'),
      );
    }
  });

  test('a note that comes to leave a precaution out, in other words, and no longer does', () => {
    const uri = 'file:///plans/a.repair-plan.yaml';
    const workspace = new Workspace();
    const notes = [
      ['Wear gloves.', undefined],
      ['Gloves are optional.', 'Gloves are optional'],
      ['Skip the wait.', 'Skip the wait'],
      ['Now skip the wait.', 'skip the wait'],
      ['Never skip the wait.', undefined],
    ];
    for (const [note, words] of notes) {
      const text = `plan: T-1\nvehicle: { description: Kestrel (invented), propulsion: hybrid, system-voltage: 270 V }\nconnectors:\n  - { id: plug, class: high-voltage-power, zone: roof, note: ${note} }\noperations:\n  - { id: op10, do: consult, note: ${note} }\n  - { id: op20, do: consult }\n`;
      workspace.set(uri, text);
      const found = check(workspace, uri, { today });
      same(found, check(readAfresh(workspace), uri, { today }), text);
      const told = found.filter(({ finding }) => finding === 'precaution-waived');
      expect(told).toHaveLength(words === undefined ? 0 : 2);
      for (const { message } of told) expect(message).toContain(`"${words}"`);
    }
  });

  test('a note that leaves a precaution out only with what a plan fills in', () => {
    const [uri, procedure] = ['file:///plans/a.repair-plan.yaml', 'file:///plans/p.shop-procedure.yaml'];
    const workspace = new Workspace();
    workspace.set(
      uri,
      'plan: T-1\nvehicle: { description: Kestrel (invented), propulsion: hybrid }\nuses: [./p.shop-procedure.yaml]\noperations:\n  - { id: op10, follow: p, with: { what: wait } }\n',
    );
    for (const note of ['Then $what.', 'No need to $what.', 'Then $what.']) {
      workspace.set(
        procedure,
        `procedure: p\nparameters: [{ name: what, kind: text }]\noperations:\n  - { id: w, do: consult, note: ${note} }\n`,
      );
      const found = check(workspace, uri, { today });
      same(found, check(readAfresh(workspace), uri, { today }), note);
      expect(found.some(({ finding }) => finding === 'precaution-waived')).toBe(note.startsWith('No'));
    }
  });

  test('reports move with the parts of an unchanged entry', () => {
    const uri = 'file:///plans/a.repair-plan.yaml';
    const workspace = new Workspace();
    for (const id of ['id:', 'id: ', 'id:  ', 'id:']) {
      const text = `plan: T-1\noperations:\n  - ${id}\n  - { id: op20 }\n`;
      workspace.set(uri, text);
      const fresh = new Workspace();
      fresh.set(uri, text);
      same(check(workspace, uri, { today }), check(fresh, uri, { today }), text);
    }
  });
});
