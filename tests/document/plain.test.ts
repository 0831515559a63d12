import fc from 'fast-check';
import { describe, expect, test, vi } from 'vitest';
import type { AnyNode } from '../../server/src/document/node.ts';
import { limits } from '../../server/src/document/parse.ts';
import { parseWithLibrary } from '../../server/src/document/piece.ts';
import { parsePlain } from '../../server/src/document/plain.ts';
import { splitSections } from '../../server/src/document/split.ts';
import { editsOf } from '../support/editing.ts';
import { samples } from '../support/files.ts';
import { patience, runs } from '../laws/runs.ts';

vi.setConfig({ testTimeout: patience });

/** A tree as plain data: every value with its place, how it is written, and what it is. */
function facts(node: AnyNode): unknown {
  const own = `${node.kind} ${node.span.from}-${node.span.to} ${node.flow ? 'flow' : 'block'}`;
  if (node.kind === 'scalar') return [own, Object.is(node.value, -0) ? '-0' : node.value];
  if (node.kind === 'list') return [own, (node.items as readonly AnyNode[]).map(facts)];
  return [own, node.entries.map(({ key, keySpan, value }) => [key, keySpan.from, keySpan.to, facts(value)])];
}

/**
 * The oracle is the library (`yaml`, which passes the YAML test suite): what the quick reader reads, it must read to
 * the last place, and find nothing wrong with. Whether the quick reader read it.
 */
function agrees(source: string): boolean {
  const origin = { uri: 'file:///a', base: 0 };
  const quick = parsePlain(source, origin, limits);
  if (!quick) return false;
  const { top, problems, nodeCount } = parseWithLibrary(source, origin, {}, 0);
  const both = [
    { tree: facts(quick.top), problems: [], nodeCount: quick.nodeCount },
    { tree: top && facts(top), problems, nodeCount },
  ] as const;
  if (JSON.stringify(both[0]) !== JSON.stringify(both[1]))
    expect(both[0], JSON.stringify(source)).toEqual(both[1]);
  return true;
}

function piecesOf(text: string): string[] {
  const sections = splitSections(text)?.sections;
  if (!sections) return [text];
  return sections
    .flatMap((section) => section.items ?? [section])
    .map(({ start, end }) => text.slice(start, end));
}

const often = fc.constantFrom;
const value = fc.oneof(
  { weight: 6, arbitrary: often('', '', '', 'word', 'two words', '0.1 h', '[a, b]', '{ a: 1, b: two }') },
  often(
    '"q"',
    "'it''s'",
    '"a # b: c"',
    'a#b',
    'a:b',
    'a: b',
    'a:',
    '-',
    '- a',
    '-5',
    '-a',
    '--',
    '---',
    '...',
  ),
  often(
    '0',
    '-0',
    '+7',
    '007',
    '1.50',
    '.5',
    '5.',
    '1e3',
    '0x1F',
    '0o17',
    '.inf',
    '-.INF',
    '.nan',
    '1_000',
    '4,5',
  ),
  often(
    '~',
    'null',
    'Null',
    'true',
    'False',
    'yes',
    'nullx',
    '12345678901234567890',
    '2026-09',
    '2027-02-03',
  ),
  often(
    '[]',
    '{}',
    '[ ]',
    '[a,]',
    '[a,,b]',
    '[a b, [c]]',
    '{a: [b, {c: d}]}',
    '{a}',
    '{a: }',
    '{"a": b}',
    '[a: b]',
  ),
  often(
    '{ a: b',
    'a ]',
    '[a]]',
    '[a] b',
    '"a" b',
    '"a"#b',
    '[a]#b',
    "'a",
    '"a\\n"',
    '[-1, - 2, -]',
    '{a:b}',
    '[a#b]',
  ),
  often(
    '!t a',
    '&x a',
    '*x',
    '| ',
    '>-',
    '? a',
    ': a',
    '@a',
    '`a',
    '%a',
    '\ta',
    'a\tb',
    'a\u00a0',
    'Ω',
    '🔧',
    '\ud800',
  ),
  often(
    '<<',
    'true: x',
    'a : b',
    'a:  b',
    'x: [1',
    '{a: 1, a: 2}',
    'a: 1',
    'nested: { b: c }',
    'True',
    '"k": v',
  ),
);
const remark = fc.oneof(
  { weight: 5, arbitrary: fc.constant('') },
  often(' # note', '# note', '  #', ' ', '   '),
);
const key = often('a: ', 'b: ', 'c: ', 'True: ', 'x-y: ', 'a:  ', 'd:', 'e:', 'a');
const ending = fc.oneof(
  { weight: 12, arbitrary: fc.constant('\n') },
  often('\r\n', '\n\n', '\n   \n', '', '\r'),
);
const line = fc
  .tuple(
    often('', '', '  ', '  ', '    ', '   ', '      ', ' '),
    often('', '', '', '', '- ', '- ', '-   ', '- - '),
    fc.option(key, { nil: '' }),
    value,
    remark,
    ending,
  )
  .map((parts) => parts.join(''));
const comment = fc
  .tuple(fc.nat({ max: 7 }), ending)
  .map(([depth, end]) => `${' '.repeat(depth)}# note${end}`);

/** Entries whose indentation fits more often than not, so that comments meet every way to end a collection. */
const nest = fc.letrec<{ block: string[]; list: string[]; map: string[] }>((tie) => ({
  block: fc.oneof({ maxDepth: 3 }, fc.constant<string[]>(['w']), tie('map'), tie('list')),
  list: fc
    .array(fc.tuple(tie('block'), remarks()), { minLength: 1, maxLength: 3 })
    .map((items) =>
      items.flatMap(([[first = '', ...rest], notes]) => [
        `- ${first}`,
        ...rest.map((more) => `  ${more}`),
        ...notes,
      ]),
    ),
  map: fc
    .uniqueArray(fc.tuple(often('a', 'b', 'c', 'd'), tie('block'), remarks(), often(0, 2, 3)), {
      minLength: 1,
      maxLength: 3,
      selector: ([name]) => name,
    })
    .map((entries) =>
      entries.flatMap(([name, inner, notes, depth]) =>
        inner.length === 1 && !/^-|:$/.test(inner[0]!)
          ? [`${name}: ${inner[0] === 'w' ? '' : 'x'}`, ...notes]
          : [`${name}:`, ...notes.slice(1), ...inner.map((more) => ' '.repeat(depth) + more), ...notes],
      ),
    ),
}));
function remarks(): fc.Arbitrary<string[]> {
  const one = fc.nat({ max: 6 }).map((depth) => `${' '.repeat(depth)}# note`);
  return fc.oneof(
    { weight: 3, arbitrary: fc.constant<string[]>([]) },
    fc.array(fc.oneof(one, fc.constant('')), { maxLength: 3 }),
  );
}

describe('the fast parser gives the same result as the library for everything it accepts', () => {
  const law = runs(20_000);
  const share = (texts: readonly string[]): number => texts.filter(agrees).length / texts.length;

  test('every sequence of line kinds', () => {
    const texts = fc.sample(
      fc.array(fc.oneof({ weight: 5, arbitrary: line }, comment), { minLength: 1, maxLength: 6 }),
      law,
    );
    expect(share(texts.map((lines) => lines.join('')))).toBeGreaterThan(0.05);
  });

  test('nested entries with comments at every depth', () => {
    const texts = fc.sample(nest.block, law).map((lines) => lines.join('\n'));
    expect(share(texts)).toBeGreaterThan(0.2);
  });

  test('one value after a key, in brackets and in braces', () => {
    const texts = fc
      .sample(fc.tuple(often(['a: ', ''], ['- ', ''], ['a: [', ']'], ['a: { b: ', ' }']), value, remark), law)
      .map(([[before, behind], inner, note]) => `${before}${inner}${behind}${note}\n`);
    expect(share(texts)).toBeGreaterThan(0.3);
  });

  test.each(Object.entries(samples()))('%s, whole, by pieces, and after random edits', (name, source) => {
    expect(piecesOf(source).every(agrees), name).toBe(true);
    for (const text of editsOf(source, Math.ceil(law.numRuns / 200), law.seed)) {
      agrees(text);
      piecesOf(text).forEach(agrees);
    }
  });
});
