import { spanOfMistake } from '../../../document/validate.ts';
import { nearest } from '../../../base/nearest.ts';
import { keysOf } from '../../../document/node.ts';
import { rangeOf } from '../../../text/span.ts';
import { orList, say } from '../../../language/phrase.ts';
import type { Document } from '../../../document/document.ts';
import type { AnyNode } from '../../../document/node.ts';
import type { FindingRule } from '../../finding.ts';
import { everyKind } from '../../finding.ts';
import { readingsOfComma } from '../../support/units.ts';

export const keyUnknown: FindingRule = {
  id: 'key-unknown',
  title: say`A key the language does not have`,
  severity: 'error',
  page: () => ({
    means: say`A line starts with a word that means nothing at this place.`,
    why: say`It is ignored: what it says is neither checked nor done.`,
    whatToDo: say`Correct the word, or move the line to where it belongs. Put your own notes under a top-level key that starts with \`x-\`.`,
    source: say`Rule of the plan language (JSON Schema of the document).`,
    example: {
      wrong: `operations:
  - { id: op20, do: grind, zones: quarter-left }
`,
      right: `operations:
  - { id: op20, do: grind, zone: quarter-left }
`,
    },
  }),
  kinds: everyKind,
  ground: 'text',
  *check({ document }) {
    for (const mistake of document.mistakes) {
      const key = mistake.params['additionalProperty'];
      if (typeof key !== 'string') continue;
      const cut = cutByComma(document, mistake.node, key);
      if (cut === 'told') continue;
      if (cut) {
        const readings = readingsOfComma(cut.whole);
        if (readings) {
          yield {
            at: spanOfMistake(mistake),
            message: say`A comma ends \`${cut.key}\` before "${key}", and "${cut.whole}" may be a thousand or a decimal. Write ${orList(readings)}, whichever is meant.`,
            fixes: () =>
              readings.map((text) => ({
                title: say`Write ${text}`,
                safe: false,
                choice: true,
                edits: [{ uri: document.uri, start: cut.start, end: cut.end, text }],
              })),
          };
          continue;
        }
        yield {
          at: spanOfMistake(mistake),
          message: say`A comma ends \`${cut.key}\` before "${key}", because the text is not in quotes. ${cut.isNumber ? say`Write ${cut.text}.` : say`Put the whole text in quotes.`}`,
          fixes: () => [
            {
              title: cut.isNumber ? say`Write ${cut.text}` : say`Put the text of ${cut.key} in quotes`,
              safe: true,
              edits: [{ uri: document.uri, start: cut.start, end: cut.end, text: cut.text }],
            },
          ],
        };
        continue;
      }
      const known = Object.keys((mistake.schema['properties'] as object | undefined) ?? {});
      const present = keysOf(mistake.node);
      const meant = nearest(
        key,
        known.filter((name) => !present.has(name)),
      );
      const span = spanOfMistake(mistake);
      // A no-break space after the colon belongs to the key.
      const colon = key.includes(':') ? ': ' : '';
      yield {
        at: span,
        message: say`\`${key}\` is not a key here and is ignored. ${meant ? say`Did you mean \`${meant}\`?` : say`Known here: ${known.slice(0, 12).join(', ')}${known.length > 12 ? ' …' : ''}.`}`,
        fixes: () =>
          meant
            ? [
                {
                  title: say`Change to ${meant}`,
                  safe: true,
                  edits: [{ ...rangeOf(span), text: `${meant}${colon}` }],
                },
              ]
            : [],
      };
    }
  },
};

interface Cut {
  /** The key whose value the comma ends. */
  readonly key: string;
  readonly start: number;
  readonly end: number;
  /** The value as it stands, with what was cut off. */
  readonly whole: string;
  /** What was meant, as it is written. */
  readonly text: string;
  /** A decimal comma. */
  readonly isNumber: boolean;
}

/**
 * What an unquoted comma in braces has cut off from the value before it: a key without a colon. `told` where an earlier
 * part of the same value is told already.
 */
function cutByComma(document: Document, node: AnyNode, key: string): Cut | 'told' | undefined {
  if (node.kind !== 'map' || !node.flow) return undefined;
  const { entries } = node;
  const { text } = document;
  const isBare = (at: number): boolean => {
    const entry = entries[at];
    if (entry?.value.kind !== 'scalar' || entry.value.value !== null) return false;
    return !text.slice(rangeOf(entry.keySpan).start, rangeOf(entry.keySpan).end + 1).includes(':');
  };
  const at = entries.findIndex((entry) => entry.key === key);
  if (at < 1 || !isBare(at)) return undefined;
  const before = entries[at - 1]!;
  if (isBare(at - 1)) return at > 1 && cutByComma(document, node, before.key) ? 'told' : undefined;
  if (before.value.kind !== 'scalar' || before.value.value === null) return undefined;
  const { start } = rangeOf(before.value.span);
  if (/^["']/.test(text.slice(start, start + 1))) return undefined;
  let last = at;
  while (isBare(last + 1)) last++;
  const { end } = rangeOf(entries[last]!.keySpan);
  const whole = text.slice(start, end);
  const isNumber = /^-?\d+,\d+(\s*[^\s,\d][^\s,]*)?$/.test(whole);
  const meant = isNumber ? whole.replace(',', '.') : `'${whole.replaceAll("'", "''")}'`;
  return { key: before.key, start, end, whole, text: meant, isNumber };
}
