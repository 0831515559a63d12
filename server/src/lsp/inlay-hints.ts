import type { InlayHint } from 'vscode-languageserver';
import { hints } from '../features/hints.ts';
import type { Capability } from './capability.ts';
import { canonicalUri } from './documents.ts';
import { requestHandler } from './guard.ts';

/** Facts implied by the text; each kind is off unless a setting enables it. */
export const inlayHintsCapability: Capability = {
  announce: () => ({ inlayHintProvider: true }),
  register(session) {
    const { connection, workspace, settings } = session;
    connection.languages.inlayHint.on(
      requestHandler(
        session,
        'hints',
        (): InlayHint[] => [],
        ({ textDocument, range }) => {
          const key = canonicalUri(textDocument.uri);
          const lines = workspace.lines(key);
          if (!lines) return [];
          const [start, end] = [lines.offsetAt(range.start), lines.offsetAt(range.end)];
          return hints(workspace, key, start, end, settings.hints, settings.current).map(
            ({ offset, label, tooltip }) => ({ position: lines.positionAt(offset), label, tooltip }),
          );
        },
      ),
    );
  },
};
