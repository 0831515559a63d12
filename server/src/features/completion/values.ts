import { splitQuantity, unitsOf } from '../../document/quantity.ts';
import { documentWords } from '../../document/kind.ts';
import { rangeOf } from '../../text/span.ts';
import { owedLabour } from '../../costing/owed.ts';
import { say } from '../../language/phrase.ts';
import { symbolAt } from '../../plan/symbols.ts';
import { symbolWords } from '../../plan/symbols.ts';
import { describeId, scalarText } from '../describe.ts';
import { entriesIn, entryBefore, textOf } from '../names.ts';
import { allows, schemaAt } from '../schema.ts';
import type { Path, Schema } from '../schema.ts';
import { freshIds } from '../snippets.ts';
import type { Candidate, Place } from './candidate.ts';
import { isNew, namesOfKind } from './names.ts';

export function valuesAt(place: Place, path: Path, schema: Schema): Candidate[] {
  const where = path.filter((step) => step !== undefined).join('.');
  const known = knownElsewhere(place, where);
  if (known) return known;
  const symbol = symbolAt(place.document.kind, where);
  if (symbol && !isNew(place, symbol))
    return [...namesOfKind(place, symbol.kind, where), ...parameterNames(place, path)];
  if (schema['x-quantity']) return [...unitsAt(place, schema['x-quantity']), ...parameterNames(place, path)];
  const quoted = (value: unknown): string => (place.cursor.quoted ? String(value) : scalarText(value));
  if (schema.enum) {
    const values = schema.enum.filter(
      (value, i) => schema.enum!.findIndex((other) => String(other) === String(value)) === i,
    );
    return values.map((value) => ({ label: String(value), text: quoted(value), filter: quoted(value) }));
  }
  if (allows(schema, 'boolean')) return [{ label: 'true' }, { label: 'false' }];
  if (schema.format === 'date' && place.today !== undefined)
    return [{ label: place.today, kind: 'text', detail: say`today` }];
  if (where === 'operations.by' || where === 'measurements.by')
    return [...peopleNamed(place), ...parameterNames(place, path)];
  return [];
}

/** Values completed from elsewhere in the plan. */
function knownElsewhere(place: Place, where: string): Candidate[] | undefined {
  switch (where) {
    case 'uses':
      return filesToUse(place);
    case 'operations.id':
      return freshId(place);
    case 'labour.hours':
      return hoursOf(place);
    case 'labour.for':
      return unpaidFirst(place);
    case 'accepted.at':
      return [...namesOfKind(place, 'operation', where), ...namesOfKind(place, 'connector', where)];
    case 'plugward.sign-offs': {
      const roles = schemaAt('repair-plan', ['sign-offs', undefined, 'role'])?.enum ?? [];
      return roles.map((role) => ({ label: String(role) }));
    }
  }
  return undefined;
}

/** An id for a step at the cursor. */
export function freshId(place: Place): Candidate[] {
  const before = place.plan.steps.filter(
    ({ span }) => rangeOf(span).end < place.cursor.start && span.origin.uri === place.document.uri,
  );
  const above = before.at(-1);
  const [id] = freshIds(place.plan, above ? place.plan.indexInList(above) + 1 : 0, 1);
  return id === undefined ? [] : [{ label: id, kind: 'text', detail: say`the next free one` }];
}

function unpaidFirst(place: Place): Candidate[] {
  const owed = owedLabour(place.plan);
  const unpaid = new Map(owed.filter(({ written }) => written.length === 0).map((one) => [one.step.id, one]));
  const names = namesOfKind(place, 'operation', 'labour.for');
  return [
    ...names
      .filter(({ label }) => unpaid.has(label))
      .map((candidate) => ({ ...candidate, detail: say`${candidate.detail ?? ''}; no labour line yet` })),
    ...names.filter(({ label }) => !unpaid.has(label)),
  ];
}

function hoursOf(place: Place): Candidate[] {
  const step = place.cursor.siblings.get('for');
  const owed = owedLabour(place.plan).find((one) => one.step.id === step);
  const studied: Candidate[] =
    owed?.hours === undefined
      ? []
      : [{ label: String(owed.hours), kind: 'text', detail: say`the shop's own time for ${owed.task}` }];
  return [
    ...studied,
    { label: 'fill-in', kind: 'text', detail: say`a blank that someone must still fill in` },
  ];
}

function filesToUse(place: Place): Candidate[] {
  const { uri } = place.document;
  const folder = uri.slice(0, uri.lastIndexOf('/') + 1);
  const used = new Set(place.plan.scope.used.map((document) => document.uri));
  return place.workspace.uris
    .filter((other) => other !== uri && !used.has(other) && other.startsWith(folder))
    .flatMap((other) => {
      const kind = place.workspace.document(other)?.kind;
      if (!kind || kind === 'repair-plan') return [];
      return {
        label: `./${decodeURIComponent(other.slice(folder.length))}`,
        kind: 'file',
        detail: documentWords[kind],
      } satisfies Candidate;
    });
}

function peopleNamed(place: Place): Candidate[] {
  const people = new Set(
    [place.document, ...place.plan.scope.used].flatMap((document) =>
      entriesIn(document, 'operations').flatMap((step) => textOf(step, 'by') ?? []),
    ),
  );
  return [...people]
    .filter((name) => !name.startsWith('$'))
    .map((name) => ({ label: name, kind: 'text', text: scalarText(name), detail: say`does steps here` }));
}

/** A number is completed with its units; without a number nothing is proposed, least of all a rating. */
function unitsAt(place: Place, quantity: NonNullable<Schema['x-quantity']>): Candidate[] {
  const written = splitQuantity(place.cursor.typed);
  if (!written) return [];
  return unitsOf(quantity).map((unit) => ({
    label: `${written.digits} ${unit}`,
    kind: 'unit',
    detail: quantity,
    // The editor compares this with what is typed, blanks included.
    filter: `${place.cursor.typed.slice(0, place.cursor.typed.length - written.unit.length)}${unit}`,
  }));
}

/** `$name` of the procedure's own parameters. */
function parameterNames(place: Place, path: Path): Candidate[] {
  if (place.document.kind !== 'shop-procedure' || path[0] !== 'operations') return [];
  return [...place.plan.scope.names('parameter')].map((name) => ({
    label: `$${name}`,
    kind: 'name',
    symbol: 'parameter',
    detail: symbolWords.parameter,
    documentation: () => describeId(place.plan, 'parameter', name),
  }));
}

/** The value of a parameter, by the kind its procedure declares. */
export function fillingsOf(place: Place, name: string): Candidate[] {
  const step = entryBefore(place.document, 'operations', place.cursor.start);
  const procedure = place.plan.scope.procedures.get(textOf(step, 'follow') ?? '');
  const parameter =
    procedure && entriesIn(procedure, 'parameters').find((one) => textOf(one, 'name') === name);
  switch (textOf(parameter, 'kind')) {
    case 'person':
      return peopleNamed(place);
    case 'connectors':
      return namesOfKind(place, 'connector', '');
    case 'zone':
      return namesOfKind(place, 'zone', '');
    case 'consumables':
      return namesOfKind(place, 'consumable', '');
    case 'time':
      return unitsAt(place, 'time');
    case 'temperature':
      return unitsAt(place, 'temperature');
    case 'voltage':
      return unitsAt(place, 'voltage');
    default:
      return [];
  }
}
