import type { CodeLens } from 'vscode-languageserver';
import { kindOf } from '../document/kind.ts';
import { lenses } from '../features/lenses.ts';
import { toLocations } from './at.ts';
import type { Capability } from './capability.ts';
import { toRange } from './convert.ts';
import { canonicalUri } from './documents.ts';
import { requestHandler } from './guard.ts';

/** Findings and missing lines above the steps, users above a procedure. */
export const codeLensCapability: Capability = {
  announce: () => ({ codeLensProvider: {} }),
  register(session) {
    const { connection, workspace, settings, client, closed } = session;
    connection.onCodeLens(
      requestHandler(
        session,
        'lenses',
        (): CodeLens[] => [],
        ({ textDocument }) =>
          lenses(workspace, canonicalUri(textDocument.uri), settings.current).flatMap(
            ({ range: one, title, places }) => {
              const range = toRange(session, one);
              if (!range) return [];
              const shown = client.showsPlaces && places.length > 0;
              const command = shown ? 'plugward.showPlaces' : '';
              const args = shown ? [textDocument.uri, range.start, toLocations(session, places)] : [];
              return [{ range, command: { title, command, arguments: args } }];
            },
          ),
        // Of all files only those are told that use one, which no plan needs to know.
        async ({ textDocument }) => {
          if (kindOf(canonicalUri(textDocument.uri)) !== 'repair-plan') await closed.loadAll();
        },
      ),
    );
  },
};
