import type { DocumentHighlight, Location } from 'vscode-languageserver';
import { DocumentHighlightKind } from 'vscode-languageserver';
import { definitionsAt, highlightsAt, occurrencesAt } from '../features/navigation.ts';
import { placeOf, toLocations } from './at.ts';
import type { Capability } from './capability.ts';
import { toRange } from './convert.ts';
import { answering, answeringFromAll } from './guard.ts';

/** From a name to where it is defined, and to every place where it stands. */
export const navigationCapability: Capability = {
  announce: () => ({
    definitionProvider: true,
    referencesProvider: true,
    documentHighlightProvider: true,
  }),
  register(session) {
    const { connection, workspace } = session;
    connection.onDefinition(
      answering(
        session,
        'definition',
        (): Location[] => [],
        (params) => {
          const place = placeOf(session, params);
          return place ? toLocations(session, definitionsAt(workspace, place.key, place.offset)) : [];
        },
      ),
    );
    connection.onReferences(
      answeringFromAll(
        session,
        'references',
        (): Location[] => [],
        (params) => {
          const place = placeOf(session, params);
          const found = place && occurrencesAt(workspace, place.key, place.offset);
          if (!found) return [];
          const definitions = params.context.includeDeclaration ? found.definitions : [];
          return toLocations(session, [...definitions, ...found.references]);
        },
      ),
    );
    connection.onDocumentHighlight(
      answering(
        session,
        'highlights',
        (): DocumentHighlight[] => [],
        (params) => {
          const place = placeOf(session, params);
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
