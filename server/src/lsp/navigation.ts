import type { DocumentHighlight, Location } from 'vscode-languageserver';
import { DocumentHighlightKind } from 'vscode-languageserver';
import { definitionsAt, highlightsAt, occurrencesAt } from '../features/navigation.ts';
import { requestOffset, toLocations } from './at.ts';
import type { Capability } from './capability.ts';
import { toRange } from './convert.ts';
import { canonicalUri } from './documents.ts';
import { requestHandler, workspaceRequestHandler } from './guard.ts';

/** From a name to its definition, and to all its occurrences. */
export const navigationCapability: Capability = {
  announce: () => ({
    definitionProvider: true,
    referencesProvider: true,
    documentHighlightProvider: true,
  }),
  register(session) {
    const { connection, workspace, closed } = session;
    connection.onDefinition(
      requestHandler(
        session,
        'definition',
        (): Location[] => [],
        (params) => {
          const place = requestOffset(session, params);
          return place ? toLocations(session, definitionsAt(workspace, place.key, place.offset)) : [];
        },
      ),
    );
    connection.onReferences(
      workspaceRequestHandler(
        session,
        'references',
        (): Location[] => [],
        async (params) => {
          const found = await closed.confirmed(
            canonicalUri(params.textDocument.uri),
            () => {
              const place = requestOffset(session, params);
              return place && occurrencesAt(workspace, place.key, place.offset);
            },
            (all) => [...(all?.definitions ?? []), ...(all?.references ?? [])].map(({ uri }) => uri),
          );
          if (!found) return [];
          const definitions = params.context.includeDeclaration ? found.definitions : [];
          return toLocations(session, [...definitions, ...found.references]);
        },
      ),
    );
    connection.onDocumentHighlight(
      requestHandler(
        session,
        'highlights',
        (): DocumentHighlight[] => [],
        (params) => {
          const place = requestOffset(session, params);
          const found = place ? highlightsAt(workspace, place.key, place.offset) : [];
          return found.flatMap(({ range: one, defines }) => {
            const range = toRange(session, one);
            const kind = defines ? DocumentHighlightKind.Write : DocumentHighlightKind.Read;
            return range ? [{ range, kind }] : [];
          });
        },
      ),
    );
  },
};
