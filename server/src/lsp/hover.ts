import type { Hover } from 'vscode-languageserver';
import { hover } from '../features/hover.ts';
import type { Capability } from './capability.ts';
import { toRange } from './convert.ts';
import { keyOf } from './documents.ts';
import { answering } from './guard.ts';

export const hoverCapability: Capability = {
  announce: () => ({ hoverProvider: true }),
  register(session) {
    session.connection.onHover(
      answering(
        session,
        'hover',
        () => null,
        ({ textDocument, position }): Hover | null => {
          const key = keyOf(textDocument.uri);
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
