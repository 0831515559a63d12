import type { Document } from '../document/document.ts';
import { mapsIn } from '../document/node.ts';
import type { MapNode } from '../document/node.ts';
import type { Source } from '../generated/repair-plan.ts';
import type { Plan } from './plan.ts';

/** The documents that a file says it rests on, as far as they are readable. */
export const sourcesIn = ({ root }: Document): MapNode<Source>[] =>
  mapsIn((root as MapNode<{ sources?: Source[] }> | undefined)?.get('sources'));

/** Those of the plan and of the files it uses, by id; where two files use one id, the plan's own goes first. */
export function sourcesById({ document, scope }: Plan): ReadonlyMap<string, MapNode<Source>> {
  const found = new Map<string, MapNode<Source>>();
  for (const node of [document, ...scope.used].flatMap(sourcesIn)) {
    const id = node.get('id')?.value;
    if (id !== undefined && !found.has(id)) found.set(id, node);
  }
  return found;
}
