import { say } from '../language/phrase.ts';
import type { Workspace } from '../workspace/workspace.ts';
import type { Settings } from './check.ts';
import { localize } from './in-words.ts';
import { scalarText } from './describe.ts';
import { schemaAt } from './schema.ts';

const order = ['rate-sheet', 'connector-list', 'shop-procedure'] as const;

/**
 * A new plan as a snippet: what every plan needs, with the shop's own files of `folder` (a URI) under `uses:`. What
 * only the repair can tell is left to be filled in; nothing is made up.
 */
export function newPlan(
  workspace: Workspace,
  number: string,
  folder: string | undefined,
  settings: Settings = {},
): string {
  const inside = folder?.replace(/\/?$/, '/');
  const files = workspace.uris
    .flatMap((uri) => {
      const kind = workspace.document(uri)?.kind;
      const rank = order.findIndex((one) => one === kind);
      const below = inside !== undefined && uri.startsWith(inside) && rank >= 0;
      return below ? [{ rank, path: `./${decodeURIComponent(uri.slice(inside.length))}` }] : [];
    })
    .sort((a, b) => a.rank - b.rank || a.path.localeCompare(b.path));
  const uses = files.length
    ? ['uses:', ...files.map(({ path }) => `  - ${escaped(scalarText(path))}`), '']
    : [];
  const kinds = schemaAt('repair-plan', ['vehicle', 'propulsion'])?.enum ?? [];
  return [
    `plan: ${escaped(scalarText(number))}`,
    `title: \${1:${localize(say`What is repaired`, settings)}}`,
    '',
    'vehicle:',
    `  description: \${2:${localize(say`Model and body`, settings)}}`,
    `  propulsion: \${3|${kinds.join(',')}|}`,
    '',
    ...uses,
    'operations:',
    '  $0',
    '',
  ].join('\n');
}

const escaped = (text: string): string => text.replace(/[\\$}]/g, '\\$&');
