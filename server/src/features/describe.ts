import { toSI, unitsOf } from '../document/quantity.ts';
import type { QuantityName } from '../document/quantity.ts';
import type { Kind } from '../document/kind.ts';
import { mapsIn } from '../document/node.ts';
import type { AnyNode } from '../document/node.ts';
import { rangeOf } from '../document/text.ts';
import type { Range } from '../document/text.ts';
import { findingById } from '../findings/registry.ts';
import { listed } from '../language/phrase.ts';
import { classRules } from '../plan/classes.ts';
import type { Plan } from '../plan/plan.ts';
import type { Quantity } from '../plan/read.ts';
import type { Connector, Consumable } from '../plan/scope.ts';
import type { SymbolKind } from '../plan/symbols.ts';
import type { Task } from '../plan/tasks.ts';
import { hazardWords } from '../plan/tasks.ts';
import type { Workspace } from '../workspace/workspace.ts';
import { caution } from './caution.ts';
import { escapeMarkdown } from './markdown.ts';
import { entriesIn, fileName, nameAt, textOf } from './names.ts';
import type { Name } from './names.ts';
import { placeAt } from './place.ts';
import { schemaAt } from './schema.ts';
import type { Path, Schema } from './schema.ts';

/** What a key means, what may stand there and an example, in Markdown; undefined for a key the language does not have. */
export function describeKey(kind: Kind, path: Path): string | undefined {
  const schema = schemaAt(kind, path);
  const key = path.at(-1);
  if (!schema?.description || key === undefined) return undefined;
  const parts = [`**${key}** · ${schema.description}`];
  if (schema.enum) parts.push(`One of: ${schema.enum.map((value) => `\`${String(value)}\``).join(', ')}.`);
  if (schema['x-quantity']) parts.push(`Units: ${unitsOf(schema['x-quantity']).join(', ')}.`);
  const example = schema.examples?.[0];
  if (example !== undefined) parts.push(`\`\`\`yaml\n${key}: ${flow(example, schema)}\n\`\`\``);
  return parts.join('\n\n');
}

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
export function inBothUnits(name: QuantityName, text: string): string {
  const si = toSI(name, text);
  if (si === undefined) return text;
  const written = text.trim();
  if (name === 'temperature') {
    const celsius = si - 273.15;
    return /°F$/.test(written)
      ? `${written} (${number(celsius)} °C)`
      : `${written} (${number((celsius * 9) / 5 + 32)} °F)`;
  }
  if (name === 'time' && /h$/.test(written)) return `${written} (${number(si / 60)} min)`;
  if (name === 'time' && /min$/.test(written) && si >= 3600) return `${written} (${number(si / 3600)} h)`;
  return written;
}

/** Names from a plan in a sentence. */
const names = (words: readonly string[]): string => String(listed(words.map(escapeMarkdown)));
const number = (value: number): string => String(Number(value.toFixed(1)));
const both = (name: QuantityName, quantity: Quantity): string => inBothUnits(name, quantity.text);

/** What a name means: what it is, its ratings, and where it is defined, in Markdown. */
export function describeId(plan: Plan, kind: SymbolKind, id: string): string | undefined {
  const { scope } = plan;
  const definition = scope.definition(kind, id);
  const place = definition?.span.origin.uri;
  const from =
    place !== undefined && place !== plan.document.uri
      ? `Defined in ${escapeMarkdown(fileName(place))}.`
      : undefined;
  const facts = factsOf(plan, kind, id);
  if (!facts) return undefined;
  return [`**${escapeMarkdown(id)}** · ${facts[0]!}`, ...facts.slice(1), from].filter(Boolean).join('\n\n');
}

/** The first says what it is; the rest are lines of their own. */
function factsOf(plan: Plan, kind: SymbolKind, id: string): string[] | undefined {
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
      return task && [`task: ${escapeMarkdown(String(task.doing))}.`, aboutTask(task)];
    }
    case 'zone': {
      if (!scope.zones.has(id)) return undefined;
      const beside = scope.zones.names.filter((other) => scope.zones.adjoin(id, other));
      return ['zone of the body.', `Dust, spray and sparks reach across to ${names(beside)}.`];
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
        (one) => one.get('name')?.value ?? [],
      );
      const steps = mapsIn(root.get('operations')).length;
      const title = root.get('title')?.value;
      return [
        `shop procedure${title ? `: ${escapeMarkdown(title)}` : ''}.`,
        `${steps} ${steps === 1 ? 'step' : 'steps'}${parameters.length ? `; a plan fills in ${names(parameters)}` : ''}.`,
      ];
    }
    case 'parameter':
      return aboutEntry(plan, kind, id);
    case 'finding': {
      const finding = findingById.get(id);
      return finding && [`finding: ${finding.title}.`, finding.means];
    }
  }
}

const text = (node: AnyNode | undefined): string | undefined =>
  node?.kind === 'scalar' && node.value !== null ? String(node.value) : undefined;

const covers: Readonly<Record<Connector['makerCover'], string>> = {
  'dummy-plug': "While it is open: the vehicle maker's dummy plug.",
  masking: 'While it is open: the vehicle maker allows masking.',
  'not-stated': 'The vehicle maker states no cover for it.',
};

function aboutConnector(connector: Connector): string[] {
  const { current, resistance, name, id, zone } = connector;
  const what = connector.class ? classRules[connector.class].words : 'connector of no stated class';
  const ratings = [
    current.steady && `steady ${both('current', current.steady)}`,
    current.peak &&
      `peak ${both('current', current.peak)}${current.peakTime ? ` for ${both('time', current.peakTime)}` : ''}`,
    resistance.asNew && `as new ${both('resistance', resistance.asNew)}`,
    resistance.limit && `limit ${both('resistance', resistance.limit)}`,
    connector.plating && `${connector.plating} contacts`,
    connector.cable && `cable ${both('area', connector.cable)}`,
    connector.temperatureClass && `rated to ${both('temperature', connector.temperatureClass)}`,
    connector.heatBudget && `heat budget ${both('power', connector.heatBudget)}`,
  ].filter(Boolean);
  return [
    `${what}${name === id ? '' : `, ${escapeMarkdown(name)}`}${zone === undefined ? '' : `, in ${escapeMarkdown(zone)}`}.`,
    ...(ratings.length ? [`${sentence(ratings.join(', '))}.`] : []),
    covers[connector.makerCover] + (connector.lock ? ' It has a lock of its own.' : ''),
  ];
}

const sentence = (words: string): string => words.charAt(0).toUpperCase() + words.slice(1);

const reaches = {
  zone: 'in its zone',
  beside: 'in its zone and those beside',
  everywhere: 'everywhere',
} as const;

/** "Raises dust and metal debris in its zone and those beside." */
export function aboutTask({ raises, reach, gate, owesLabour }: Task): string {
  const words = raises.map((hazard) => hazardWords[hazard]);
  return [
    words.length ? `Raises ${listed(words)} ${reaches[reach]}.` : 'Raises nothing.',
    gate ? 'Before it every connector must be closed and proven.' : '',
    owesLabour ? 'It owes a labour line.' : '',
  ]
    .filter(Boolean)
    .join(' ');
}

function aboutConsumable(consumable: Consumable, currency: string | undefined): string[] {
  const { nonConductive, highVisibility, tied, fits, charged, price, unit, name, id } = consumable;
  const qualities = [
    nonConductive && 'stated non-conductive',
    highVisibility && 'highly visible',
    tied && 'tied shut',
    fits.length > 0 && `made for ${names(fits)}`,
  ].filter((word) => word !== false);
  const money =
    price &&
    escapeMarkdown(`${String(price.value)}${currency ? ` ${currency}` : ''}${unit ? ` a ${unit}` : ''}`);
  return [
    `${consumable.kind.replaceAll('-', ' ')}${name === id ? '' : `, ${escapeMarkdown(name)}`}.`,
    qualities.length ? `${sentence(qualities.join(', '))}.` : 'Nobody states what it can do.',
    ...(charged ? (money ? [`${money}.`] : []) : ['Not charged on the estimate.']),
  ];
}

function aboutOperation(plan: Plan, id: string): string[] | undefined {
  const step = plan.steps.find((one) => one.id === id);
  if (!step) return undefined;
  const operation = plan.operation(id);
  const inside = plan.operations.filter(({ planStep }) => planStep === step);
  const title = step.follows
    ? `follows ${escapeMarkdown(step.follows.value)}, ${inside.length} ${inside.length === 1 ? 'step' : 'steps'}.`
    : `${escapeMarkdown(String(operation?.task?.doing ?? operation?.taskId ?? 'a step'))}.`;
  const above = plan.steps[plan.steps.indexOf(step) - 1];
  const waits = step.after?.map(({ value }) => value) ?? (above ? [above.id] : []);
  return [
    `operation: ${title}`,
    [
      operation?.connectors.length ? `On ${names(operation.connectors.map(({ value }) => value))}.` : '',
      operation?.zones.length ? `In ${names(operation.zones)}.` : '',
      waits.length ? `After ${names(waits)}.` : 'It waits for nothing.',
      operation?.by ? `By ${escapeMarkdown(operation.by.value)}.` : '',
      operation?.time ? `${sentence(both('time', operation.time))}.` : '',
    ]
      .filter(Boolean)
      .join(' '),
  ];
}

/** Names that are no more than what their entry says. */
function aboutEntry(plan: Plan, kind: 'source' | 'rate' | 'parameter', id: string): string[] | undefined {
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
        return [
          `labour rate, ${of('per-hour') ?? '?'}${currency ? ` ${escapeMarkdown(currency)}` : ''} an hour.`,
        ];
      }
      if (kind === 'parameter') {
        const preset = of('default');
        return [
          `parameter: ${of('kind') ?? 'anything'}${preset === undefined ? '' : `, ${preset} unless filled in`}.`,
          of('note') ?? '',
        ].filter(Boolean);
      }
      const rest = [
        of('publisher')?.replaceAll('-', ' '),
        of('edition') && `edition ${of('edition')!}`,
        of('consulted') && `consulted ${of('consulted')!}`,
        of('where'),
      ].filter(Boolean);
      return [
        `source: ${of('title') ?? 'untitled'}.`,
        rest.length ? `${sentence(rest.join(', '))}.` : '',
      ].filter(Boolean);
    }
  }
  return undefined;
}

/** Whether a name could lead a hand to a live part: a high-voltage connector or one of no stated class, a step on one. */
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

/** What stands under the cursor, key or name or quantity, in Markdown, and where exactly it stands. */
export function describeAt(
  workspace: Workspace,
  uri: string,
  offset: number,
): { markdown: string; range: Range } | undefined {
  const plan = workspace.plan(uri);
  if (!plan) return undefined;
  const name = nameAt(plan, offset);
  if (name) {
    const owner =
      'procedure' in name
        ? plan.scope.procedures.get(name.procedure)?.uri
        : 'home' in name
          ? name.home
          : undefined;
    const home = owner === undefined ? plan : workspace.plan(owner);
    const markdown = home && describeId(home, name.kind, name.id);
    if (markdown) {
      const [title, ...facts] = markdown.split('\n\n');
      // The caution stands above the facts: a hover is seldom read to its end.
      const parts = live(plan, name) ? [title, `*${caution}*`, ...facts] : [title, ...facts];
      return { markdown: parts.join('\n\n'), range: rangeOf(name.span) };
    }
  }
  const place = placeAt(plan.document, offset);
  if (!place?.entry) return undefined;
  const path = place.path.map((step) => (typeof step === 'number' ? undefined : step));
  const meaning = describeKey(plan.document.kind, path);
  if (place.onKey)
    return meaning === undefined ? undefined : { markdown: meaning, range: rangeOf(place.entry.keySpan) };
  const quantity = schemaAt(plan.document.kind, path)?.['x-quantity'];
  const written = text(place.node);
  if (!quantity || written === undefined || toSI(quantity, written) === undefined) return undefined;
  return {
    markdown: `**${inBothUnits(quantity, written)}**${meaning ? `\n\n${meaning}` : ''}`,
    range: rangeOf(place.node.span),
  };
}
