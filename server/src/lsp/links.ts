import type { DocumentLink } from 'vscode-languageserver';
import { localize } from '../features/in-words.ts';
import { links } from '../features/links.ts';
import type { Capability } from './capability.ts';
import { toRange } from './convert.ts';
import { canonicalUri } from './documents.ts';
import { requestHandler } from './guard.ts';

/** Files that are used, photographs, addresses of sources. */
export const linksCapability: Capability = {
  announce: () => ({ documentLinkProvider: {} }),
  register(session) {
    const { settings } = session;
    session.connection.onDocumentLinks(
      requestHandler(
        session,
        'links',
        (): DocumentLink[] => [],
        ({ textDocument }) =>
          links(session.workspace, canonicalUri(textDocument.uri)).flatMap(
            ({ range: one, target, tooltip }) => {
              const range = toRange(session, one);
              return range
                ? [
                    {
                      range,
                      target: session.documents.clientUri(target),
                      tooltip: localize(tooltip, settings.current),
                    },
                  ]
                : [];
            },
          ),
      ),
    );
  },
};
