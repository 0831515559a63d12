import type { InlayHint } from 'vscode-languageserver';
import { hints } from '../features/hints.ts';
import type { Capability } from './capability.ts';
import { keyOf } from './documents.ts';
import { answering } from './guard.ts';

/** What the text means and does not say; each kind is off unless a setting asks for it. */
export const inlayHintsCapability: Capability = {
  announce: () => ({ inlayHintProvider: true }),
  register(session) {
    const { connection, workspace, settings } = session;
    connection.languages.inlayHint.on(
      answering(
        session,
        'hints',
        (): InlayHint[] => [],
        ({ textDocument, range }) => {
          const key = keyOf(textDocument.uri);
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
