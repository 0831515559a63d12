import type { DocumentSymbol, SymbolInformation } from 'vscode-languageserver';
import { SymbolKind } from 'vscode-languageserver';
import { outline, searchSymbols } from '../features/outline.ts';
import type { OutlineItem } from '../features/outline.ts';
import { toLocations } from './at.ts';
import type { Capability } from './capability.ts';
import { toRange } from './convert.ts';
import { canonicalUri } from './documents.ts';
import { requestHandler, workspaceRequestHandler } from './guard.ts';
import type { Session } from './session.ts';

const kinds: Readonly<Record<OutlineItem['kind'], SymbolKind>> = {
  file: SymbolKind.File,
  section: SymbolKind.Namespace,
  operation: SymbolKind.Event,
  procedure: SymbolKind.Module,
  connector: SymbolKind.Interface,
  line: SymbolKind.Number,
  good: SymbolKind.Object,
  name: SymbolKind.Constant,
};

/**
 * Maximum number of outline entries: more than anyone browses, few enough to build and send per keystroke.
 */
const maxListed = 2_500;

/** The outline of a file, and names in all files. */
export const symbolsCapability: Capability = {
  announce: () => ({ documentSymbolProvider: true, workspaceSymbolProvider: true }),
  register(session) {
    const { connection, workspace } = session;
    connection.onDocumentSymbol(
      requestHandler(
        session,
        'outline',
        (): DocumentSymbol[] => [],
        ({ textDocument }) =>
          symbolsOf(session, outline(workspace, canonicalUri(textDocument.uri), maxListed)),
      ),
    );
    connection.onWorkspaceSymbol(
      workspaceRequestHandler(
        session,
        'symbols',
        (): SymbolInformation[] => [],
        ({ query }) =>
          searchSymbols(workspace, query).flatMap(({ name, kind, container, selection }) =>
            toLocations(session, [selection]).map((location) => ({
              name,
              kind: kinds[kind],
              location,
              ...(container === '' ? {} : { containerName: container }),
            })),
          ),
      ),
    );
  },
};

function symbolsOf(session: Session, items: readonly OutlineItem[]): DocumentSymbol[] {
  return items.flatMap((item) => {
    const range = toRange(session, item.range);
    const selectionRange = toRange(session, item.selection);
    if (!range || !selectionRange) return [];
    const { name, detail, kind, children } = item;
    const inner = children.length > 0 ? { children: symbolsOf(session, children) } : {};
    return [{ name, detail, kind: kinds[kind], range, selectionRange, ...inner }];
  });
}
