/** What a plan takes from the shop's rate sheets; of two entries for the same thing the first counts. */
import { currentFindingId } from './tables/renamed-findings.ts';
import type { Document } from '../document/document.ts';
import { emptyList } from '../base/collections.ts';
import { mapsIn } from '../document/node.ts';
import type { Entry, ScalarNode } from '../document/node.ts';
import type { Span } from '../text/span.ts';
import { say } from '../language/phrase.ts';
import { readIds, readQuantity, readText } from './read.ts';
import type { Quantity } from './read.ts';
import type { ReportedSeverity } from './snapshot.ts';
import { alsoEnds, alsoMakes, effects } from './tables/effects.ts';
import type { FactId } from './tables/effects.ts';
import { builtInTasks, hazardReaches } from './tables/tasks.ts';
import type { Task } from './tables/tasks.ts';

export interface Consumable {
  readonly id: string;
  readonly name: string;
  readonly kind: string;
  readonly nonConductive: boolean;
  /** A sheet denies that it is non-conductive. */
  readonly conducts: boolean;
  readonly highVisibility: boolean;
  readonly tied: boolean;
  readonly fits: readonly string[];
  readonly charged: boolean;
  /** As written; money is read from its digits. */
  readonly price: ScalarNode<unknown> | undefined;
  readonly unit: string | undefined;
  readonly span: Span;
}

export interface StudiedTime {
  readonly task: string;
  /** Of the first connector where it is per connector; undefined where only classes of connectors have times. */
  readonly hours: number | undefined;
  /** Of each further connector; as many as of the first where it is not stated. */
  readonly further: number | undefined;
  readonly minimum: number | undefined;
  readonly overlaps: readonly Overlap[];
  /** Times that hold for connectors of some classes alone. */
  readonly byClass: ReadonlyMap<string, OneTime>;
  readonly per: 'operation' | 'connector';
  readonly rate: string | undefined;
  readonly basis: 'included' | 'not-included' | undefined;
  readonly reference: string | undefined;
}

/** One entry: of all classes of connectors, or of some. */
export type OneTime = Omit<StudiedTime, 'task' | 'byClass'>;

/** What a line takes from an entry beside its hours. An entry that leaves it out has that of the others. */
export type Terms = Pick<StudiedTime, 'rate' | 'basis' | 'reference'>;

/** The entry that holds for connectors of a class. */
export const timeFor = (time: StudiedTime, ofClass: string | undefined): OneTime =>
  time.byClass.get(ofClass ?? '') ?? time;

/** Hours that a time has in common with that of another task on the same connector. */
interface Overlap {
  readonly with: string;
  /** Of one connector. */
  readonly hours: number;
}

/** Somebody of the shop, and the work that the shop allows them. */
export interface Person {
  readonly id: string;
  /** Of `high-voltage`, `restraint`, `refrigerant`. */
  readonly may: ReadonlySet<string>;
  /** The last day on which it is valid, ISO 8601. */
  readonly until: string | undefined;
  /** A last day is written and cannot be read: nobody knows whether it is over. */
  readonly untilUnreadable: boolean;
  /** The last day of the test of this person's insulating gloves, ISO 8601. */
  readonly glovesUntil: string | undefined;
  readonly glovesUntilUnreadable: boolean;
  readonly span: Span;
}

/** What the shop's sheet says about checking. */
export interface Policy {
  readonly severities: ReadonlyMap<string, ReportedSeverity | 'off'>;
  readonly photos: readonly string[];
  /** Whether each line that claims not to be included must say why and cite a document. */
  readonly reasons: boolean;
  readonly signOffs: readonly string[];
  readonly sourcesKeptFor: Quantity | undefined;
}

/** Of two sheets that describe one consumable the first counts, and of what makes it safe what neither denies. */
export function readConsumables(sheets: readonly Document<'rate-sheet'>[]): Map<string, Consumable> {
  const found = new Map<string, Consumable>();
  for (const sheet of sheets) {
    for (const node of mapsIn(sheet.root?.get('consumables'))) {
      const id = node.get('id');
      const kind = node.get('kind')?.value;
      if (!id || kind === undefined) continue;
      const known = found.get(id.value);
      const fits = readIds(node.get('fits')).map(({ value }) => value);
      if (known) {
        found.set(id.value, {
          ...known,
          kind: known.kind === 'dummy-plug' ? kind : known.kind,
          fits: known.fits.length > 0 ? known.fits : fits,
          nonConductive: known.nonConductive && node.get('non-conductive')?.value !== false,
          conducts: known.conducts || node.get('non-conductive')?.value === false,
          highVisibility: known.highVisibility && node.get('high-visibility')?.value !== false,
          tied: known.tied && node.get('tied')?.value !== false,
        });
        continue;
      }
      found.set(id.value, {
        id: id.value,
        name: node.get('name')?.value ?? id.value,
        kind,
        nonConductive: node.get('non-conductive')?.value ?? false,
        conducts: node.get('non-conductive')?.value === false,
        highVisibility: node.get('high-visibility')?.value ?? false,
        tied: node.get('tied')?.value ?? false,
        fits,
        charged: node.get('charged')?.value ?? true,
        price: node.get('price'),
        unit: node.get('unit')?.value,
        span: id.span,
      });
    }
  }
  return found;
}

/**
 * A built-in task takes what a row says of it. Of two rows for one task of the shop's own, what either of them asks for counts, and
 * what one makes unless the other ends it.
 */
export function readTasks(sheets: readonly Document<'rate-sheet'>[]): Map<string, Task> {
  const tasks = new Map(builtInTasks);
  for (const sheet of sheets) {
    for (const node of mapsIn(sheet.root?.get('tasks'))) {
      const id = node.get('id')?.value;
      if (id === undefined) continue;
      const base = tasks.get(id);
      const makes = factsIn(node.get('makes'), base?.makes);
      // A task of the shop's own that an earlier row describes.
      const earlier = base && !builtInTasks.has(id) ? base : undefined;
      const needs = factsIn(node.get('needs'), base?.needs);
      const statesNeeds = node.get('needs') !== undefined;
      const reach = node.get('reach')?.value;
      const ends = withImplied(makes, factsIn(node.get('ends'), base?.ends));
      const [makesHere, endsHere] = [factsIn(node.get('makes')), factsIn(node.get('ends'))];
      const isDenied = (fact: FactId): boolean =>
        earlier !== undefined &&
        ((endsHere.includes(fact) && !makesHere.includes(fact)) ||
          (earlier.ends.includes(fact) &&
            !earlier.makes.includes(fact) &&
            !earlier.makes.some((made) => alsoEnds.makes[made]?.includes(fact))));
      const raises = node.get('raises')?.items.flatMap((item) => (item.rejectedBySchema ? [] : [item.value]));
      tasks.set(id, {
        id,
        doing: base?.doing ?? say`${id.replaceAll('-', ' ')}`,
        raises: [...new Set([...(earlier?.raises ?? []), ...(raises ?? base?.raises ?? [])])],
        reach: earlier ? furthest(earlier.reach, reach) : (reach ?? base?.reach ?? 'beside'),
        // What puts the vehicle under power is a gate, unless the row says otherwise.
        gate: (base?.gate ?? false) || (node.get('gate')?.value ?? ends.includes('not-powered')),
        owesLabour: node.get('owes-labour')?.value ?? base?.owesLabour ?? false,
        handsOn: base?.handsOn ?? true,
        // A shop's row adds to a built-in task and takes nothing away.
        needs,
        // That it needs nothing counts only if both rows say so.
        needsStated:
          earlier && needs.length === 0
            ? earlier.needsStated && statesNeeds
            : (base?.needsStated ?? false) || statesNeeds,
        saysHazards: (base?.saysHazards ?? false) || node.entry('raises') !== undefined,
        saysEffects:
          (base?.saysEffects ?? false) ||
          (['makes', 'ends', 'gate'] as const).some((key) => node.entry(key) !== undefined),
        makes: withLinked(makes).filter((fact) => !isDenied(fact)),
        ends,
      });
    }
  }
  return tasks;
}

const withLinked = (makes: readonly FactId[]): readonly FactId[] => [
  ...new Set([...makes, ...makes.flatMap((fact) => alsoMakes[fact] ?? emptyList)]),
];

/** The facts that a shop's row names, after those of the row it adds to; unknown words are findings of the schema. */
const factsIn = (node: Parameters<typeof readIds>[0], base: readonly FactId[] = []): readonly FactId[] => [
  ...base,
  ...readIds(node).flatMap(({ value }) => (Object.hasOwn(effects, value) ? [value as FactId] : [])),
];

/** The further of two reaches. */
const furthest = (one: Task['reach'], other: Task['reach'] | undefined): Task['reach'] =>
  other !== undefined && hazardReaches.indexOf(other) > hazardReaches.indexOf(one) ? other : one;

/** What a task ends by its row, with what follows from it for other facts. */
const withImplied = (makes: readonly FactId[], ends: readonly FactId[]): readonly FactId[] => [
  ...new Set([
    ...ends,
    ...makes.flatMap((fact) => alsoEnds.makes[fact] ?? emptyList),
    ...ends.flatMap((fact) => alsoEnds.ends[fact] ?? emptyList),
  ]),
];

export function readTimes(sheets: readonly Document<'rate-sheet'>[]): Map<string, StudiedTime> {
  const entries = new Map<string, { base?: OneTime; byClass: Map<string, OneTime>; first: OneTime }>();
  for (const sheet of sheets) {
    for (const node of mapsIn(sheet.root?.get('times'))) {
      const task = node.get('task')?.value;
      const hours = node.get('hours')?.value;
      if (task === undefined || hours === undefined) continue;
      const own: OneTime = {
        hours,
        further: node.get('further')?.value,
        minimum: node.get('minimum')?.value,
        overlaps: mapsIn(node.get('overlap')).flatMap((entry): Overlap[] => {
          const [other, common] = [entry.get('with')?.value, entry.get('hours')?.value];
          return other === undefined || common === undefined ? [] : [{ with: other, hours: common }];
        }),
        per: node.get('per')?.value ?? 'operation',
        rate: node.get('rate')?.value,
        basis: node.get('basis')?.value,
        reference: node.get('reference')?.value,
      };
      let known = entries.get(task);
      if (!known) entries.set(task, (known = { byClass: new Map(), first: own }));
      const classes = readIds(node.get('class'));
      if (classes.length === 0) known.base ??= own;
      for (const { value } of classes) if (!known.byClass.has(value)) known.byClass.set(value, own);
    }
  }
  return new Map(
    [...entries].map(([task, { base, byClass, first }]) => {
      const time = withTermsOf(base ?? { ...first, ...noHours }, first);
      // Classes of one entry keep it in common: their connectors are counted together.
      const whole = new Map([...new Set(byClass.values())].map((one) => [one, withTermsOf(one, time)]));
      const classes = [...byClass].map(([id, one]) => [id, whole.get(one)!] as const);
      return [task, { task, ...time, byClass: new Map(classes) }];
    }),
  );
}

const noHours = { hours: undefined, further: undefined, minimum: undefined, overlaps: [] };

const withTermsOf = (one: OneTime, other: Terms): OneTime => ({
  ...one,
  rate: one.rate ?? other.rate,
  basis: one.basis ?? other.basis,
  reference: one.reference ?? other.reference,
});

export function readPeople(sheets: readonly Document<'rate-sheet'>[]): Map<string, Person> | undefined {
  const people = new Map<string, Person>();
  if (!sheets.some(({ root }) => says(root?.entry('people')))) return undefined;
  for (const sheet of sheets) {
    for (const node of mapsIn(sheet.root?.get('people'))) {
      const id = node.get('id');
      if (!id) continue;
      const known = people.get(id.value);
      const may = readIds(node.get('may') as Parameters<typeof readIds>[0]).map(({ value }) => value);
      const [until, glovesUntil] = [node.get('until')?.value, node.get('gloves-until')?.value];
      people.set(id.value, {
        id: id.value,
        may: new Set(known ? may.filter((kind) => known.may.has(kind)) : may),
        until: earlier(known?.until, until),
        untilUnreadable: known?.untilUnreadable === true || (says(node.entry('until')) && !until),
        glovesUntil: earlier(known?.glovesUntil, glovesUntil),
        glovesUntilUnreadable:
          known?.glovesUntilUnreadable === true || (says(node.entry('gloves-until')) && !glovesUntil),
        span: known?.span ?? id.span,
      });
    }
  }
  return people;
}

const earlier = (a: string | undefined, b: string | undefined): string | undefined =>
  a !== undefined && b !== undefined ? (a < b ? a : b) : (a ?? b);

/** Whether an entry says anything, readable or not. */
const says = (entry: Entry | undefined): boolean =>
  entry !== undefined &&
  !(entry.value.kind === 'scalar' && entry.value.value === null) &&
  !(entry.value.kind === 'list' && entry.value.items.length === 0);

export function readPolicy(sheets: readonly Document<'rate-sheet'>[]): Policy {
  const severities = new Map<string, ReportedSeverity | 'off'>();
  const sections = sheets.flatMap((sheet) => sheet.root?.get('plugward') ?? []);
  for (const section of sections) {
    for (const entry of section.get('severities')?.entries ?? []) {
      const level = readText(entry.value.kind === 'scalar' ? entry.value : undefined)?.value;
      const finding = currentFindingId(entry.key);
      if (level && !severities.has(finding)) severities.set(finding, level as ReportedSeverity | 'off');
    }
  }
  const values = (key: 'photos' | 'sign-offs'): string[] =>
    sections.flatMap((section) => readIds(section.get(key)).map(({ value }) => value));
  return {
    severities,
    photos: values('photos'),
    reasons: sections.some((section) => section.get('reasons')?.value === true),
    signOffs: values('sign-offs'),
    sourcesKeptFor: sections.map((section) => readQuantity('time', section.get('sources-kept-for')))[0],
  };
}
