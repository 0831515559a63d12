import { toSI, unitsOf } from '../document/quantity.ts';
import type { QuantityName } from '../document/quantity.ts';
import type { Kind } from '../document/kind.ts';
import { mapsIn } from '../document/node.ts';
import type { AnyNode } from '../document/node.ts';
import { rangeOf } from '../text/span.ts';
import type { Range } from '../text/span.ts';
import { currentFindingId } from '../plan/tables/renamed-findings.ts';
import { findingById } from '../findings/registry.ts';
import {
  capital,
  localizedNumber,
  fromTable,
  inLanguage,
  joined,
  andList,
  deferred,
  say,
} from '../language/phrase.ts';
import type { Phrase, Value } from '../language/phrase.ts';
import { platingWords } from '../heat/contact.ts';
import { classRules } from '../plan/tables/classes.ts';
import type { Operation } from '../plan/operations.ts';
import type { Plan } from '../plan/plan.ts';
import type { Quantity } from '../plan/read.ts';
import type { Connector, Consumable } from '../plan/scope.ts';
import type { SymbolKind } from '../plan/symbols.ts';
import type { Task } from '../plan/tables/tasks.ts';
import { hazardWords } from '../plan/tables/tasks.ts';
import { cautionsFor } from '../report/print/cautions.ts';
import { consumableText, publisherText } from '../report/print/words.ts';
import type { Workspace } from '../workspace/workspace.ts';
import { caution } from './caution.ts';
import { escapeMarkdown } from './markdown.ts';
import { fileName } from '../base/file-name.ts';
import { entriesIn, nameAt, textOf } from './names.ts';
import type { Name } from './names.ts';
import { placeAt } from './place.ts';
import { schemaAt } from './schema.ts';
import type { Path, Schema } from './schema.ts';

/** The meaning of a key, its allowed values and an example, in Markdown; `undefined` for an unknown key. */
export function describeKey(kind: Kind, path: Path): Phrase | undefined {
  const schema = schemaAt(kind, path);
  const key = path.at(-1);
  if (!schema?.description || key === undefined) return undefined;
  const parts: Phrase[] = [say`**${key}** · ${fromTable(schema.description)}`];
  if (schema.enum) {
    parts.push(say`One of: ${schema.enum.map((value) => `\`${String(value)}\``).join(', ')}.`);
  }
  if (schema['x-quantity']) parts.push(say`Units: ${unitsOf(schema['x-quantity']).join(', ')}.`);
  const example = schema.examples?.[0];
  const block = example !== undefined && `\`\`\`yaml\n${key}: ${flow(example, schema)}\n\`\`\``;
  return paragraphs([...parts, ...(block === false ? [] : [block])]);
}

const paragraphs = (parts: readonly Value[]): Phrase => joined(parts, '\n\n');

/** A value as a plan writes it on one line. */
function flow(value: unknown, schema: Schema = {}): string {
  if (Array.isArray(value)) return `[${value.map((one) => flow(one)).join(', ')}]`;
  if (value !== null && typeof value === 'object')
    return `{ ${Object.entries(value)
      .map(([key, one]) => `${key}: ${flow(one)}`)
      .join(', ')} }`;
  return scalarText(value, schema);
}

/** A scalar as YAML writes it: quoted where it would be read as something else. */
export function scalarText(value: unknown, schema: Schema = {}): string {
  if (typeof value !== 'string') return String(value);
  const asNumber =
    value.trim() !== '' && Number.isFinite(Number(value)) && schema['x-quantity'] === undefined;
  const asWord = /^(true|false|null|~|)$/i.test(value);
  const asSign = /^[-?:,[\]{}#&*!|>'"%@`]|: | #|[,[\]{}]|:$/.test(value);
  return asNumber || asWord || asSign ? `'${value.replaceAll("'", "''")}'` : value;
}

/** A quantity as written, and in the unit that others in the trade use. */
export function inBothUnits(name: QuantityName, text: string): Value {
  const si = toSI(name, text);
  if (si === undefined) return text;
  const written = text.trim().replace(/\s+/g, ' ');
  const other = (value: number, unit: string): Phrase => say`${written} (${number(value)} ${unit})`;
  if (name === 'temperature') {
    const celsius = si - 273.15;
    return /°F$/.test(written) ? other(celsius, '°C') : other((celsius * 9) / 5 + 32, '°F');
  }
  if (name === 'time' && /h$/.test(written)) return other(si / 60, 'min');
  if (name === 'time' && /min$/.test(written) && si >= 3600) return other(si / 3600, 'h');
  return written;
}

/** Names from a plan in a sentence. */
const names = (words: readonly string[]): Phrase => andList(words.map(escapeMarkdown));
const number = (value: number): Phrase => localizedNumber(String(Number(value.toFixed(1))));
const both = (name: QuantityName, quantity: Quantity): Value => inBothUnits(name, quantity.text);

/** What a name means: what it is, its ratings, and where it is defined, in Markdown. */
export function describeId(plan: Plan, kind: SymbolKind, id: string): Phrase | undefined {
  const parts = partsOf(plan, kind, id);
  return parts && paragraphs(parts);
}

function partsOf(plan: Plan, kind: SymbolKind, id: string): readonly [Phrase, ...Phrase[]] | undefined {
  const { scope } = plan;
  const definition = scope.definition(kind, id);
  const place = definition?.span.origin.uri;
  const facts = factsOf(plan, kind, id);
  if (!facts) return undefined;
  const [first, ...rest] = facts;
  const elsewhere = place !== undefined && place !== plan.document.uri;
  return [
    say`**${escapeMarkdown(id)}** · ${first}`,
    ...rest,
    ...(elsewhere ? [say`Defined in ${escapeMarkdown(fileName(place))}.`] : []),
  ];
}

type DescriptionLines = readonly [Phrase, ...Phrase[]];

/** The first item says what it is; each of the others becomes a line. */
function factsOf(plan: Plan, kind: SymbolKind, id: string): DescriptionLines | undefined {
  const { scope } = plan;
  switch (kind) {
    case 'connector': {
      const connector = scope.connectors.get(id);
      return connector && aboutConnector(connector);
    }
    case 'operation':
      return aboutOperation(plan, id);
    case 'task': {
      const task = scope.tasks.get(id);
      if (!task && scope.procedures.has(id)) return factsOf(plan, 'procedure', id);
      return task && [say`task: ${escaped(task.doing)}.`, aboutTask(task)];
    }
    case 'zone': {
      if (!scope.zones.has(id)) return undefined;
      const beside = scope.zones.names.filter((other) => scope.zones.adjoin(id, other));
      return [say`zone of the body.`, say`Dust, spray and sparks reach across to ${names(beside)}.`];
    }
    case 'consumable': {
      const consumable = scope.consumables.get(id);
      return consumable && aboutConsumable(consumable, text(scope.rateSheet?.entry('currency')?.value));
    }
    case 'source':
    case 'rate':
      return aboutEntry(plan, kind, id);
    case 'procedure': {
      const root = scope.procedures.get(id)?.root;
      if (!root) return undefined;
      const parameters = mapsIn<{ name: string }>(root.get('parameters')).flatMap(
        (mapNode) => mapNode.get('name')?.value ?? [],
      );
      const steps = stepsText(mapsIn(root.get('operations')).length);
      const title = root.get('title')?.value;
      return [
        title ? say`shop procedure: ${escapeMarkdown(title)}.` : say`shop procedure.`,
        parameters.length ? say`${steps}; a plan fills in ${names(parameters)}.` : say`${steps}.`,
      ];
    }
    case 'parameter':
      return aboutEntry(plan, kind, id);
    case 'finding': {
      const finding = findingById.get(currentFindingId(id));
      return finding && [say`finding: ${finding.title}.`, finding.page().means];
    }
  }
}

/** "2 steps". */
export const stepsText = (count: number): Phrase => (count === 1 ? say`1 step` : say`${count} steps`);

/** What a shop may have named itself. */
const escaped = (value: Value): Value =>
  typeof value === 'string'
    ? escapeMarkdown(value)
    : deferred((language) => escapeMarkdown(inLanguage(value, language)));

const text = (node: AnyNode | undefined): string | undefined =>
  node?.kind === 'scalar' && node.value !== null ? String(node.value) : undefined;

const covers: Readonly<Record<Connector['makerCover'], Phrase>> = {
  'dummy-plug': say`While it is open: the vehicle maker's dummy plug.`,
  masking: say`While it is open: the vehicle maker allows masking.`,
  'not-stated': say`The vehicle maker specifies no cover for it.`,
};

function aboutConnector(connector: Connector): DescriptionLines {
  const { current, resistance, name, id, zone, plating } = connector;
  const what = connector.class ? classRules[connector.class].words : say`connector of no stated class`;
  const named = name === id ? what : say`${what}, ${escapeMarkdown(name)}`;
  const peak = current.peak && both('current', current.peak);
  const ratings = [
    current.steady && say`steady ${both('current', current.steady)}`,
    peak && (current.peakTime ? say`peak ${peak} for ${both('time', current.peakTime)}` : say`peak ${peak}`),
    resistance.asNew && say`as new ${both('resistance', resistance.asNew)}`,
    resistance.limit && say`limit ${both('resistance', resistance.limit)}`,
    plating && say`${platingWords[plating]} contacts`,
    connector.cable && say`cable ${both('area', connector.cable)}`,
    connector.temperatureClass && say`rated to ${both('temperature', connector.temperatureClass)}`,
    connector.heatBudget && say`heat budget ${both('power', connector.heatBudget)}`,
  ].filter((one) => one !== undefined);
  const cover = covers[connector.makerCover];
  return [
    zone === undefined ? say`${named}.` : say`${named}, in ${escapeMarkdown(zone)}.`,
    ...(ratings.length ? [sentence(ratings)] : []),
    connector.lock ? say`${cover} It has a lock of its own.` : cover,
  ];
}

/** "Steady 180 A, peak 480 A." */
const sentence = (parts: readonly Value[]): Phrase => say`${capital(joined(parts, ', '))}.`;

/** "Raises dust and metal debris in its zone and those beside." */
function aboutTask({ raises, reach, gate, owesLabour }: Task): Phrase {
  return joined(
    [
      raisesText(raises, reach),
      ...(gate ? [say`Before it, every connector must be closed and tested.`] : []),
      ...(owesLabour ? [say`It needs a labour line.`] : []),
    ],
    ' ',
  );
}

export function raisesText(raises: Task['raises'], reach: Task['reach']): Phrase {
  if (raises.length === 0) return say`Produces no dust or other hazard.`;
  const words = andList(raises.map((hazard) => hazardWords[hazard]));
  if (reach === 'zone') return say`Produces ${words} in its zone.`;
  return reach === 'beside'
    ? say`Produces ${words} in its zone and the adjoining ones.`
    : say`Produces ${words} everywhere.`;
}

function aboutConsumable(consumable: Consumable, currency: string | undefined): DescriptionLines {
  const { nonConductive, highVisibility, tied, fits, charged, price, unit, name, id } = consumable;
  const qualities = [
    nonConductive && say`stated non-conductive`,
    highVisibility && say`highly visible`,
    tied && say`tied shut`,
    fits.length > 0 && say`made for ${names(fits)}`,
  ].filter((word) => word !== false);
  const kind = escaped(consumableText(consumable.kind));
  const amount = price && escapeMarkdown(`${String(price.value)}${currency ? ` ${currency}` : ''}`);
  const money = amount && (unit ? say`${amount} a ${escapeMarkdown(unit)}.` : say`${amount}.`);
  return [
    name === id ? say`${kind}.` : say`${kind}, ${escapeMarkdown(name)}.`,
    qualities.length ? sentence(qualities) : say`Nobody states what it can do.`,
    ...(charged ? (money ? [money] : []) : [say`Not billed on the estimate.`]),
  ];
}

function aboutOperation(plan: Plan, id: string): DescriptionLines | undefined {
  const step = plan.steps.find((one) => one.id === id);
  if (!step) return undefined;
  const operation = plan.operation(id);
  const inside = plan.operations.filter(({ planStep }) => planStep === step);
  const title = step.follows
    ? say`follows ${escapeMarkdown(step.follows.value)}, ${stepsText(inside.length)}.`
    : say`${escaped(operation?.task?.doing ?? operation?.taskId ?? say`a step`)}.`;
  const above = plan.steps[plan.steps.indexOf(step) - 1];
  const waits = step.after?.map(({ value }) => value) ?? (above ? [above.id] : []);
  return [
    say`step: ${title}`,
    joined(
      [
        ...(operation?.connectors.length
          ? [say`On ${names(operation.connectors.map(({ value }) => value))}.`]
          : []),
        ...(operation?.zones.length ? [say`In ${names(operation.zones)}.`] : []),
        waits.length ? say`After ${names(waits)}.` : say`It waits for no other step.`,
        ...(operation?.by ? [say`By ${escapeMarkdown(operation.by.value)}.`] : []),
        ...(operation?.time ? [sentence([both('time', operation.time)])] : []),
      ],
      ' ',
    ),
    ...inside.slice(0, 1).flatMap((one) => (step.follows ? [] : cautionLines(plan, one))),
  ];
}

/** The cautions that the job card prints beside the step. */
const cautionLines = (plan: Plan, operation: Operation): readonly Phrase[] =>
  cautionsFor(plan, operation, escapeMarkdown).map(({ text: words }) => say`⚠ ${words}`);

/** The step whose task is named at this place. */
function stepAround({ operations }: Plan, { span }: Name): Operation | undefined {
  const { uri, start, end } = rangeOf(span);
  return operations.find(({ step, planStep }) => {
    const range = rangeOf(step.node.span);
    return step === planStep && range.uri === uri && range.start <= start && end <= range.end;
  });
}

/** Symbols described by their entry alone. */
function aboutEntry(
  plan: Plan,
  kind: 'source' | 'rate' | 'parameter',
  id: string,
): DescriptionLines | undefined {
  const section = { source: 'sources', rate: 'rates', parameter: 'parameters' }[kind];
  const key = kind === 'parameter' ? 'name' : 'id';
  for (const document of [plan.document, ...plan.scope.used]) {
    for (const entry of entriesIn(document, section)) {
      if (textOf(entry, key) !== id) continue;
      const of = (name: string): string | undefined => {
        const value = textOf(entry, name);
        return value === undefined ? undefined : escapeMarkdown(value);
      };
      if (kind === 'rate') {
        const currency = text(plan.scope.rateSheet?.entry('currency')?.value);
        const amount = of('per-hour') ?? '?';
        const money = currency ? `${amount} ${escapeMarkdown(currency)}` : amount;
        return [say`labour rate, ${money} an hour.`];
      }
      if (kind === 'parameter') {
        const preset = of('default');
        const what = of('kind') ?? say`anything`;
        const note = of('note');
        return [
          preset === undefined
            ? say`parameter: ${what}.`
            : say`parameter: ${what}, ${preset} unless filled in.`,
          ...(note === undefined || note === '' ? [] : [say`${note}`]),
        ];
      }
      const [edition, consulted, where] = [of('edition'), of('consulted'), of('where')];
      const publisher = textOf(entry, 'publisher');
      const rest: Value[] = [
        ...(publisher ? [escaped(publisherText(publisher))] : []),
        ...(edition ? [say`edition ${edition}`] : []),
        ...(consulted ? [say`consulted ${consulted}`] : []),
        ...(where ? [where] : []),
      ];
      return [say`source: ${of('title') ?? say`untitled`}.`, ...(rest.length ? [sentence(rest)] : [])];
    }
  }
  return undefined;
}

/**
 * Whether the name concerns a potentially live part: a connector of high-voltage or unstated class, or a step
 * on one.
 */
function live(plan: Plan, { kind, id }: Name): boolean {
  const hot = (connector: string): boolean => {
    const { class: stated } = plan.scope.connectors.get(connector) ?? {};
    return stated === undefined || stated === 'high-voltage-power' || stated === 'interlock';
  };
  if (kind === 'connector') return hot(id);
  if (kind !== 'operation') return false;
  return plan.operations.some(
    ({ planStep, connectors }) => planStep.id === id && connectors.some(({ value }) => hot(value)),
  );
}

/** The description at an offset, in Markdown, and the range it describes. */
export interface Described {
  readonly words: Phrase;
  readonly range: Range;
}

/** The key, name or quantity under the cursor. */
export function describeAt(workspace: Workspace, uri: string, offset: number): Described | undefined {
  const plan = workspace.plan(uri);
  if (!plan) return undefined;
  const name = nameAt(plan, offset);
  if (name) {
    const owner =
      'procedure' in name && name.procedure !== undefined
        ? plan.scope.procedures.get(name.procedure)?.uri
        : 'home' in name
          ? name.home
          : undefined;
    const home = owner === undefined ? plan : workspace.plan(owner);
    const parts = home && partsOf(home, name.kind, name.id);
    if (parts) {
      const [title, ...facts] = parts;
      // Put the caution first: few readers reach the end of a hover.
      const around = name.kind === 'task' ? stepAround(plan, name) : undefined;
      const careful = around ? cautionLines(plan, around) : [];
      const warned = live(plan, name) ? [title, say`*${caution}*`, ...facts] : [title, ...careful, ...facts];
      return { words: paragraphs(warned), range: rangeOf(name.span) };
    }
  }
  const place = placeAt(plan.document, offset);
  if (!place?.entry) return undefined;
  const path = place.path.map((step) => (typeof step === 'number' ? undefined : step));
  const meaning = describeKey(plan.document.kind, path);
  if (place.onKey) return meaning && { words: meaning, range: rangeOf(place.entry.keySpan) };
  const quantity = schemaAt(plan.document.kind, path)?.['x-quantity'];
  const written = text(place.node);
  if (!quantity || written === undefined || toSI(quantity, written) === undefined) return undefined;
  const figures = say`**${inBothUnits(quantity, written)}**`;
  return { words: paragraphs(meaning ? [figures, meaning] : [figures]), range: rangeOf(place.node.span) };
}
