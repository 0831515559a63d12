import { spanOfMistake } from '../../../document/validate.ts';
import { nearest } from '../../../base/nearest.ts';
import { keysOf } from '../../../document/node.ts';
import { rangeOf } from '../../../text/span.ts';
import { say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { everyKind } from '../../finding.ts';

export const keyUnknown: FindingRule = {
  id: 'key-unknown',
  title: say`A key the language does not have`,
  severity: 'error',
  means: say`A line starts with a word that means nothing at this place.`,
  why: say`It is ignored: what it says is neither checked nor done.`,
  whatToDo: say`Correct the word, or move the line to where it belongs. Put your own notes under a top-level key that starts with \`x-\`.`,
  source: say`Rule of the plan language (JSON Schema of the document).`,
  kinds: everyKind,
  ground: 'text',
  example: {
    wrong: `operations:
  - { id: op20, do: grind, zones: quarter-left }
`,
    right: `operations:
  - { id: op20, do: grind, zone: quarter-left }
`,
  },
  *check({ document }) {
    for (const mistake of document.mistakes) {
      const key = mistake.params['additionalProperty'];
      if (typeof key !== 'string') continue;
      const known = Object.keys((mistake.schema['properties'] as object | undefined) ?? {});
      const present = keysOf(mistake.node);
      const meant = nearest(
        key,
        known.filter((name) => !present.has(name)),
      );
      const span = spanOfMistake(mistake);
      yield {
        at: span,
        message: say`\`${key}\` is not a key here and is ignored. ${meant ? say`Did you mean \`${meant}\`?` : say`Known here: ${known.slice(0, 12).join(', ')}${known.length > 12 ? ' …' : ''}.`}`,
        fixes: () =>
          meant
            ? [{ title: say`Change to ${meant}`, safe: true, edits: [{ ...rangeOf(span), text: meant }] }]
            : [],
      };
    }
  },
};
