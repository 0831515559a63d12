import type { Hover } from 'vscode-languageserver';
import { heatPage, hover } from '../features/hover.ts';
import type { Capability } from './capability.ts';
import { toRange } from './convert.ts';
import { canonicalUri } from './documents.ts';
import { requestHandler } from './guard.ts';

/** The address that runs the client's command; brackets would end a Markdown link. */
const heatCommand = (uri: string, connector: string): string =>
  `command:plugward.heat?${encodeURIComponent(JSON.stringify([uri, connector])).replaceAll(/[()']/g, (sign) => `%${sign.charCodeAt(0).toString(16)}`)}`;

/** Besides hovers a request of our own: `plugward/heat`, `{ uri, connector }`, is answered with a page as `{ markdown }`. */
export const hoverCapability: Capability = {
  announce: () => ({ hoverProvider: true }),
  register(session) {
    // A client that has the command opens the page; another is told how to get one.
    const page = (uri: string) =>
      session.client.opensHeat ? (id: string) => heatCommand(uri, id) : undefined;
    session.connection.onRequest(
      'plugward/heat',
      requestHandler(
        session,
        'heat',
        () => null,
        ({ uri, connector }: { uri: string; connector: string }): { markdown: string } | null => {
          const { workspace, settings } = session;
          const markdown = heatPage(workspace, canonicalUri(uri), connector, settings.current);
          return markdown === undefined ? null : { markdown };
        },
      ),
    );
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
              : hover(session.workspace, key, offset, session.settings.current, page(textDocument.uri));
          if (!found) return null;
          const kind = session.client.markdownHover ? 'markdown' : 'plaintext';
          return { contents: { kind, value: found.markdown }, range: toRange(session, found.range) };
        },
      ),
    );
  },
};
