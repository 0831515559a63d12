import { own } from '../../../base/collections.ts';
import type { Document } from '../../../document/document.ts';
import { rewrite } from '../../../document/edits.ts';
import type { SchemaViolation } from '../../../document/validate.ts';
import { nearest } from '../../../base/nearest.ts';
import { orList, say } from '../../../language/phrase.ts';
import type { Phrase } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { everyKind } from '../../finding.ts';

const aboutKeys = new Set(['required', 'additionalProperties', 'oneOf']);

export const valueWrong: FindingRule = {
  id: 'value-wrong',
  title: say`A value the key cannot take`,
  severity: 'error',
  page: () => ({
    means: say`A value is of the wrong kind, is not one of the words the key knows, or is not written as the key asks.`,
    why: say`It is ignored, so what it was meant to say is not checked.`,
    whatToDo: say`Write it as the message shows.`,
    source: say`Rule of the plan language (JSON Schema of the document).`,
    example: {
      wrong: `operations:
  - { id: op30, do: cover, connectors: [inverter-dc], halves: two }
`,
      right: `operations:
  - { id: op30, do: cover, connectors: [inverter-dc], halves: both }
`,
    },
  }),
  kinds: everyKind,
  ground: 'text',
  *check({ document }) {
    for (const mistake of document.mistakes) {
      const { node, keyword } = mistake;
      if (aboutKeys.has(keyword)) continue;
      const isQuantity = mistake.schema['x-quantity'] !== undefined;
      const empty = node.kind === 'scalar' && node.value === null;
      if (isQuantity && node.kind === 'scalar' && !empty) continue;
      const meant = meantValue(mistake);
      yield {
        at: empty && mistake.entry ? mistake.entry.keySpan : node.span,
        // A section that is only begun, as in a new file, is not yet a mistake; that the file is unfinished is told.
        ...(empty && isSection(mistake) && !isMissed(document, mistake)
          ? { severity: 'information' as const }
          : {}),
        message: wording(mistake, meant),
        fixes: () =>
          meant
            ? [{ title: say`Write ${meant}`, safe: !claims(mistake), edits: [rewrite(node, meant)] }]
            : [],
      };
    }
  },
};

/** A word that a task of the shop's counts for: it makes something certain, and nobody has said that it is this. */
const claims = ({ path }: SchemaViolation): boolean => path[0] === 'tasks' && path.includes('makes');

const isSection = ({ path, schema }: SchemaViolation): boolean =>
  path.length === 1 && ['array', 'object'].includes(String(schema['type']));

/** Whether the steps rest on a section: without it their dangers are not told. */
function isMissed({ root }: Document, { path }: SchemaViolation): boolean {
  const steps = root?.entries.find(({ key }) => key === 'operations')?.value;
  return grounds.has(String(path[0])) && steps?.kind === 'list' && steps.items.length > 0;
}
const grounds: ReadonlySet<string> = new Set(['vehicle', 'uses', 'zones', 'connectors']);

function meantValue({ keyword, node, schema }: SchemaViolation): string | undefined {
  if (keyword !== 'enum' || node.kind !== 'scalar') return undefined;
  return nearest(String(node.value), (schema['enum'] as unknown[]).map(String));
}

function wording(mistake: SchemaViolation, meant: string | undefined): Phrase {
  const { keyword, node, schema, path } = mistake;
  const key = [...path].reverse().find((part) => typeof part === 'string') ?? 'this';
  const text = node.kind === 'scalar' ? String(node.value) : '';
  const example = sample(schema);
  if (node.kind === 'scalar' && node.value === null) {
    return typeof path.at(-1) === 'number'
      ? say`This entry of \`${key}\` is empty. Fill it in, or remove the dash.`
      : say`Nothing is written after \`${key}:\`.${example ? say` Write for example ${example}.` : ''}`;
  }
  if (keyword === 'enum') {
    const words = (schema['enum'] as unknown[]).map(String);
    return say`\`${key}\` cannot be "${text}". ${meant ? say`Did you mean ${meant}?` : say`It is one of ${orList([...new Set(words)])}.`}`;
  }
  if (keyword === 'type') {
    const kinds = [mistake.params['type']].flat().map((type) => own(kindWords, String(type)) ?? String(type));
    const is =
      node.kind === 'scalar' ? `"${text}"` : node.kind === 'list' ? say`a list` : say`a group of keys`;
    return say`\`${key}\` takes ${orList(kinds)}, not ${is}.${example ? say` Write for example ${example}.` : ''}`;
  }
  if (keyword === 'format')
    return say`\`${key}\`: "${text}" is not a calendar date. Write it year first, as in 2027-02-03.`;
  if (keyword === 'minimum')
    return say`\`${key}\`: ${text} is too small; it cannot be below ${String(mistake.params['limit'])}.`;
  if (keyword === 'minItems')
    return say`\`${key}\` has too few entries; it takes at least ${String(mistake.params['limit'])}.`;
  if (keyword === 'maxItems')
    return say`\`${key}\` has too many entries; it takes at most ${String(mistake.params['limit'])}.`;
  if (keyword === 'pattern' && String(schema['pattern']).startsWith('^[a-z][a-z0-9]*')) {
    return say`\`${key}\`: "${text}" is not an id. Begin with a letter from a to z, go on with such letters, digits and single hyphens, as in ${example ?? 'op20'}.`;
  }
  return say`\`${key}\`: "${text.slice(0, 60)}" is not in the right form.${example ? say` Write for example ${example}.` : ''}`;
}

const kindWords: Readonly<Record<string, Phrase>> = {
  string: say`text`,
  number: say`a number`,
  integer: say`a whole number`,
  boolean: say`true or false`,
  array: say`a list`,
  object: say`a group of keys`,
};

function sample(schema: Readonly<Record<string, unknown>>): string | undefined {
  const first = (schema['examples'] as unknown[] | undefined)?.[0];
  if (first === undefined) return undefined;
  return typeof first === 'object'
    ? `\`${JSON.stringify(first).replaceAll('"', '').replaceAll(',', ', ').replaceAll(':', ': ')}\``
    : `\`${String(first)}\``;
}
