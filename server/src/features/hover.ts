import type { AnyNode } from '../document/node.ts';
import { rangeOf } from '../text/span.ts';
import type { Range } from '../text/span.ts';
import type { Plan } from '../plan/plan.ts';
import type { Connector } from '../plan/scope.ts';
import type { Workspace } from '../workspace/workspace.ts';
import type { Settings } from './check.ts';
import { describeAt } from './describe.ts';
import type { Described } from './describe.ts';
import { heatTable } from './heat-table.ts';
import { localize } from './in-words.ts';
import { placeAt } from './place.ts';
import type { NodeAtOffset } from './place.ts';

export interface HoverText {
  readonly markdown: string;
  readonly range: Range;
}

/**
 * What a hover at `offset` shows: the heat over a value that decides it, else what the key or the name means;
 * undefined where there is nothing to say.
 * @param page the address of a page with all that is known of a connector's heat, for a client that opens one
 */
export function hover(
  workspace: Workspace,
  uri: string,
  offset: number,
  settings: Settings = {},
  page?: (connector: string) => string,
): HoverText | undefined {
  const found = said(workspace, uri, offset, page);
  return found && { markdown: localize(found.words, settings), range: found.range };
}

function said(
  workspace: Workspace,
  uri: string,
  offset: number,
  page: ((connector: string) => string) | undefined,
): Described | undefined {
  const plan = workspace.plan(uri);
  const place = plan && placeAt(plan.document, offset);
  if (!plan || !place) return undefined;
  const connector = place.onKey ? undefined : connectorAt(plan, place);
  const { steady, peak, dutyCycle } = connector?.current ?? {};
  if (!connector || !(steady ?? peak ?? dutyCycle)) return describeAt(workspace, uri, offset);
  return { words: heatTable(plan, connector, 'brief', page), range: rangeOf(place.node.span) };
}

/** Keys of a connector's entry whose value decides its heat. */
const hot = new Set([
  'current',
  'steady',
  'peak',
  'peak-time',
  'duty-cycle',
  'time',
  'resistance',
  'as-new',
  'limit',
  'heat-budget',
  'id',
]);
/** Keys of a reading. */
const read = new Set(['connector', 'value', 'uncertainty']);

function connectorAt(plan: Plan, { path, node, chain }: NodeAtOffset): Connector | undefined {
  const [section, index] = path;
  const key = path.findLast((part): part is string => typeof part === 'string');
  const inEntry = typeof index === 'number' && key !== undefined && path.length > 2;
  const named = (from: string): Connector | undefined =>
    plan.scope.connectors.get(text(chain[2], from) ?? '');
  if (section === 'connectors' && inEntry && hot.has(key)) return named('id');
  if (section === 'measurements' && inEntry && read.has(key)) return named('connector');
  if (key === 'connectors' && node.kind === 'scalar') return plan.scope.connectors.get(String(node.value));
  return undefined;
}

function text(node: AnyNode | undefined, key: string): string | undefined {
  const value = node?.kind === 'map' ? node.entry(key)?.value : undefined;
  return value?.kind === 'scalar' ? String(value.value) : undefined;
}

/** All that is known of the heat of a connector, as a page of Markdown; `undefined` where there is no such connector. */
export function heatPage(
  workspace: Workspace,
  uri: string,
  id: string,
  settings: Settings = {},
): string | undefined {
  const plan = workspace.plan(uri);
  const connector = plan?.scope.connectors.get(id);
  return plan && connector && localize(heatTable(plan, connector, 'full'), settings);
}
