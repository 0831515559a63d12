import { createHash } from 'node:crypto';
import { billOf } from '../../server/src/costing/bill.ts';
import { owedLabour, owedMaterials } from '../../server/src/costing/owed.ts';
import { plannedSeconds } from '../../server/src/costing/planned.ts';
import type { Settings } from '../../server/src/features/check.ts';
import { find } from '../../server/src/features/check.ts';
import { heatTable } from '../../server/src/features/heat-table.ts';
import { estimateConnectorHeat } from '../../server/src/heat/connector-heat.ts';
import type { HeatEstimate } from '../../server/src/heat/estimate.ts';
import { heatVerdict } from '../../server/src/heat/verdict.ts';
import type { Operation } from '../../server/src/plan/operations.ts';
import type { Plan } from '../../server/src/plan/plan.ts';
import {
  insulationLimit,
  mayCarryHighVoltage,
  mayHaveHighVoltage,
  voltageMet,
} from '../../server/src/plan/high-voltage.ts';
import { vehicleFacts } from '../../server/src/plan/tables/effects.ts';
import type { VehicleFact } from '../../server/src/plan/tables/effects.ts';
import { cautionsFor } from '../../server/src/report/print/cautions.ts';
import { connectorStates } from '../../server/src/sequence/course.ts';
import { scheduleOf } from '../../server/src/sequence/critical-path.ts';
import { windowsOf } from '../../server/src/sequence/facts/exposure.ts';
import { vehicleVerdict } from '../../server/src/sequence/facts/timeline.ts';
import { knockedLooseIn, stillOpenIn } from '../../server/src/sequence/facts/use.ts';
import { sequenceOf } from '../../server/src/sequence/lives.ts';
import { measuringSteps, readingsIn } from '../../server/src/sequence/readings.ts';
import type { Range, Span } from '../../server/src/text/span.ts';
import { Workspace } from '../../server/src/workspace/workspace.ts';

/** What is told of a text: for each finding and for each other thing, all of it in words. */
export type Told = ReadonlyMap<string, string>;

/** How an error, a warning and a piece of information are marked. */
const marks = { error: '!', warning: '', information: '?' } as const;

/** All that is told of a file. */
export function toldOf(workspace: Workspace, uri: string, settings: Settings): Told {
  const told = new Map<string, string>();
  const note = (key: string, words: string): void =>
    void told.set(key, told.has(key) ? `${told.get(key)!}\n${words}` : words);
  const plan = workspace.plan(uri, settings);
  const words = new Words(workspace);
  const textAt = ({ start, end, uri: file }: Range): string =>
    workspace.text(file)?.slice(start, end) ?? file;
  for (const found of find(workspace, uri, settings)) {
    const { finding, severity, operation, connector, message, range, also = [], trace } = found.diagnosis;
    const key = [finding + marks[severity], operation, connector]
      .filter((part) => part !== undefined)
      .join(' ');
    note(key, [message, textAt(range), ...also].join('\n'));
    for (const one of trace) note(key, `${one.message} ${textAt(one.range)}`);
    for (const way of plan ? found.fixes(plan).flat() : []) {
      if (!way) continue;
      const edits = way.edits.map(({ text, ...place }) => [
        lineBefore(workspace, place),
        textAt(place),
        text,
      ]);
      note(`${finding} fixes`, JSON.stringify([key, String(way.title), way.safe, way.choice, edits]));
    }
  }
  if (!plan) return told;
  if (plan.document.kind === 'repair-plan' || plan.document.kind === 'shop-procedure')
    for (const [key, value] of Object.entries(workOf(plan))) note(`~${key}`, words.of(value));
  return told;
}

/** The pages of heat of all connectors. */
export function heatPagesOf(workspace: Workspace, uri: string, settings: Settings): string {
  const plan = workspace.plan(uri, settings);
  const connectors = [...(plan?.scope.connectors.values() ?? [])];
  return connectors.map((one) => String(heatTable(plan!, one, 'full'))).join('\n');
}

/** The beginning of the line before a place. */
function lineBefore(workspace: Workspace, { uri, start }: Range): string {
  const text = workspace.text(uri)!.slice(0, start);
  return text.slice(text.lastIndexOf('\n', text.length - 2) + 1).slice(0, 14);
}

/** What is worked out of a plan beside its findings. */
function workOf(plan: Plan): Record<string, unknown> {
  const sequence = sequenceOf(plan);
  const { operations } = plan;
  const connectors = [...plan.scope.connectors.values()];
  const circle = sequence.order.circle;
  const at = (list: readonly Operation[]): string => list.map(({ id }) => id).join(' ');
  const { byOperation, byConnector, byBasis, byRate, ...bill } = billOf(plan);
  const work: Record<string, unknown> = {
    bill: [bill, byOperation, byConnector, byBasis, byRate],
    owed: [owedLabour(plan), owedMaterials(plan), plan.labour.map((line) => plannedSeconds(plan, line))],
    heat: connectors.map((one) => `${one.id}: ${heatWords(estimateConnectorHeat(plan, one))}`),
    voltage: [
      connectors.map((one) => [one.id, mayCarryHighVoltage(plan, one), insulationLimit(plan, one)]),
      operations.map((one) => voltageMet(plan, one)),
    ],
    'high-voltage': mayHaveHighVoltage(plan),
    steps: operations,
  };
  if (circle) return { ...work, circle: at(circle) };
  const cautions = operations.map((one) => cautionsFor(plan, one).map(({ text }) => String(text)));
  const schedule = scheduleOf(plan);
  return {
    ...work,
    cautions: cautions.flat().join('\n'),
    order: operations.map(
      (one) => `${one.id}: ${at(operations.filter((other) => sequence.order.before(one, other)))}`,
    ),
    facts: vehicleFacts.map((fact) => [fact, ...operations.map((one) => unmetAt(plan, fact, one))]),
    lives: [
      [...sequence.lives.values()],
      at(sequence.gates),
      at(sequence.byHand),
      [...sequence.lives.values()].map((life) => windowsOf(plan, life)),
      connectors.map(({ id }) => measuringSteps(sequence, id, 'contact-resistance')),
    ],
    use: [stillOpenIn(plan), knockedLooseIn(plan)],
    readings: readingsIn(plan),
    times: schedule && [schedule, connectorStates(plan, schedule)],
  };
}

/** Why a fact is not certain at a step; empty where it is. */
function unmetAt(plan: Plan, fact: VehicleFact, step: Operation): string {
  const verdict = vehicleVerdict(plan, fact, step);
  if (verdict.met) return '';
  const { certain, culprit, culprits, candidates } = verdict;
  const ids = [culprits, candidates].map((list) => list.map(({ id }) => id).join(' '));
  return `${step.id} ${certain} ${culprit?.id} ${ids.join(' / ')}`;
}

/** Puts objects of the program into words: an operation by its id, a place by its text, a number to six digits. */
class Words {
  constructor(readonly workspace: Workspace) {}

  of(value: unknown, depth = 0): string {
    if (typeof value === 'number') return String(Number(value.toPrecision(6)));
    if (typeof value === 'function') return '';
    if (typeof value !== 'object' || value === null) return String(value);
    // Phrases and decimals.
    if ('in' in value || 'plus' in value) return String(value);
    if (Array.isArray(value)) return `[${value.map((one) => this.of(one, depth + 1)).join(', ')}]`;
    if (value instanceof Map || value instanceof Set) return this.of([...value], depth);
    if ('origin' in value && 'from' in value) {
      const { origin, from, to } = value as Span;
      return JSON.stringify(this.workspace.text(origin.uri)?.slice(origin.base + from, origin.base + to));
    }
    if ('span' in value && 'flow' in value) return this.of(value.span);
    if (depth > 2 && 'id' in value) return String(value.id);
    if (depth > 8) return '…';
    const entries = Object.entries(value).filter(([key, one]) => one !== undefined && key !== 'note');
    return `{${entries.map(([key, one]) => `${key}: ${this.of(one, depth + 1)}`).join(', ')}}`;
  }
}

const plain = new Words(new Workspace());
const estimates = new WeakMap<HeatEstimate, string>();
/** A heat estimate in words; the same estimate serves many variants. */
export function heatWords(heat: HeatEstimate): string {
  let words = estimates.get(heat);
  if (words === undefined) estimates.set(heat, (words = plain.of([heat, heatVerdict(heat)])));
  return words;
}

/** Four digits that stand for a text. */
export const digest = (text: string): string => createHash('sha256').update(text).digest('hex').slice(0, 4);

/** Whether a part of it is about a finding itself, not its fixes and not what else is worked out. */
const isFinding = (key: string): boolean => !key.startsWith('~') && !key.endsWith(' fixes');

const idOf = (key: string): string => key.split(' ')[0]!;

/** All of it in one line. */
export const summaryOf = (told: Told): string =>
  `${[...new Set([...told.keys()].filter(isFinding).map(idOf))].join(' ') || 'nothing'} #${digest([...told].flat().join('\n'))}`;

/** All of it in few words, with the findings of another that it lacks. */
export function sumOf(other: Told, told: Told): string {
  const [before, findings] = [other, told].map((one) => [...one.keys()].filter(isFinding));
  const lost = before!.filter((key) => !told.has(key)).map((key) => ` -${key}`);
  return `${findings!.length} findings${lost.join('')} #${digest([...told].flat().join('\n'))}`;
}

/** What is told of a text and not of another: `+` and `-` for findings, `~` for what is told otherwise; undefined for nothing. */
export function differenceOf(one: Told, other: Told): string | undefined {
  const findings: string[] = [];
  const fixes = new Set<string>();
  const rest: string[] = [];
  const differs: string[] = [];
  for (const key of new Set([...one.keys(), ...other.keys()])) {
    const [before, after] = [one.get(key), other.get(key)];
    if (before === after) continue;
    if (isFinding(key))
      findings.push(`${before === undefined ? '+' : after === undefined ? '-' : '~'}${key}`);
    else if (key.startsWith('~')) rest.push(key.slice(1));
    else fixes.add(key.split(' ')[0]!);
    // Only what differs, so that other words in the rest change no line.
    const [old, fresh] = [before, after].map((text) => text?.split('\n') ?? []);
    differs.push(
      ...old!.filter((line) => !fresh!.includes(line)),
      '',
      ...fresh!.filter((line) => !old!.includes(line)),
    );
  }
  if (differs.length === 0) return undefined;
  // That the fixes differ goes without saying where the finding does.
  const named = new Set(findings.map((key) => /^.([\w-]+)/.exec(key)![1]!));
  const parts = [
    ...findings,
    ...[...fixes].filter((id) => !named.has(id)).map((id) => `~fixes of ${id}`),
    // What else is worked out follows mostly from the same.
    ...(findings.length === 0 && rest.length > 0 ? [`~${rest.join()}`] : []),
  ];
  return `${parts.join(' ')} #${digest(differs.join('\n'))}`;
}
