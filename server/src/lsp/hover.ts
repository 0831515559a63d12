import type { Hover } from 'vscode-languageserver';
import { hover } from '../features/hover.ts';
import type { Capability } from './capability.ts';
import { toRange } from './convert.ts';
import { canonicalUri } from './documents.ts';
import { requestHandler } from './guard.ts';

export const hoverCapability: Capability = {
  announce: () => ({ hoverProvider: true }),
  register(session) {
    session.connection.onHover(
      requestHandler(
        session,
        'hover',
        () => null,
        ({ textDocument, position }): Hover | null => {
          const key = canonicalUri(textDocument.uri);
          const offset = session.workspace.lines(key)?.offsetAt(position);
          const found =
            offset === undefined
              ? undefined
              : hover(session.workspace, key, offset, session.settings.current);
          if (!found) return null;
          const kind = session.client.markdownHover ? 'markdown' : 'plaintext';
          return { contents: { kind, value: found.markdown }, range: toRange(session, found.range) };
        },
      ),
    );
  },
};
