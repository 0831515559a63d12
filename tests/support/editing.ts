import fc from 'fast-check';

/** What a hand does to a text. Weighted towards small edits; some of them damage the structure on purpose. */
type Act =
  | { readonly act: 'type'; readonly at: number; readonly text: string }
  | { readonly act: 'delete'; readonly at: number; readonly length: number }
  | { readonly act: 'delete-line' | 'duplicate-line' | 'swap-lines'; readonly at: number }
  | { readonly act: 'write'; readonly at: number; readonly text: string; readonly line: boolean }
  | { readonly act: 'undo' };

const pieces = [
  'a',
  '7',
  ' ',
  '\n',
  '\n  ',
  '  - ',
  '- { id: x, do: grind }\n',
  ', ',
  ': ',
  '#',
  '{',
  '}',
  '[',
  ']',
  '"',
  "'",
  '\t',
  '&a',
  '*a',
  '|',
  '>',
  '---\n',
  'labour:\n',
  'operations:\n',
  '\r\n',
  'µΩ',
  '🔧',
  '\u200f',
  '  - { id: new-op, do: cover, connectors: [inverter-dc], using: dummy-plug }\n',
];
/** Written key by key: most of what stands there meanwhile is half a text. */
const phrases = [
  'note: mind the harness',
  ', note: mind',
  'beside',
  '1.5',
  '  - { id: typed, do: cover, connectors: [inverter-dc], after: [op20] }',
  '  - id: typed\n    do: grind\n    zone: rear-floor # by hand',
  '  - { for: op20, task: disconnect, hours: 0.2 }',
  '# a remark',
];
const act: fc.Arbitrary<Act> = fc.oneof(
  {
    weight: 6,
    arbitrary: fc.record({
      act: fc.constant('type' as const),
      at: fc.nat(),
      text: fc.constantFrom(...pieces),
    }),
  },
  {
    weight: 4,
    arbitrary: fc.record({
      act: fc.constant('delete' as const),
      at: fc.nat(),
      length: fc.integer({ min: 1, max: 12 }),
    }),
  },
  {
    weight: 2,
    arbitrary: fc.record({
      act: fc.constantFrom('delete-line' as const, 'duplicate-line' as const, 'swap-lines' as const),
      at: fc.nat(),
    }),
  },
  {
    weight: 2,
    arbitrary: fc.record({
      act: fc.constant('write' as const),
      at: fc.nat(),
      text: fc.constantFrom(...phrases),
      line: fc.boolean(),
    }),
  },
  { weight: 5, arbitrary: fc.constant({ act: 'undo' as const }) },
);

function* write(text: string, { at, text: phrase, line }: Extract<Act, { act: 'write' }>): Generator<string> {
  const anywhere = at % (text.length + 1);
  const end = text.indexOf('\n', anywhere);
  const from = line && end >= 0 ? end : anywhere;
  const keys = line ? `\n${phrase}` : phrase;
  for (let i = 1; i <= keys.length; i++) yield text.slice(0, from) + keys.slice(0, i) + text.slice(from);
}

function apply(text: string, { ...one }: Exclude<Act, { act: 'undo' | 'write' }>): string {
  if (one.act === 'type') {
    const at = one.at % (text.length + 1);
    return text.slice(0, at) + one.text + text.slice(at);
  }
  if (one.act === 'delete') {
    const at = one.at % (text.length + 1);
    return text.slice(0, at) + text.slice(at + one.length);
  }
  const lines = text.split('\n');
  const at = one.at % lines.length;
  if (one.act === 'delete-line') lines.splice(at, 1);
  else if (one.act === 'duplicate-line') lines.splice(at, 0, lines[at]!);
  else lines.splice(at, 2, ...lines.slice(at, at + 2).reverse());
  return lines.join('\n');
}

/** The texts that `count` random acts lead through, each from the one before; what is written comes key by key. Undo keeps them near the original. */
export function* editsOf(source: string, count: number, seed: number): Generator<string> {
  const history = [source];
  for (const one of fc.sample(act, { numRuns: count, seed })) {
    const text = history.at(-1)!;
    if (one.act === 'write') {
      let written = text;
      for (written of write(text, one)) yield written;
      history.push(written);
    } else if (one.act !== 'undo') history.push(apply(text, one));
    else if (history.length > 1) history.pop();
    yield history.at(-1)!;
    // A text that has drifted far from a plan tests little: start again from the original.
    if (history.length > 12) history.splice(1);
  }
}
