import { readDocument } from '../../server/src/document/document.ts';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { parse as parseYaml, parseDocument } from 'yaml';
import { valueOf } from '../../server/src/document/validate.ts';
import type { AnyNode } from '../../server/src/document/node.ts';
import { limits, parse } from '../../server/src/document/parse.ts';
import { splitSections } from '../../server/src/document/split.ts';
import { rangeOf } from '../../server/src/text/span.ts';
import { samples } from '../support/files.ts';

const valueIn = (text: string): unknown => {
  const { root } = parse('file:///a', text);
  return root && valueOf(root);
};

/** Every node with the text it stands for. */
function* nodes(node: AnyNode): Generator<AnyNode> {
  yield node;
  if (node.kind === 'list') for (const item of node.items as readonly AnyNode[]) yield* nodes(item);
  if (node.kind === 'map') for (const entry of node.entries) yield* nodes(entry.value);
}

const word = fc.stringMatching(/^[a-z][a-z0-9 ]{0,8}[a-z0-9]$/);
const flow = fc.letrec((tie) => ({
  value: fc.oneof(
    { maxDepth: 3 },
    word,
    fc.integer(),
    fc.boolean(),
    fc.array(tie('value'), { maxLength: 3 }),
    fc.dictionary(word, tie('value'), { maxKeys: 3 }),
  ),
})).value;
const entries = fc.array(fc.dictionary(word, flow, { minKeys: 1, maxKeys: 4 }), { maxLength: 6 });
const comment = fc.constantFrom('', '\n', '# a comment\n', '  # indented\n', '\n\n');

/** Block YAML as people write it: sections with lists in block or flow style, comments and blank lines anywhere. */
const text = fc
  .array(
    fc.tuple(
      fc.stringMatching(/^[a-z][a-z-]{0,8}[a-z]$/),
      entries,
      fc.boolean(),
      fc.constantFrom(0, 2, 4),
      comment,
    ),
    { maxLength: 6 },
  )
  .map((sections) =>
    sections
      .filter(([key], i) => sections.findIndex(([other]) => other === key) === i)
      .map(([key, list, block, indent, gap]) => {
        const pad = ' '.repeat(indent);
        if (list.length === 0) return `${gap}${key}: []\n`;
        const items = list.map((item) =>
          block
            ? Object.entries(item)
                .map(([k, v], i) => `${pad}${i === 0 ? '- ' : '  '}${k}: ${JSON.stringify(v)}\n`)
                .join('')
            : `${pad}- ${JSON.stringify(item)}\n`,
        );
        return `${gap}${key}:\n${items.join(gap.replace(/^ +/, pad))}`;
      })
      .join(''),
  );

describe('parsing piece by piece', () => {
  test('agrees with a whole parse by the library on valid texts (LF and CRLF)', () => {
    fc.assert(
      fc.property(text, fc.boolean(), (source, crlf) => {
        const written = crlf ? source.replaceAll('\n', '\r\n') : source;
        fc.pre(parseDocument(written).errors.length === 0);
        const expected: unknown = parseYaml(written);
        if (expected === null) return;
        expect(splitSections(written)).toBeDefined();
        expect(valueIn(written)).toEqual(expected);
      }),
      { numRuns: 400, seed: 11 },
    );
  });

  test.each(Object.entries(samples()))('%s gives the same result as the library', (_, source) => {
    expect(valueIn(source)).toEqual(parseYaml(source));
  });

  test.each(Object.entries(samples()))('%s: every scalar is at its span', (_, source) => {
    const { root } = parse('file:///a', source);
    for (const node of nodes(root as AnyNode)) {
      const { start, end } = rangeOf(node.span);
      if (node.kind === 'scalar') expect(parseYaml(source.slice(start, end))).toEqual(node.value);
      else expect(source.slice(start, end)).toBe(source.slice(start, end).trim());
    }
  });

  test('a syntax error in one entry costs only that entry', () => {
    const source =
      'plan: X\noperations:\n  - { id: a, do: grind }\n  - { id: b, do: [ }\n  - { id: c, do: sand }\nlabour: []\n';
    const { root, problems } = parse('file:///a', source);
    expect(problems).toHaveLength(1);
    expect(problems[0]).toMatchObject({ kind: 'not-yaml', section: 'operations', contained: true });
    const value = valueOf(root as AnyNode) as { operations: { id: string }[]; labour: unknown };
    expect(value.operations.map(({ id }) => id)).toEqual(['a', 'b', 'c']);
    expect(value.labour).toEqual([]);
  });
});

test.each([
  '!!binary',
  '!!binary aGVsbG8=',
  '!!timestamp 2027-02-10',
  '!!set { a, b }',
  '!!omap [a: 1]',
  '!!x y',
])('the tag of `%s` makes no value of a kind that no plan has', (value) => {
  const { root } = parse(
    'file:///a',
    `plan: X\nvehicle: ${value}\noperations: [{ id: op10, do: ${value} }]\n`,
  );
  const scalars = (node: AnyNode): unknown[] => {
    if (node.kind === 'scalar') return [node.value];
    if (node.kind === 'list') return (node.items as readonly AnyNode[]).flatMap(scalars);
    return node.entries.flatMap((entry) => scalars(entry.value));
  };
  for (const one of scalars(root as AnyNode)) expect(typeof one === 'object' ? one : null).toBeNull();
});

test.each(['hasOwnProperty', 'constructor', 'toString'])(
  'a list under the key `%s` is an unknown key, no more',
  (key) => {
    for (const text of [
      `plan: A\n${key}:\n  - x\n`,
      `plan: A\nuses: &k [./a.rate-sheet.yaml]\n${key}: *k\n`,
    ]) {
      const { mistakes } = readDocument('file:///a.repair-plan.yaml', 'repair-plan', text);
      expect(mistakes.map(({ keyword, params }) => [keyword, params['additionalProperty']])).toContainEqual([
        'additionalProperties',
        key,
      ]);
    }
  },
);

test('excessive nesting is rejected at the first bracket beyond the limit, and costs only its entry', () => {
  const item = (inside: string): string =>
    `operations:\n  - { id: op10, do: grind, x: ${inside} }\n  - { id: op20 }\n`;
  for (const [open, close, limit] of [
    ['[', ']', 238],
    ['{ a: ', ' }', 238],
  ] as const) {
    const source = item(`${open.repeat(5_000)}1${close.repeat(5_000)}`);
    const { problems, root } = parse('file:///a', source);
    expect(problems.map(({ kind }) => kind)).toEqual(['too-large']);
    expect(rangeOf(problems[0]!.span).start).toBe(
      source.indexOf(open, source.indexOf('x:')) + limit * open.length,
    );
    expect(valueOf(root!)).toEqual({ operations: [{ id: 'op20' }] });
  }
});

describe('a text that would take too long is rejected, with a location', () => {
  const deep = '['.repeat(20_000);
  const bomb =
    `a: &a [${'x, '.repeat(9)}x]\n` +
    'bcdefghi'
      .split('')
      .map(
        (c, i) =>
          `${c}: &${c} [${Array(10)
            .fill('*' + 'abcdefgh'[i])
            .join(', ')}]\n`,
      )
      .join('');
  test.each([
    ['nested brackets', `plan: ${deep}\n`],
    ['nested blocks', Array.from({ length: 3000 }, (_, i) => `${' '.repeat(i)}a:\n`).join('')],
    ['an anchor bomb', bomb],
    [
      'merge keys',
      `base: &b { x: 1 }\n${Array.from({ length: 4000 }, (_, i) => `k${i}: { <<: *b }\n`).join('')}`,
    ],
    ['many keys', Array.from({ length: 8000 }, (_, i) => `k${i}: 1\n`).join('')],
    ['a large file', 'x'.repeat(limits.text + 1)],
    ['five megabytes of nonsense', '{[}]:-&*"\' \n'.repeat(430_000)],
    ['null bytes', 'plan: \u0000\u0000\noperations: \u0000'],
    ['a byte order mark', '\ufeffplan: X\noperations: []\n'],
    ['only a mark', '\ufeff'],
    ['nothing', ''],
  ])('%s', (_, source) => {
    const { problems } = parse('file:///a', source);
    expect(problems.length).toBeLessThanOrEqual(limits.problems);
    for (const { span, message } of problems) {
      const { start, end } = rangeOf(span);
      expect(start).toBeGreaterThanOrEqual(0);
      expect(end).toBeGreaterThanOrEqual(start);
      expect(end).toBeLessThanOrEqual(source.length);
      expect(message).not.toBe('');
    }
  });
});

describe('anchors on keys', () => {
  // YAML 1.2.2, 6.9.2: any node may be anchored, a key as well; 7.1: an alias stands for the node that was anchored.
  test.each([
    ['a key of a block map', 'plan: X\n&k zone: roof\nname: *k\n'],
    ['a key of a flow map', 'plan: X\nlist: [{ &k zone: roof }, { name: *k }]\n'],
    ['a key that is a number', '&k 12: a\nname: *k\n'],
    ['a key and its value', '&k zone: &v roof\nname: *k\nother: *v\n'],
    ['the alias in the value of its key', '&k zone: *k\n'],
  ])('are read as the YAML library reads them: %s', (_, text) => {
    expect(valueIn(text)).toEqual(parseYaml(text));
    expect(parse('file:///a', text).problems).toEqual([]);
  });

  test('an alias inside its own anchor is told, not read as nothing', () => {
    const text = 'plan: X\nlist: &l [a, *l]\n';
    const { problems } = parse('file:///a', text);
    expect(
      problems.map(({ kind, span }) => [kind, text.slice(rangeOf(span).start, rangeOf(span).end)]),
    ).toEqual([['not-yaml', '*l']]);
    expect(String(problems[0]!.message)).toContain(
      'The alias *l stands inside the part that its anchor names',
    );
  });
});

test('an entry that starts with a bare colon is not lost', () => {
  const text = 'plan: X\nvehicle:\n    Kestrel\n    : [a]\nlabour: []\n';
  expect(valueIn(text)).toEqual({ plan: 'X', vehicle: 'Kestrel', null: ['a'], labour: [] });
  // The same after an edit within the section.
  const before = parse('file:///a', text.replace(': [a]', 'b [a]'));
  const { root } = parse('file:///a', text, before);
  expect(root && valueOf(root)).toEqual(valueIn(text));
});

describe('a merge key', () => {
  test.each([
    ['of a list', '{ id: op10, do: inspect, <<: [hv] }', '<<'],
    ['of a text', '{ id: op10, do: inspect, "<<": hv }', '"<<"'],
    ['of an empty list', '{ id: op10, do: inspect, <<: [] }', '<<'],
    ['of nothing', '{ id: op10, do: inspect, <<: }', '<<'],
  ])('%s adds nothing, which is told', (_, step, key) => {
    const text = `operations:\n  - ${step}\n  - { id: op20, do: grind }\n`;
    const { root, problems } = parse('file:///a', text);
    const told = problems.map(({ kind, span, contained }) => [
      kind,
      text.slice(rangeOf(span).start, rangeOf(span).end),
      contained,
    ]);
    expect(told).toEqual([['not-yaml', key, true]]);
    expect((valueOf(root as AnyNode) as { operations: unknown[] }).operations).toHaveLength(2);
  });

  test('of a group, or of a list of groups, is none to tell of', () => {
    const text =
      'x-a: &a { zone: roof }\noperations:\n  - { id: op10, <<: *a }\n  - { id: op20, <<: [*a] }\n';
    expect(parse('file:///a', text).problems).toEqual([]);
  });
});

describe('a hidden character that looks like the end of a line', () => {
  const hidden = ['\r', '\0', '\v', '\f', '\u0085', '\u2028', '\u2029'];

  test.each([
    ['behind a remark', '  - { id: op10, do: consult } # look$  - { id: op20, do: grind }'],
    ['before another remark', '  - { id: op10, do: consult } # look$  # zone: roof'],
    ['in a block entry', '  - id: op10\n    do: disconnect # look$    connectors: [hv]'],
    ['in an unquoted text', '  - id: op10\n    note: look$    "zone" : roof'],
    ['behind the key of a section', '# look$operations:'],
  ])('before what reads like an entry is told: %s', (_, entry) => {
    for (const sign of hidden) {
      const text = `plan: A\noperations:\n${entry.replace('$', sign)}\n  - { id: op30, do: sand }\nlabour: []\n`;
      const told = (result: ReturnType<typeof parse>): unknown =>
        result.problems
          .filter(({ message }) => String(message).includes('There is a hidden character'))
          .map(({ span, contained }) => [text.slice(rangeOf(span).start, rangeOf(span).end), contained]);
      expect(told(parse('file:///a', text)), JSON.stringify(text)).toEqual([[sign, true]]);
      // The same after an edit.
      const before = parse('file:///a', text.replace(sign, ' '));
      expect(told(parse('file:///a', text, before)), JSON.stringify(text)).toEqual([[sign, true]]);
      const after = parse('file:///a', text.replace(sign, ' '), parse('file:///a', text));
      expect(told(after)).toEqual([]);
    }
  });

  test('in a text that goes on as prose is none to tell of', () => {
    for (const sign of hidden.slice(2)) {
      const text = `plan: A\noperations:\n  - { id: op10, note: "look${sign}at it" } # and${sign}over\n`;
      expect(parse('file:///a', text).problems).toEqual([]);
    }
  });
});
