import type { Operation } from '../plan/operations.ts';
import type { Plan } from '../plan/plan.ts';
import { shownList, shownText } from './facts.ts';
import type { Shown } from './facts.ts';

/**
 * What the lists and sheets say of the zones, people, tasks and consumables that either version names, and how strictly the
 * sheet wants them checked: where that changes, dangers come and go without a word in the plan.
 */
export function* sharedFacts(plan: Plan, other: Plan): Generator<readonly [key: string, fact: Shown]> {
  const plans = [plan, other];
  const operations = plans.flatMap((one) => one.operations);
  const named = (of: (operation: Operation) => readonly string[]): Set<string> =>
    new Set(operations.flatMap(of));
  const { zones, people, tasks, consumables, policy } = plan.scope;
  const handled = named(({ connectors }) => connectors.map(({ value }) => value));
  const places = named((operation) => operation.zones);
  for (const { scope } of plans)
    for (const id of handled) {
      const zone = scope.connectors.get(id)?.zone;
      if (zone !== undefined) places.add(zone);
    }
  for (const zone of places) {
    const beside = zones.beside.get(zone);
    if (beside) yield [`zone ${zone}`, shownList([...beside].sort())];
  }
  for (const name of named(({ by }) => (by ? [by.value] : []))) {
    const person = people?.get(name);
    if (!person) continue;
    const { may, until, glovesUntil } = person;
    yield [`person ${name}`, group({ may: [...may], until, 'gloves-until': glovesUntil })];
  }
  for (const name of named(({ taskId }) => [taskId])) {
    const task = tasks.get(name);
    if (!task) continue;
    const { raises, reach, gate, needs, makes, ends } = task;
    yield [`task ${name}`, group({ raises, reach, gate, needs, makes, ends })];
  }
  for (const name of named(({ using }) => using.map(({ value }) => value))) {
    const consumable = consumables.get(name);
    if (!consumable) continue;
    const { kind, nonConductive, highVisibility, tied, fits } = consumable;
    const says = { kind, 'non-conductive': nonConductive, 'high-visibility': highVisibility, tied, fits };
    yield [`consumable ${name}`, group(says)];
  }
  const { severities, photos, signOffs, reasons, sourcesKeptFor } = policy;
  for (const [finding, level] of severities) yield [`plugward severity ${finding}`, shownText(level)];
  if (photos.length > 0) yield ['plugward photos', shownList(photos)];
  if (signOffs.length > 0) yield ['plugward sign-offs', shownList(signOffs)];
  if (reasons) yield ['plugward reasons', shownText('true')];
  if (sourcesKeptFor) yield ['plugward sources-kept-for', shownText(sourcesKeptFor.text)];
}

/** Keys and what they say, as in a file; what is empty or not so is left out. */
function group(
  says: Readonly<Record<string, string | boolean | readonly string[] | undefined>>,
): ReturnType<typeof shownText> {
  const entries = Object.entries(says).flatMap(([key, value]) => {
    const text = typeof value === 'object' ? [...value].sort().join(', ') : value;
    return text ? [`${key}: ${text}`] : [];
  });
  return shownText(`{ ${entries.join('; ')} }`);
}
