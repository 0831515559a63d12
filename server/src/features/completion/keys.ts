import { rangeOf } from '../../text/span.ts';
import { findings } from '../../findings/registry.ts';
import { fromTable, joined, say } from '../../language/phrase.ts';
import { symbolAt } from '../../plan/symbols.ts';
import { describeId, describeKey, stepsText } from '../describe.ts';
import { entriesIn, entryBefore, textOf } from '../names.ts';
import { allows, schemaAt } from '../schema.ts';
import type { Path, Schema } from '../schema.ts';
import { plainText, stepGroups } from '../snippets.ts';
import type { Candidate, Place } from './candidate.ts';
import { isNew } from './names.ts';
import { freshId, valuesAt } from './values.ts';

/** Keys whose values follow from what the plan says elsewhere. */
const whereKnown: ReadonlySet<string> = new Set([
  'uses',
  'operations.id',
  'operations.by',
  'measurements.by',
  'labour.hours',
  'labour.for',
  'accepted.at',
]);

/** A new item of a block list whose dash has not been typed. */
export function newItems(place: Place, path: Path): Candidate[] {
  const inner: Path = [...path, undefined];
  const schema = schemaAt(place.document.kind, inner);
  if (!schema) return [];
  const steps = stepsAt(place, inner, '- ');
  if (!allows(schema, 'object'))
    return valuesAt(place, inner, schema).map((candidate) => ({
      ...candidate,
      text: `- ${candidate.text ?? candidate.label}`,
    }));
  const required = schema.required ?? [];
  // Of keys that exclude each other the first: a step does something, unless it follows a procedure.
  const named = schema.properties?.['id'] && !required.includes('id') ? ['id'] : [];
  const keys = [
    ...named,
    ...required,
    ...(schema.oneOf?.[0]?.required ?? []).filter((key) => !required.includes(key)),
  ];
  const [id] = path.join() === 'operations' ? freshId(place) : [];
  const open = keys.filter((key) => id === undefined || key !== 'id');
  const fields = keys
    .map((key) => (open.includes(key) ? `${key}: \${${open.indexOf(key) + 1}}` : `${key}: ${id!.label}`))
    .join(', ');
  const name = path.at(-1)!;
  return [
    ...steps,
    {
      label: `- { ${keys.join(', ')} }`,
      kind: 'steps',
      text: `- { ${fields} }`,
      snippet: true,
      filter: name,
      opens:
        open[0] !== undefined &&
        opensAt(place, [...inner, open[0]], schemaAt(place.document.kind, [...inner, open[0]]) ?? {}),
      detail: say`a new entry of ${name}`,
      documentation: () => schema.description && fromTable(schema.description),
    },
  ];
}

export function keysAt(place: Place, path: Path, schema: Schema): Candidate[] {
  const { siblings, typed, start, end } = place.cursor;
  // The key that is being changed does not exclude itself.
  const own = place.workspace.text(place.document.uri)!.slice(start, end);
  const has = (key: string): boolean => siblings.has(key) && key !== own && key !== typed;
  const parameters = path.at(-1) === 'with' ? parametersToFill(place) : undefined;
  if (parameters) return parameters.filter(({ label }) => !has(label));
  if (path.join() === 'plugward,severities') return severitiesOf(place, has);
  const required = new Set([
    ...(schema.required ?? []),
    ...(schema.oneOf ?? []).flatMap((choice) => choice.required ?? []),
  ]);
  const excluded = new Set(
    (schema.oneOf ?? []).some((choice) => choice.required?.some(has))
      ? (schema.oneOf ?? []).flatMap((choice) => choice.required ?? [])
      : [],
  );
  const keys = Object.keys(schema.properties ?? {}).filter((key) => !has(key) && !excluded.has(key));
  const ranked = [...keys.filter((key) => required.has(key)), ...keys.filter((key) => !required.has(key))];
  return ranked.map((key) => keyCandidate(place, path, key, required.has(key)));
}

function keyCandidate(place: Place, path: Path, key: string, required: boolean): Candidate {
  const inner = [...path, key];
  const schema = schemaAt(place.document.kind, inner) ?? {};
  const words = schema['x-quantity'] ?? (schema.enum ? schema.enum.map(String).join(', ') : '');
  const { text, snippet } = place.cursor.colon
    ? { text: key, snippet: false }
    : keyText(place, inner, schema);
  return {
    label: key,
    kind: 'key',
    text,
    snippet,
    opens: !place.cursor.colon && opensAt(place, inner, schema),
    detail: required ? (words ? say`required; ${words}` : say`required`) : words,
    documentation: () => describeKey(place.document.kind, inner),
  };
}

/** Whether anything is proposed behind a key; numbers and free text are the writer's own. */
function opensAt(place: Place, path: Path, schema: Schema): boolean {
  if (allows(schema, 'object') || allows(schema, 'array')) return true;
  if (schema.enum !== undefined || allows(schema, 'boolean') || schema.format === 'date') return true;
  const where = path.filter((step) => step !== undefined).join('.');
  if (whereKnown.has(where)) return true;
  const symbol = symbolAt(place.document.kind, where);
  return symbol !== undefined && !isNew(place, symbol);
}

function keyText(place: Place, path: Path, schema: Schema): { text: string; snippet: boolean } {
  const key = path.at(-1)!;
  const { flow: inBraces, column } = place.cursor;
  const many = allows(schema, 'array');
  const pad = ' '.repeat(column);
  const required = schema.required ?? [];
  if (allows(schema, 'object')) {
    if (inBraces || required.length === 0) return { text: `${key}: { $1 }`, snippet: true };
    const lines = required.map((one, i) => `\n${pad}  ${one}: $${i + 1}`);
    return { text: `${key}:${lines.join('')}`, snippet: true };
  }
  if (!many) return { text: `${key}: `, snippet: false };
  if (inBraces || allows(schema, 'string')) return { text: `${key}: [$1]`, snippet: true };
  // Without a dash: whoever types it by habit has one, and what is proposed there brings its own.
  return { text: `${key}:\n${pad}  `, snippet: false };
}

function severitiesOf(place: Place, has: (key: string) => boolean): Candidate[] {
  return findings
    .filter(({ id }) => !has(id))
    .map(({ id, title, page }) => ({
      label: id,
      kind: 'name',
      symbol: 'finding',
      text: place.cursor.colon ? id : `${id}: \${1|error,warning,information,off|}`,
      snippet: !place.cursor.colon,
      detail: title,
      documentation: () => page().means,
    }));
}

function parametersToFill(place: Place): Candidate[] | undefined {
  const step = entryBefore(place.document, 'operations', place.cursor.start);
  const procedure = place.plan.scope.procedures.get(textOf(step, 'follow') ?? '');
  const home = procedure && place.workspace.plan(procedure.uri);
  if (!procedure || !home) return undefined;
  return entriesIn(procedure, 'parameters').flatMap((parameter) => {
    const name = textOf(parameter, 'name');
    if (name === undefined) return [];
    const preset = textOf(parameter, 'default');
    const kind = textOf(parameter, 'kind') ?? '';
    return {
      label: name,
      kind: 'name',
      symbol: 'parameter',
      text: place.cursor.colon ? name : `${name}: `,
      detail: preset === undefined ? say`${kind}; required` : say`${kind}; ${preset} unless filled in`,
      documentation: () => describeId(home, 'parameter', name),
    } satisfies Candidate;
  });
}

export function stepsAt(place: Place, path: Path, dash: string): Candidate[] {
  if (path.join() !== 'operations,' || place.document.kind !== 'repair-plan' || place.cursor.flow) return [];
  const position = place.plan.steps.filter(
    ({ node }) => rangeOf(node.span).start < place.cursor.start && rangeOf(node.span).end < place.cursor.end,
  ).length;
  const above = place.plan.steps[position - 1];
  const at = above ? place.plan.indexInList(above) : -1;
  const between = `\n${' '.repeat(place.cursor.dash)}- `;
  return stepGroups(place.plan, at + 1).map(({ label, steps, why }) => ({
    label: label.in(place.language),
    kind: 'steps',
    text: dash + steps.join(between),
    snippet: true,
    detail: stepsText(steps.length),
    documentation: () =>
      joined([why, `\n\n\`\`\`yaml\n${plainText(steps.map((step) => `- ${step}`).join('\n'), '…')}\n\`\`\``]),
  }));
}
