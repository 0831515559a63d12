import { byCodeUnits } from '../../base/collections.ts';
import { rangeOf } from '../../text/span.ts';
import { owedLabour } from '../../costing/owed.ts';
import { findings } from '../../findings/registry.ts';
import { deferred, say } from '../../language/phrase.ts';
import type { Phrase, Value } from '../../language/phrase.ts';
import { symbolWords } from '../../plan/symbols.ts';
import { hasIgniter } from '../../plan/tables/classes.ts';
import { neverOnIgniters } from '../../plan/tables/needs.ts';
import type { SymbolKind } from '../../plan/symbols.ts';
import { consumableText } from '../../report/print/words.ts';
import { describeId, raisesText } from '../describe.ts';
import { entryBefore, textOf } from '../names.ts';
import type { Candidate, Place } from './candidate.ts';

/** A sentence without its full stop, for use in a list. */
const withoutStop = (sentence: Phrase): Phrase =>
  deferred((language) => sentence.in(language).replace(/\.$/, ''));

/** Where connectors without a zone stand: after every name. */
const last = '\uffff';

export function namesOfKind(place: Place, kind: SymbolKind, where: string): Candidate[] {
  const { scope } = place.plan;
  const make = (id: string, detail?: Value): Candidate => ({
    label: id,
    kind: 'name',
    symbol: kind,
    detail: detail ?? symbolWords[kind],
    documentation: () => describeId(place.plan, kind, id),
  });
  switch (kind) {
    case 'connector': {
      const zone = place.cursor.siblings.get('zone') ?? besideCursor(place, 'zone');
      // An igniter is never put under a meter.
      const task = place.cursor.siblings.get('do') ?? besideCursor(place, 'do');
      const measured = where === 'operations.connectors' && neverOnIgniters.has(task ?? '');
      const all = [...scope.connectors.values()].filter((one) => !measured || !hasIgniter(one));
      const rank = (one: { zone: string | undefined }): number =>
        zone !== undefined && one.zone === zone ? 0 : 1;
      return all
        .sort((a, b) => rank(a) - rank(b) || byCodeUnits(a.zone ?? last, b.zone ?? last))
        .map((one) => make(one.id, [one.zone, one.class].filter(Boolean).join(' · ')));
    }
    case 'task': {
      const ids = where === 'operations.do' ? (place.cursor.siblings.get('connectors') ?? '') : '';
      const igniters = ids.split(/[^\w-]+/).some((id) => {
        const connector = scope.connectors.get(id);
        return connector !== undefined && hasIgniter(connector);
      });
      const offered = [...scope.tasks.values()].filter(({ id }) => !igniters || !neverOnIgniters.has(id));
      const tasks = offered.map((task) => ({
        ...make(task.id, task.raises.length ? withoutStop(raisesText(task.raises, task.reach)) : task.doing),
      }));
      const procedures = where === 'operations.do' ? [] : [...scope.procedures.keys()];
      return [
        ...likelyFirst(place, tasks, where),
        ...procedures.map((id) => ({ ...make(id, say`shop procedure`), symbol: 'procedure' as const })),
      ];
    }
    case 'zone':
      return scope.zones.names.map((id) => make(id));
    case 'finding':
      return findings.map(({ id, title }) => make(id, title));
    case 'operation':
      return nearestFirst(place, make);
    case 'consumable':
      if (scope.consumables.size === 0 && !scope.used.some((document) => document.kind === 'rate-sheet'))
        return [
          {
            label: 'rate-sheet…',
            kind: 'file',
            text: '',
            // Whatever is typed there, it is not found elsewhere either.
            filter: place.cursor.typed,
            starts: 'rate-sheet',
            detail: say`starts a rate sheet: the shop's consumables stand there`,
          },
        ];
      return [...scope.consumables.values()].map(({ id, kind: what, name }) =>
        make(id, name === id ? consumableText(what) : name),
      );
    case 'procedure':
      return [...scope.procedures].map(([id, { root }]) =>
        make(id, root?.get('title')?.value ?? say`shop procedure`),
      );
    default:
      return [...scope.names(kind)].map((id) => make(id));
  }
}

/** A labour line is for what its step owes, and else for what its step does. */
function likelyFirst(place: Place, tasks: readonly Candidate[], where: string): readonly Candidate[] {
  if (where !== 'labour.task') return tasks;
  const id = place.cursor.siblings.get('for');
  const owed = owedLabour(place.plan).filter(({ step }) => step.id === id);
  const unpaid = owed.filter(({ written }) => written.length === 0);
  const own = place.plan.steps.find((step) => step.id === id);
  const likely = new Set([
    ...[...unpaid, ...owed].map(({ task }) => task),
    ...(own ? [textOf(own.node as never, 'do') ?? ''] : []),
  ]);
  return [
    ...[...likely].flatMap((task) => tasks.find(({ label }) => label === task) ?? []),
    ...tasks.filter(({ label }) => !likely.has(label)),
  ];
}

/** What the step at the cursor says elsewhere. */
const besideCursor = (place: Place, key: string): string | undefined =>
  textOf(entryBefore(place.document, 'operations', place.cursor.start), key);

/** Steps above the cursor, nearest first, then those below. */
function nearestFirst(place: Place, make: (id: string, detail?: Value) => Candidate): Candidate[] {
  const own = textOf(entryBefore(place.document, 'operations', place.cursor.start), 'id');
  const inOperations = place.cursor.path[0] === 'operations';
  const steps = place.plan.steps.filter(({ id }) => !inOperations || id !== own);
  const above = steps.filter(({ span }) => rangeOf(span).start < place.cursor.start);
  const ordered = inOperations
    ? [...above.reverse(), ...steps.filter((step) => !above.includes(step))]
    : steps;
  return ordered.map((step) => {
    const task = textOf(step.node as never, 'do');
    return make(
      step.id,
      step.follows
        ? say`follows ${step.follows.value}`
        : (place.plan.scope.tasks.get(task ?? '')?.doing ?? String(task)),
    );
  });
}

/** A name that is given here: none that is there already is proposed, but a plan may say more of a list's connector. */
export function isNew(
  place: Place,
  { role, kind }: { readonly role: string; readonly kind: SymbolKind },
): boolean {
  return role === 'definition' && (kind !== 'connector' || place.document.kind === 'connector-list');
}
