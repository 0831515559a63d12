import type { Kind } from '../document/kind.ts';
import { say } from '../language/phrase.ts';
import type { Workspace } from '../workspace/workspace.ts';
import type { Settings } from './check.ts';
import { localize } from './in-words.ts';
import { scalarText } from './describe.ts';
import { schemaAt } from './schema.ts';

/** Kinds of file that a new file of a kind may use, in the order in which they are listed. */
const used: Readonly<Record<Kind, readonly Kind[]>> = {
  'repair-plan': ['rate-sheet', 'connector-list', 'shop-procedure'],
  'shop-procedure': ['rate-sheet', 'connector-list'],
  'connector-list': [],
  'rate-sheet': [],
};

/** Currencies offered for a new sheet, ISO 4217; any other may be written over them. */
const currencies = ['EUR', 'USD', 'GBP', 'CAD', 'CHF', 'MXN', 'AUD', 'SEK', 'NOK', 'DKK', 'PLN', 'JPY'];

/**
 * A new file as a snippet: what every file of its kind needs, with the shop's own files of `folder` (a URI) under
 * `uses:`. What only the repair, the vehicle or the shop can tell is left to be filled in; nothing is made up.
 * @param name number of a plan, id of another file
 */
export function newFile(
  workspace: Workspace,
  kind: Kind,
  name: string,
  folder: string | undefined,
  settings: Settings = {},
): string {
  const words = {
    'repair-plan': say`What is repaired`,
    'shop-procedure': say`What the procedure does`,
    'connector-list': say`Vehicle family`,
    'rate-sheet': say`The shop and the year`,
  };
  const key = { 'repair-plan': 'plan', 'shop-procedure': 'procedure' } as const;
  return [
    `${kind in key ? key[kind as keyof typeof key] : kind}: ${escaped(scalarText(name))}`,
    `title: \${1:${localize(words[kind], settings)}}`,
    ...(kind === 'repair-plan' ? vehicle(settings) : []),
    ...(kind === 'rate-sheet' ? [`currency: \${2|${currencies.join(',')}|}`] : []),
    '',
    ...usesOf(workspace, kind, folder),
    `${{ 'rate-sheet': 'rates', 'connector-list': 'connectors' }[kind as string] ?? 'operations'}:`,
    '  $0',
    '',
  ].join('\n');
}

function vehicle(settings: Settings): string[] {
  const kinds = schemaAt('repair-plan', ['vehicle', 'propulsion'])?.enum ?? [];
  return [
    '',
    'vehicle:',
    `  description: \${2:${localize(say`Model and body`, settings)}}`,
    `  propulsion: \${3|${kinds.join(',')}|}`,
  ];
}

function usesOf(workspace: Workspace, kind: Kind, folder: string | undefined): string[] {
  const inside = folder?.replace(/\/?$/, '/');
  const files = workspace.uris
    .flatMap((uri) => {
      const other = workspace.document(uri)?.kind;
      const rank = other === undefined ? -1 : used[kind].indexOf(other);
      const below = inside !== undefined && uri.startsWith(inside) && rank >= 0;
      return below ? [{ rank, path: `./${decodeURIComponent(uri.slice(inside.length))}` }] : [];
    })
    .sort((a, b) => a.rank - b.rank || a.path.localeCompare(b.path));
  return files.length ? ['uses:', ...files.map(({ path }) => `  - ${escaped(scalarText(path))}`), ''] : [];
}

const escaped = (text: string): string => text.replace(/[\\$}]/g, '\\$&');
