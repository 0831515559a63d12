import { isMap, isScalar, isSeq, parseDocument } from 'yaml';
import type { Node } from 'yaml';
import { schemaAt } from '../../server/src/features/schema.ts';
import { kindOf } from '../../server/src/document/kind.ts';

/** One text for each syntax that a string could break out of. */
export const hostile: Readonly<Record<string, string>> = {
  'HTML and SVG': `"'></title></style></svg><script>alert(1)</script><img src=x onerror=alert(1)>&lt;`,
  'an element without brackets of its own': `" onmouseover="alert(1)" style="x:expression(1)`,
  Markdown:
    '[x](command:workbench.action.terminal.new) ![y](https://a.invalid/y.png) <https://a.invalid> `** | \\',
  'Markdown over lines': '\n\n# x\n\n[x]: command:evil\n\n```\n<b>\n',
  'a style sheet': `"}body{background:url(https://a.invalid/x)}@import 'x';/*`,
  'a formula': '=HYPERLINK("https://a.invalid";"x"),\r\n@SUM(1)',
  'a terminal': '\u001b]8;;https://a.invalid\u0007x\u001b[2J\u001b[31m\u009b31m\r\b\u0000',
  'the direction of reading': '\u202egnihtemos\u2066\u200f\u061c',
  'a workflow command': '%0A::error::x\n::set-output name=a::b\n##[error]x',
};

/** A sample with the same text in every place that takes any text, or in the names of everything as well. */
export function poisoned(
  name: string,
  text: string,
  poison: string,
  names: boolean,
): { text: string; places: number } {
  const kind = kindOf(name, text)!;
  const edits: { start: number; end: number }[] = [];
  const visit = (node: Node | null, path: readonly (string | undefined)[]): void => {
    if (isMap(node))
      for (const { key, value } of node.items)
        visit(value as Node, [...path, String((key as { value: string }).value)]);
    else if (isSeq(node)) for (const item of node.items) visit(item as Node, [...path, undefined]);
    else if (isScalar(node) && path[0] !== 'uses') {
      const { type, enum: choices, pattern, format, ...schema } = schemaAt(kind, path) ?? {};
      const free =
        [type].flat().includes('string') && !choices && !pattern && !format && !schema['x-quantity'];
      if (free || names) edits.push({ start: node.range![0], end: node.range![1] });
    }
  };
  visit(parseDocument(text).contents, []);
  let result = text;
  for (const { start, end } of edits.reverse())
    result = result.slice(0, start) + JSON.stringify(poison) + result.slice(end);
  return { text: result, places: edits.length };
}
