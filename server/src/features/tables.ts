/** The tables of tasks and zones as a plan sees them: the built-in rows with what the files it uses add. */
import { emptyList } from '../base/collections.ts';
import type { Phrase } from '../language/phrase.ts';
import type { Scope } from '../plan/scope.ts';
import { connectorFacts, effects, halfFacts, vehicleFacts } from '../plan/tables/effects.ts';
import type { FactId } from '../plan/tables/effects.ts';
import {
  needs12V,
  needsCured,
  needsDead,
  needsDeadOnTheVehicle,
  needsDeadWhileOpen,
  needsRestraintSafe,
} from '../plan/tables/needs.ts';
import { builtInTasks } from '../plan/tables/tasks.ts';
import type { Hazard } from '../plan/tables/tasks.ts';
import { Zones } from '../plan/tables/zones.ts';

/** A task, what it raises, and the facts it needs, makes and ends. */
export interface TaskRow {
  readonly id: string;
  readonly doing: Phrase;
  readonly raises: readonly Hazard[];
  readonly reach: string;
  readonly gate: boolean;
  /** Some of these hold for some classes of connectors only, as the table of needs says. */
  readonly needs: readonly FactId[];
  readonly makes: readonly FactId[];
  readonly ends: readonly FactId[];
  /** It is a row of a file, or a built-in one that a file changes. */
  readonly own: boolean;
}

const facts: readonly FactId[] = [...vehicleFacts, ...connectorFacts, ...halfFacts];

const doneBy = (task: string, what: 'makes' | 'ends', added: readonly FactId[]): readonly FactId[] => [
  ...facts.filter((fact) =>
    effects[fact][what].some(
      // Of several batteries, a step makes what the others have yet to make as well: it ends nothing.
      ({ tasks, when }) => tasks.includes(task) && when !== 'one-of-several-batteries',
    ),
  ),
  ...added,
];

const needed = (task: string): readonly FactId[] => [
  ...(needsDead.has(task) || needsDeadWhileOpen.has(task) || needsDeadOnTheVehicle.has(task)
    ? (['high-voltage-dead'] as const)
    : emptyList),
  ...(needsRestraintSafe.has(task) ? (['restraint-safe'] as const) : emptyList),
  ...(needs12V.has(task) ? (['12v-on'] as const) : emptyList),
  ...(needsCured.has(task) ? (['adhesive-cured'] as const) : emptyList),
];

export const taskRows = ({ tasks }: Scope): readonly TaskRow[] =>
  [...tasks.values()].map(({ id, doing, raises, reach, gate, needs, makes, ends }) => ({
    id,
    doing,
    raises,
    reach,
    gate,
    needs: [...needed(id), ...needs],
    makes: doneBy(id, 'makes', makes),
    ends: doneBy(id, 'ends', ends),
    own: builtInTasks.get(id) !== tasks.get(id),
  }));

export interface ZoneRow {
  readonly id: string;
  readonly beside: readonly string[];
  readonly own: boolean;
}

export function zoneRows({ zones }: Scope): readonly ZoneRow[] {
  const builtIn = new Zones();
  return zones.names.map((id) => {
    const beside = [...zones.beside.get(id)!].sort();
    return { id, beside, own: builtIn.beside.get(id)?.size !== beside.length };
  });
}
