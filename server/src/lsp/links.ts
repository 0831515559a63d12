import type { DocumentLink } from 'vscode-languageserver';
import { inWords } from '../features/in-words.ts';
import { links } from '../features/links.ts';
import type { Capability } from './capability.ts';
import { toRange } from './convert.ts';
import { keyOf } from './documents.ts';
import { answering } from './guard.ts';

/** Files that are used, photographs, addresses of sources. */
export const linksCapability: Capability = {
  announce: () => ({ documentLinkProvider: {} }),
  register(session) {
    const { settings } = session;
    session.connection.onDocumentLinks(
      answering(
        session,
        'links',
        (): DocumentLink[] => [],
        ({ textDocument }) =>
          links(session.workspace, keyOf(textDocument.uri)).flatMap(({ range: one, target, tooltip }) => {
            const range = toRange(session, one);
            return range
              ? [
                  {
                    range,
                    target: session.documents.clientUri(target),
                    tooltip: inWords(tooltip, settings.current),
                  },
                ]
              : [];
          }),
      ),
    );
  },
};
