import type { CodeLens } from 'vscode-languageserver';
import { lenses } from '../features/lenses.ts';
import { toLocations } from './at.ts';
import type { Capability } from './capability.ts';
import { toRange } from './convert.ts';
import { canonicalUri } from './documents.ts';
import { workspaceRequestHandler } from './guard.ts';

/** Findings and missing lines above the steps, users above a procedure. */
export const codeLensCapability: Capability = {
  announce: () => ({ codeLensProvider: {} }),
  register(session) {
    const { connection, workspace, settings, client } = session;
    connection.onCodeLens(
      workspaceRequestHandler(
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
      ),
    );
  },
};
